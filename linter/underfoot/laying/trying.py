"""Ways of laying a room put to the check, and what they bring mended on the way."""

from collections.abc import Iterable
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.engine import RuleFinding
from underfoot.checking.mend import Edit
from underfoot.laying.demand import Demand
from underfoot.laying.remarks import stands
from underfoot.laying.whole import in_whole_mm
from underfoot.laying.writing import Laying
from underfoot.mending.patch import patch_data
from underfoot.mending.search import Menders, find_mends
from underfoot.mending.trial import State, Trial, list_new

# Where so many ways of laying leave the same rules with something to say, no other will do better.
_SAME_AGAIN = 6
# No more findings are mended in one laying.
_MOST_MENDED = 6
# Of one finding so many mends are looked at where the first is none for a laying.
_MENDS = 3
# The parts of a room in which strips lie.
_STRIPS = frozenset({"rows", "elements"})


class LaidRoom(Struct, frozen=True, kw_only=True):
    """A room with what was laid in it, and the errors and warnings that this leaves.

    `laying` is None, and `why` says why, where it cannot be laid. `mended` are the sentences of the
    mends that were made on the way. `demand` says how much the room needs, where that was asked.
    `with_more` is what more strips would bring, where none are added though something is left.
    """

    room: str
    laying: Laying | None
    edits: tuple[Edit, ...] = ()
    left: tuple[RuleFinding, ...] = ()
    mended: tuple[str, ...] = ()
    why: str = ""
    demand: Demand | None = None
    with_more: tuple[RuleFinding, ...] = ()

    @property
    def badness(self) -> tuple[int, int, int]:
        """What is the less the better: errors left, findings left, what had to be mended."""
        errors = sum(each.severity == "error" for each in self.left)
        return errors, len(self.left), len(self.mended)


class Work(Struct, frozen=True, kw_only=True):
    """A room to be laid in a plan as it stands; `later` are the rooms that are laid after it."""

    room: str
    before: State
    trial: Trial
    menders: Menders
    later: frozenset[str] = frozenset()

    @property
    def is_begun(self) -> bool:
        """Whether strips lie in the room already."""
        return bool(self.before.outcome.facts.rooms[self.room].elements)

    def list_brought(self, after: State) -> list[RuleFinding]:
        """List what a laying brings, but for what is said of rooms that are still to be laid."""
        brought = list_brought(self.before, after)
        return [each for each in brought if each.subject.room not in self.later]


def try_layings(layings: Iterable[Laying], work: Work) -> tuple[LaidRoom, State] | None:
    """Put ways of laying to the check until one passes; the best of those tried."""
    best: tuple[LaidRoom, State] | None = None
    last: frozenset[str] = frozenset()
    alike = 0
    hopeless: set[str] = set()
    for laying in layings:
        after = work.trial.judge(patch_data(work.before.data, laying.edits), work.before)
        if after is None:
            continue
        found = LaidRoom(room=work.room, laying=laying, edits=laying.edits)
        found, after = _mend_on_the_way(found, after, work, hopeless)
        if best is None or found.badness < best[0].badness:
            best = found, after
        if not found.left:
            break
        rules = frozenset(each.rule.id for each in found.left)
        alike = alike + 1 if rules == last else 0
        last = rules
        if alike >= _SAME_AGAIN:
            break
    return None if best is None else _in_whole_mm(*best, work)


def _in_whole_mm(found: LaidRoom, after: State, work: Work) -> tuple[LaidRoom, State]:
    """Put what was laid at places that a tape finds, as far as that brings nothing more."""
    known = {(each.rule.id, each.subject.items) for each in work.list_brought(after)}
    for but in (frozenset[str](), _STRIPS):
        edits = in_whole_mm(found.edits, but)
        if edits == found.edits:
            break
        state = work.trial.judge(patch_data(work.before.data, edits), work.before)
        if state is not None and known.issuperset(
            (each.rule.id, each.subject.items) for each in work.list_brought(state)
        ):
            return replace(found, edits=edits), state
    return found, after


def _mend_on_the_way(
    found: LaidRoom, after: State, work: Work, hopeless: set[str]
) -> tuple[LaidRoom, State]:
    """Mend what a laying brings; rules for whose findings nothing was found are kept in mind."""
    edits, mended = found.edits, found.mended
    for _ in range(_MOST_MENDED):
        brought = [each for each in work.list_brought(after) if each.rule.id not in hopeless]
        if not brought:
            break
        mend = next(
            (
                each
                for most in (1, _MENDS)
                for each in find_mends(brought[0], after, work.menders, work.trial, most=most)
                if keeps_to(work.room, each.patch, work.before.data)
                and (not work.is_begun or leaves_alone(each.patch, work.before.data))
            ),
            None,
        )
        state = (
            None if mend is None else work.trial.judge(patch_data(after.data, mend.patch), after)
        )
        if mend is None or state is None:
            hopeless.add(brought[0].rule.id)
            continue
        after = state
        edits += mend.patch
        mended += (mend.says,)
    left = work.list_brought(after)
    if work.is_begun:
        # What stood against it before is still to be told.
        left += [
            each
            for each in after.standing
            if each.severity != "note" and each.subject.room == found.room and each not in left
        ]
    laying = _count_anew(found.laying, after, work.room) if mended else found.laying
    return (
        LaidRoom(room=found.room, laying=laying, edits=edits, left=tuple(left), mended=mended),
        after,
    )


def _count_anew(laying: Laying | None, after: State, room: str) -> Laying | None:
    """Return a laying with what it heats once mends have cut strips, or left some out."""
    if laying is None:
        return None
    strips = after.outcome.facts.rooms[room].elements
    heated_m2 = sum(each.length * each.film.width for each in strips) / 1e6
    return replace(laying, heated_m2=heated_m2, strips=len(strips) - laying.drawn)


def keeps_to(room: str, patch: Iterable[Edit], data: Any) -> bool:
    """Tell whether a patch changes nothing in other rooms or of their circuits, and leaves all in.

    Nor does it change how doors are hung, or their thresholds held.

    `data` is what the plan said before the room was laid.
    """
    for edit in patch:
        kind, name = (*edit.path, "", "")[:2]
        if kind == "rooms" and (name != room or edit.path[2:3] == ("openings",)):
            return False
        if not stands(data, edit.path):
            continue
        if edit.op == "remove":
            return False
        if kind == "circuits" and data["circuits"][name].get("thermostat") != room:
            return False
    return True


def leaves_alone(patch: Iterable[Edit], data: Any) -> bool:
    """Tell whether a patch changes nothing that a plan's data says."""
    return not any(stands(data, edit.path) for edit in patch)


def list_brought(before: State, after: State) -> list[RuleFinding]:
    """List the errors and warnings that a plan has now, and had not."""
    return [each for each in list_new(before, after) if each.severity != "note"]
