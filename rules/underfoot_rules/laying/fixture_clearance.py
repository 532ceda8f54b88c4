"""A strip too near to a fixture that stands on the floor, or under it."""

from collections.abc import Iterator

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Fixture
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    below,
)
from underfoot_rules.basis import CLEARANCE, COMMON_PRACTICE
from underfoot_rules.laying.mending import advise_mending, moves_off

# A strip by its place in the room, and a fixture with its outline.
StripNear = tuple[RoomFacts, int, Fixture, shapely.Polygon]

# What two outlines share along an edge, by rounding (mm2).
SLIVER = 1.0


def subjects(facts: Facts) -> Subjects[StripNear]:
    """Every strip with every fixture of its room that stands, or that a maker wants kept free."""
    total = sum(
        len(room.elements) * sum(fixture.keeps_strips_off for fixture, _ in room.fixtures)
        for room in facts.heated_rooms
    )
    return Subjects(candidates=tuple(_near(facts)), total=total)


def _near(facts: Facts) -> Iterator[Subject[StripNear]]:
    minimum = facts.limits["fixture-clearance"]["minimum"]
    for room in facts.heated_rooms:
        for fixture, polygon in room.fixtures:
            if not fixture.keeps_strips_off:
                continue
            reach = fixture.keep_free(minimum)
            for place in np.sort(room.tree.query(polygon, predicate="dwithin", distance=reach)):
                element = room.elements[place]
                yield Subject(
                    room=room.id,
                    items=(element.id, fixture.id),
                    path=element.path,
                    payload=(room, place, fixture, polygon),
                )


def check(subject: Subject[StripNear], facts: Facts, limits: Limits) -> Finding | None:
    """Compare the least distance; 0 where the strip lies under the fixture."""
    room, place, fixture, polygon = subject.payload
    strip = room.strips[place]
    distance = float(shapely.distance(strip, polygon))
    least = fixture.keep_free(limits["minimum"])
    if not below(distance, least):
        return None
    by_maker = not fixture.is_standing or above(least, limits["minimum"])
    name = subject.items[0]
    shared = shapely.intersection(strip, polygon) if distance == 0 else None
    where = "lies {measured} from"
    if shared is not None:
        where = "lies under" if shared.area > SLIVER else "touches"
    return Finding(
        message=f"Strip {name} {where} {fixture.id} ({fixture.kind}); the least distance "
        f"{'that its maker allows' if by_maker else 'allowed'} is {{limit}}.",
        remedy=advise_mending(
            facts, room, place, moves_off(room, place, polygon, least), f", clear of {fixture.id}"
        ),
        measured=distance,
        least=least,
        limit_key=None if by_maker else "minimum",
        basis=CLEARANCE if by_maker else None,
        shape=shapely.shortest_line(strip, polygon) if shared is None else shared,
        related=(fixture.path,),
    )


RULE = Rule(
    finds="a strip nearer than allowed to a fixture that stands on the floor, or under it",
    why="Heat that cannot rise past a standing fixture builds up below it and spoils film and "
    "floor.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "minimum", 50, "mm", "least distance from strip to fixture", serves="fixture clearance"
        ),
    ),
    protects_life=True,
)
