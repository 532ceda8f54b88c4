"""A narrow gap between two strips, which stays cold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from msgspec import Struct

from underfoot.api.facts import Facts, RoomFacts, hangs_on, low_fixtures
from underfoot.api.physics import neighbours, rectangles, shapes
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_least,
    at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import common_practice
from underfoot_rules.laying.mending import butted_to, fits_moved
from underfoot_rules.laying.ways import Way, choose, move_ways

# Long sides that face each other over less do not leave a strip of floor between them.
FACING = 100.0
_BUTT = ", so that they butt"


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, StripGap]]:
    """List the pairs of strips with a gap between them; every pair of a room is counted."""
    limits = facts.limits["strip-gap"]
    legs = facts.limits["covered-floor"]["clear"]
    near = []
    total = 0
    for room in facts.heated_rooms:
        count = len(room.elements)
        total += count * (count - 1) // 2
        for gap in find_strip_gaps(room, limits["tolerance"], limits["up_to"], FACING, legs):
            names = tuple(sorted((room.elements[gap.first].id, room.elements[gap.second].id)))
            path = room.elements[room.place_of[names[0]]].path
            near.append(Subject(room=room.id, items=names, path=path, payload=(room, gap)))
    return Subjects(candidates=near, total=total)


def check(
    subject: Subject[tuple[RoomFacts, StripGap]], facts: Facts, limits: Limits
) -> Finding | None:
    """Report the gap: `subjects` lists none that is allowed."""
    room, gap = subject.payload
    first, second = subject.items
    return Finding(
        message=f"Strips {first} and {second} leave a gap of {{measured}} between them, "
        f"{format_quantity(gap.facing, 'mm')} long, which stays cold; they should butt "
        f"(at most {{limit}}), or lie {format_quantity(limits['up_to'], 'mm')} or more apart.",
        remedy=_advise(facts, room, gap, first, second),
        measured=gap.width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=gap.shape,
        related=(room.elements[room.place_of[second]].path,),
    )


def _advise(facts: Facts, room: RoomFacts, gap: StripGap, first: str, second: str) -> str:
    if not facts.is_advised:
        return ""
    one, other = (room.elements[room.place_of[name]] for name in (first, second))
    if one.row is not None and one.row == other.row:
        if abs(gap.width - one.film.width) < 1:
            return f"Fill the empty place between them in row {one.row}."
        return f"Give row {one.row} no spacing, so that its strips butt."
    chosen = choose(facts, room, _closing(facts, room, gap, first, second), _BUTT)
    if chosen is not None:
        return chosen.said
    return "Move one of the two, with what is butted to it, until they butt."


def _closing(
    facts: Facts, room: RoomFacts, gap: StripGap, first: str, second: str
) -> Iterator[Way]:
    """Yield the moves of one of the two, with what is butted to it, that close the gap."""
    for name, fixed in ((second, first), (first, second)):
        place, against = room.place_of[name], room.place_of[fixed]
        step = _step(room, place, against, gap.width)
        block = butted_to(room, place)
        if against in block:
            block = (place,)
        beside = [room.elements[each].id for each in block if each != place]
        named = f"{name} with the strips butted to it ({join_names(beside)})" if beside else name
        if fits_moved(facts, room, block, step):
            yield from move_ways(room, block, named, step, _BUTT)


def _step(room: RoomFacts, place: int, against: int, gap: float) -> tuple[float, float]:
    """Return the move of a strip across the gap towards the other."""
    corners = room.corners[against]
    across = corners[3] - corners[0]
    across = across / np.hypot(*across)
    side = (room.corners[place].mean(axis=0) - corners.mean(axis=0)) @ across
    dx, dy = (-np.sign(side) * gap * across).tolist()
    return dx, dy


class StripGap(Struct, frozen=True, kw_only=True):
    """A gap between two strips, by their places: its width, its length and its shape."""

    first: int
    second: int
    width: float
    facing: float
    shape: Any


@hangs_on("outline", "elements", "fixtures", "joints")
def find_strip_gaps(
    room: RoomFacts, tolerance: float, up_to: float, facing: float, legs: float
) -> tuple[StripGap, ...]:
    """Find the gaps wider than `tolerance` and narrower than `up_to` between long sides.

    The sides face each other over at least `facing`. A gap with a third strip, a joint, a standing
    fixture, one on legs lower than `legs` or a wall in it has a reason, and is none.
    """
    found = neighbours.gaps_between(room.corners, up_to, tolerance + rectangles.SAME)
    held = (found.gap < up_to - rectangles.SAME) & (found.facing >= facing - rectangles.SAME)
    if not held.any():
        return ()
    corners = found.corners
    things = [
        room.strips,
        np.array([line for _, line in room.joints], dtype=object),
        np.array(
            [polygon for _, polygon in (*room.standing, *low_fixtures(room, legs))], dtype=object
        ),
    ]
    places = np.flatnonzero(held)
    for kind in things:
        met = neighbours.met_by(corners[places], kind)
        places = np.delete(places, np.unique(met[:, 0]))
    areas = rectangles.polygons(corners[places])
    open_floor = shapes.inside(areas, room.outline)
    return tuple(
        StripGap(
            first=int(found.pairs[place, 0]),
            second=int(found.pairs[place, 1]),
            width=float(found.gap[place]),
            facing=float(found.facing[place]),
            shape=area,
        )
        for place, area, is_open in zip(places, areas, open_floor, strict=True)
        if is_open
    )


RULE = Rule(
    severities=("warning",),
    finds="a narrow gap between two strips that lie side by side",
    why="The floor over a gap stays cold, and a bare foot feels the stripe.",
    unit="mm",
    basis=common_practice("the floor between two strips stays cold"),
    subjects=subjects,
    check=check,
    limits=(
        at_most("tolerance", 1, "mm", "widest gap between strips that butt"),
        at_least("up_to", 250, "mm", "from this width on a gap counts as planned"),
    ),
)
