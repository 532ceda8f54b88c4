"""Two strips of a room that lie on each other."""

from collections.abc import Iterator
from itertools import chain

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.physics import separation
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, Subjects, at_most
from underfoot_rules.basis import common_practice
from underfoot_rules.laying.mending import cuts, longer_moves, moves, moves_off
from underfoot_rules.laying.ways import Way, choose

# Two strips by their places in the room, and the width that they share.
Pair = tuple[RoomFacts, int, int, float]

# Beyond so many pairs in a room no single move puts it right.
MANY = 300


def subjects(facts: Facts) -> Subjects[Pair | None]:
    """List the pairs of strips whose areas meet; every pair of a room is counted."""
    near = [
        _subject(room, i, j, width) for room in facts.heated_rooms for i, j, width in room.overlaps
    ]
    near += [
        Subject(room=room.id, items=(), path=room.path)
        for room in facts.heated_rooms
        if not room.overlapping.complete
    ]
    total = sum(len(room.elements) * (len(room.elements) - 1) // 2 for room in facts.heated_rooms)
    return Subjects(candidates=near, total=total)


def _subject(room: RoomFacts, i: int, j: int, width: float) -> Subject[Pair | None]:
    first, second = sorted((i, j), key=lambda place: room.elements[place].id)
    names = (room.elements[first].id, room.elements[second].id)
    return Subject(
        room=room.id,
        items=names,
        path=room.elements[first].path,
        payload=(room, first, second, width),
    )


def check(
    subject: Subject[Pair | None], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Find a shared area wider than the tolerance."""
    if subject.payload is None:
        return CannotTell(
            why="so many strips lie on each other that not every pair of them was looked at",
            write="Put right the overlaps that were found, and check the plan again.",
        )
    room, *order, width = subject.payload
    if width <= limits["tolerance"] + 1e-6:
        return None
    first, second = subject.items
    return Finding(
        message=f"Strips {first} and {second} lie on each other over a width of {{measured}}; "
        "strips may touch but not overlap.",
        remedy=_advise(facts, room, order)
        if len(room.overlaps) <= MANY
        else f"Lay the strips of {room.id} anew: {len(room.overlaps)} pairs of them lie on each "
        "other.",
        measured=width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(room.strips[order[0]], room.strips[order[1]]),
        related=(room.elements[order[1]].path,),
    )


def _advise(facts: Facts, room: RoomFacts, order: list[int]) -> str:
    """Say how the second is taken off the first, else the first off the second."""
    if not facts.is_advised:
        return ""
    first, second = (room.elements[place].id for place in order)
    pairs = [(order[1], order[0]), (order[0], order[1])]
    words: list[str] = []
    for ways_of in (_short_moves, _others):
        for place, other in pairs:
            goal = f", off {room.elements[other].id}"
            chosen = choose(facts, room, ways_of(facts, room, place, other), goal)
            if chosen is not None and chosen.in_figures:
                return chosen.said
            words += [chosen.said] if chosen is not None else []
    if words:
        return words[0]
    return f"Leave out {second}, or {first}: no short move and no cut takes one off the other here."


def _short_moves(facts: Facts, room: RoomFacts, place: int, other: int) -> Iterator[Way]:
    step = separation.separating_move(room.strips[place], room.strips[other])
    steps = [step, *moves_off(room, place, room.strips[other], 0.0)]
    return moves(facts, room, place, steps, off=other)


def _others(facts: Facts, room: RoomFacts, place: int, other: int) -> Iterator[Way]:
    return chain(longer_moves(facts, room, place), cuts(facts, room, place))


RULE = Rule(
    finds="two strips of a room that lie on each other",
    why="Where two strips lie on each other the floor gets twice the heat and the film burns.",
    unit="mm",
    basis=common_practice("local overheating"),
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "greatest width of a shared area"),),
    protects_life=True,
)
