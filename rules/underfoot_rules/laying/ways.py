"""Ways to mend how strips lie, each tried before it is said in figures."""

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Element, Lead, Room, Stop
from underfoot.api.rules import join_names, move_text
from underfoot_rules.in_the_way import UNTRIED, join_clauses, list_what_to_see_to
from underfoot_rules.trying import (
    CUT,
    DOORWAYS,
    LEADS,
    MANY,
    MOST_STRIPS,
    SENSOR,
    Fault,
    find_brought,
)

Step = tuple[float, float]
# So many ways that fit are tried with all that lies round them, before words must do.
_MOST_TRIED = 4


class Way(Struct, frozen=True, kw_only=True):
    """A way to mend something: in figures, and in words alone.

    Either `group` moves by `step`, `bends` telling whether the bends of its leads move along; or
    the one strip of `group` is cut to `cut`: where it then begins, and its length.
    """

    said: str
    rough: str
    group: tuple[int, ...]
    step: Step = (0.0, 0.0)
    bends: bool = False
    cut: tuple[Step, float] | None = None


class Chosen(Struct, frozen=True, kw_only=True):
    """What is advised, whether it is a cut, and whether in figures: then it brings nothing."""

    said: str
    in_figures: bool
    is_cut: bool = False


def choose(facts: Facts, room: RoomFacts, ways: Iterable[Way], goal: str) -> Chosen | None:
    """Choose the first way that brings nothing, in figures; else in words what brings least.

    `goal` says in words what it must come to. None where there is no way at all.
    """
    fewest: tuple[int, Chosen] | None = None
    for way in islice(ways, _MOST_TRIED):
        if len(room.elements) > MOST_STRIPS:
            said = f"{way.rough}{goal}; {UNTRIED}."
            return Chosen(said=said, in_figures=False, is_cut=way.cut is not None)
        most = MANY if fewest is None else fewest[0]
        brought = facts.once(_try, room.id, way.group, way.step, way.bends, way.cut, most)
        if not brought:
            return Chosen(said=way.said, in_figures=True, is_cut=way.cut is not None)
        see_to = list_what_to_see_to(brought)
        if fewest is None or len(see_to) < fewest[0]:
            said = f"{way.rough}{goal}; {join_clauses(see_to)}."
            chosen = Chosen(said=said, in_figures=False, is_cut=way.cut is not None)
            fewest = len(see_to), chosen
    return None if fewest is None else fewest[1]


def move_ways(
    room: RoomFacts, group: Sequence[int], named: str, step: Step, so_that: str = ""
) -> list[Way]:
    """Return the ways to move strips together: as they are, and with the bends of their leads."""
    group, step = tuple(group), as_said(step)
    rough = f"Move {named} {say_direction(step)}"
    moved = f"Move {named} by {move_text(*step)}{so_that}"
    plain = Way(said=f"{moved}.", rough=rough, group=group, step=step)
    leads = [
        lead.id for lead in _leads_of(room, group) if any(s.kind == "bend" for s in lead.route)
    ]
    if not leads:
        return [plain]
    bends = f"the bends of lead{'s' if len(leads) > 1 else ''} {join_names(leads)} with it"
    return [
        plain,
        Way(said=f"{moved}, and {bends}.", rough=rough, group=group, step=step, bends=True),
    ]


def as_said(step: Step) -> Step:
    """Return a move as its words give it: each part up to a tenth of a millimetre."""
    dx, dy = (math.copysign(math.ceil(abs(d) * 10 - 1e-4) / 10, d) for d in step)
    return (dx, dy)


def say_direction(step: Step) -> str:
    """Say which way a move goes, and not how far."""
    dx, dy = step
    parts = []
    if abs(dx) > 1e-6:
        parts.append("to the right (+x)" if dx > 0 else "to the left (-x)")
    if abs(dy) > 1e-6:
        parts.append("up (+y)" if dy > 0 else "down (-y)")
    return " and ".join(parts)


def _try(
    facts: Facts,
    room_id: str,
    group: tuple[int, ...],
    step: Step,
    bends: bool,
    cut: tuple[Step, float] | None,
    most: int,
) -> tuple[Fault, ...]:
    room = facts.rooms[room_id]
    drawn = _cut(room, group[0], *cut) if cut is not None else _move(room, group, step, bends)
    names = {room.elements[place].id for place in group}
    joined = any(stop.element in names for lead in room.drawn.leads for stop in lead.route)
    leads = LEADS if joined else LEADS[:1]
    rules = (*leads, *DOORWAYS, *SENSOR, "strip-gap", *(CUT if cut is not None else ()))
    return find_brought(facts, room, drawn, rules, most)


def _move(room: RoomFacts, group: Iterable[int], step: Step, bends: bool) -> Room:
    places = set(group)
    elements = {
        element.id: replace(element, at=_shifted(element.at, step))
        for place, element in enumerate(room.elements)
        if place in places
    }
    drawn = _with_elements(room, elements)
    if not bends:
        return drawn
    moved = {lead.id for lead in _leads_of(room, group)}
    return replace(
        drawn,
        leads=tuple(
            replace(lead, route=tuple(_bent(stop, step) for stop in lead.route))
            if lead.id in moved
            else lead
            for lead in drawn.leads
        ),
    )


def _cut(room: RoomFacts, place: int, at: Step, length: float) -> Room:
    element = room.elements[place]
    return _with_elements(room, {element.id: replace(element, at=at, length=length)})


def _with_elements(room: RoomFacts, changed: Mapping[str, Element]) -> Room:
    return replace(
        room.drawn,
        elements=tuple(changed.get(element.id, element) for element in room.elements),
    )


def _leads_of(room: RoomFacts, group: Iterable[int]) -> list[Lead]:
    """Return the leads that join strips of a group and no others."""
    names = {room.elements[place].id for place in group}
    return [
        lead
        for lead in room.drawn.leads
        if (joined := {stop.element for stop in lead.route if stop.element is not None})
        and joined <= names
    ]


def _bent(stop: Stop, step: Step) -> Stop:
    if stop.kind != "bend" or stop.at is None:
        return stop
    return replace(stop, at=_shifted(stop.at, step))


def _shifted(at: Step, step: Step) -> Step:
    return (at[0] + step[0], at[1] + step[1])
