"""Lays the rooms of a plan that have no strips yet, and puts each way of laying to the check."""

from collections import Counter
from collections.abc import Sequence
from itertools import islice
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.engine import RuleFinding
from underfoot.checking.facts import Facts
from underfoot.checking.mend import Edit
from underfoot.laying.demand import Demand, ask_demand
from underfoot.laying.lay import list_layings
from underfoot.laying.trying import LaidRoom, Work, list_brought, try_layings
from underfoot.laying.wishes import CannotLayError, Wishes, add_own, list_films
from underfoot.mending.search import Menders
from underfoot.mending.trial import State, Trial, identity
from underfoot.plan import Film

# The least that a room needs is found to a 64th of the most; of each share so many are tried.
_HALVINGS, _FEW = 6, 3
# Keys of a room in which strips stand.
_STRIPS = ("rows", "elements")


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
    # What a laying brings is made good by laying, not by what else might be bought.
    menders = {
        rule: [mender for mender in some if not mender.first_only] for rule, some in menders.items()
    }
    state = start
    laid: list[LaidRoom] = []
    edits: tuple[Edit, ...] = ()
    for number, room in enumerate(rooms):
        later = frozenset(rooms[number + 1 :])
        work = Work(room=room, before=state, trial=trial, menders=menders, later=later)
        found, after = _lay_room(work, wishes)
        laid.append(found)
        if after is not None:
            state = after
            edits += found.edits
    return LaidPlan(rooms=tuple(laid), edits=edits, state=state)


def _lay_room(work: Work, wishes: Wishes) -> tuple[LaidRoom, State | None]:
    """Lay a room with the first film of which nothing is left to object to, or the best of all."""
    facts, data, room = work.before.outcome.facts, work.before.data, work.room
    wishes = add_own(wishes, facts.rooms[room])
    best: tuple[LaidRoom, State] | None = None
    why = "nothing that was tried can be read"
    try:
        attempts = _list_attempts(facts, room, wishes)
    except CannotLayError as error:
        return LaidRoom(room=room, laying=None, why=str(error)), None
    for film, wanted in attempts:
        layings = list_layings(facts, room, work.trial.checker.settings, data, film, wanted)
        try:
            found = try_layings(layings, work)
        except CannotLayError as error:
            why = why if best else str(error)
            continue
        if found is not None and (best is None or found[0].badness < best[0].badness):
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
    return _lay_no_more(best, work, wishes) if is_lessened else best


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
    most: tuple[LaidRoom, State], work: Work, wishes: Wishes
) -> tuple[LaidRoom, State]:
    """Lay the least of which no more is found than of the most that can be laid."""
    full, after = most
    assert full.laying is not None
    facts = work.before.outcome.facts
    # What the most needed no mend for is not made good by a mend that lays more.
    work = work if full.mended else replace(work, menders={})
    film = facts.plan.materials.films[full.laying.film]
    settings = work.trial.checker.settings
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
            layings = list_layings(facts, full.room, settings, work.before.data, film, less)
            found = try_layings(islice(layings, _FEW), work)
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
