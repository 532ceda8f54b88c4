"""Lays the rooms of a plan that have no strips yet, and puts each way of laying to the check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import islice
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.engine import RuleFinding
from underfoot.checking.facts import Facts
from underfoot.checking.mend import Edit
from underfoot.laying.demand import Demand, ask_demand
from underfoot.laying.lay import list_layings
from underfoot.laying.remarks import stands
from underfoot.laying.wishes import CannotLayError, Wishes, list_films
from underfoot.laying.writing import Laying
from underfoot.mending.patch import patch_data
from underfoot.mending.search import Menders, find_mends
from underfoot.mending.trial import State, Trial, identity, list_new
from underfoot.plan import Film

# Where so many ways of laying leave the same rules with something to say, no other will do better.
_SAME_AGAIN = 6
# No more findings are mended in one laying.
_MOST_MENDED = 6
# The least that a room needs is found to a 64th of the most; of each share so many are tried.
_HALVINGS, _FEW = 6, 3
# Keys of a room in which strips stand.
_STRIPS = ("rows", "elements")


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


class LaidPlan(Struct, frozen=True, kw_only=True):
    """A plan's data with its rooms laid, as edits, and how each room came out."""

    rooms: tuple[LaidRoom, ...]
    edits: tuple[Edit, ...]
    state: State


def rooms_to_lay(data: Any) -> list[str]:
    """List the rooms without strips, in the plan's order."""
    rooms = data.get("rooms") or {}
    return [name for name, room in rooms.items() if not any(room.get(key) for key in _STRIPS)]


def lay_rooms(
    start: State, rooms: Sequence[str], trial: Trial, menders: Menders, wishes: Wishes
) -> LaidPlan:
    """Lay rooms one after another; each as well as the check lets it be."""
    state = start
    laid: list[LaidRoom] = []
    edits: tuple[Edit, ...] = ()
    for room in rooms:
        found, after = _lay_room(state, room, trial, menders, wishes)
        laid.append(found)
        if after is not None:
            state = after
            edits += found.edits
    return LaidPlan(rooms=tuple(laid), edits=edits, state=state)


def _lay_room(
    before: State, room: str, trial: Trial, menders: Menders, wishes: Wishes
) -> tuple[LaidRoom, State | None]:
    """Lay a room with the first film of which nothing is left to object to, or the best of all."""
    facts = before.outcome.facts
    # What a laying brings is made good by laying, not by what else might be bought.
    menders = {
        rule: [mender for mender in some if not mender.first_only] for rule, some in menders.items()
    }
    best: tuple[LaidRoom, State] | None = None
    why = "nothing that was tried can be read"
    try:
        attempts = _list_attempts(facts, room, wishes)
    except CannotLayError as error:
        return LaidRoom(room=room, laying=None, why=str(error)), None
    for film, wanted in attempts:
        layings = list_layings(facts, room, trial.checker.settings, before.data, film, wanted)
        try:
            found = _try_layings(layings, before, room, trial, menders)
        except CannotLayError as error:
            why = why if best else str(error)
            continue
        if found is not None and (best is None or _badness(found[0]) < _badness(best[0])):
            best = found
        elif found is not None and best is not None and best[0].laying and best[0].laying.drawn:
            known = {identity(each) for each in best[0].left}
            more = tuple(each for each in found[0].left if identity(each) not in known)
            best = replace(best[0], with_more=more), best[1]
        if best is not None and not best[0].left and not best[0].mended:
            break
    if best is None:
        return LaidRoom(room=room, laying=None, why=why), None
    is_lessened = wishes.demand and best[0].laying is not None and best[0].laying.strips > 0
    return _lay_no_more(best, before, trial, menders, wishes) if is_lessened else best


def _list_attempts(facts: Facts, room: str, wishes: Wishes) -> list[tuple[Film, Wishes]]:
    """List films to lay; in a room that has strips its own, first without another strip."""
    drawn = facts.rooms[room].elements
    if not drawn:
        return [(film, wishes) for film in list_films(facts, room, wishes)]
    metres: Counter[str] = Counter()
    for each in drawn:
        metres[each.film.id] += round(each.length)
    own = replace(wishes, film=wishes.film or metres.most_common(1)[0][0])
    (film,) = list_films(facts, room, own)
    return [(film, replace(own, more=False)), (film, own)]


def _lay_no_more(
    most: tuple[LaidRoom, State], before: State, trial: Trial, menders: Menders, wishes: Wishes
) -> tuple[LaidRoom, State]:
    """Lay the least of which no more is found than of the most that can be laid."""
    full, after = most
    assert full.laying is not None
    facts = before.outcome.facts
    # What the most needed no mend for is not made good by a mend that lays more.
    menders = menders if full.mended else {}
    film = facts.plan.materials.films[full.laying.film]
    settings = trial.checker.settings
    asked = ask_demand(after.outcome.facts.rooms[full.room], settings)
    if isinstance(asked, str):
        return replace(full, demand=Demand(unknown=asked)), after
    least: tuple[LaidRoom, State] = most
    against: tuple[RuleFinding, ...] = ()
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        share = (low + high) / 2
        less = replace(wishes, along=full.laying.along, share=share)
        try:
            layings = list_layings(facts, full.room, settings, before.data, film, less)
            found = _try_layings(islice(layings, _FEW), before, full.room, trial, menders)
        except CannotLayError:
            found = None
        is_as_good = (
            found is not None
            and not list_brought(after, found[1])
            and set(found[0].mended) <= set(full.mended)
        )
        if found is not None and is_as_good:
            least, high = found, share
        else:
            low = share
            against = () if found is None else tuple(list_brought(after, found[1]))
    demand = Demand(needed_w=asked, most_m2=full.laying.heated_m2, against=against)
    return replace(least[0], demand=demand), least[1]


def _try_layings(
    layings: Iterable[Laying], before: State, room: str, trial: Trial, menders: Menders
) -> tuple[LaidRoom, State] | None:
    """Put ways of laying to the check until one passes; the best of those tried."""
    best: tuple[LaidRoom, State] | None = None
    last: frozenset[str] = frozenset()
    alike = 0
    hopeless: set[str] = set()
    for laying in layings:
        after = trial.judge(patch_data(before.data, laying.edits), before)
        if after is None:
            continue
        found = LaidRoom(room=room, laying=laying, edits=laying.edits)
        found, after = _mend_on_the_way(found, before, after, trial, menders, hopeless)
        if best is None or _badness(found) < _badness(best[0]):
            best = found, after
        if not found.left:
            break
        rules = frozenset(each.rule.id for each in found.left)
        alike = alike + 1 if rules == last else 0
        last = rules
        if alike >= _SAME_AGAIN:
            break
    return best


def _mend_on_the_way(
    found: LaidRoom,
    before: State,
    after: State,
    trial: Trial,
    menders: Menders,
    hopeless: set[str],
) -> tuple[LaidRoom, State]:
    """Mend what a laying brings; rules for whose findings nothing was found are kept in mind."""
    edits, mended = found.edits, found.mended
    is_begun = bool(before.outcome.facts.rooms[found.room].elements)
    for _ in range(_MOST_MENDED):
        brought = [each for each in list_brought(before, after) if each.rule.id not in hopeless]
        if not brought:
            break
        mends = find_mends(brought[0], after, menders, trial, most=1)
        if is_begun:
            mends = tuple(each for each in mends if leaves_alone(each.patch, before.data))
        mended_state = trial.judge(patch_data(after.data, mends[0].patch), after) if mends else None
        if mended_state is None:
            hopeless.add(brought[0].rule.id)
            continue
        after = mended_state
        edits += mends[0].patch
        mended += (mends[0].says,)
    left = list_brought(before, after)
    if is_begun:
        # What stood against it before is still to be told.
        left += [
            each
            for each in after.standing
            if each.severity != "note" and each.subject.room == found.room and each not in left
        ]
    return (
        LaidRoom(
            room=found.room, laying=found.laying, edits=edits, left=tuple(left), mended=mended
        ),
        after,
    )


def leaves_alone(patch: Iterable[Edit], data: Any) -> bool:
    """Tell whether a patch changes nothing that a plan's data says."""
    return not any(stands(data, edit.path) for edit in patch)


def list_brought(before: State, after: State) -> list[RuleFinding]:
    """List the errors and warnings that a plan has now, and had not."""
    return [each for each in list_new(before, after) if each.severity != "note"]


def _badness(found: LaidRoom) -> tuple[int, int, int]:
    """What is the less the better: errors left, findings left, what had to be mended."""
    errors = sum(each.severity == "error" for each in found.left)
    return errors, len(found.left), len(found.mended)
