"""A sensor's conduit that leaves the room, or runs through what pierces or crushes it."""

from collections.abc import Iterator
from typing import Any

import shapely
from shapely import LineString

from underfoot.api.facts import (
    Facts,
    RoomFacts,
    find_conduit_outside,
    find_conduit_way,
    obstacles,
)
from underfoot.api.plan import Fixture
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    at_most,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.barring import find_too_near, why_it_bars
from underfoot_rules.basis import COMMON_PRACTICE

Barring = tuple[Fixture, Any]
# A fixture that the conduit passes, how long it lies in that and how near it comes.
Passing = tuple[RoomFacts, Fixture, Any, float, float]


def subjects(facts: Facts) -> Subjects[RoomFacts | Passing]:
    """Every room with strips, and each of its fixtures that no conduit can pass."""
    total = sum(1 + len(_bars(room)) for room in facts.heated_rooms)
    return Subjects(candidates=tuple(_ways(facts)), total=total)


def _bars(room: RoomFacts) -> tuple[Barring, ...]:
    return tuple(dict.fromkeys((*obstacles(room), *list_heat_sources(room))))


def _ways(facts: Facts) -> Iterator[Subject[RoomFacts | Passing]]:
    for room in facts.heated_rooms:
        path = room.path if room.drawn.sensor is None else room.drawn.sensor.path
        yield Subject(room=room.id, items=(), path=path, payload=room)
        barring = _bars(room)
        if not barring or len(room.sensor_way) < 2:
            continue
        way, areas = find_conduit_way(room), [polygon for _, polygon in barring]
        within = way.lengths_within(areas)
        clear = facts.limits["sensor-way"]["clear"]
        for place, distance in way.distances(areas, clear).items():
            fixture, polygon = barring[place]
            thing = (room, fixture, polygon, within.get(place, 0.0), distance)
            yield Subject(room=room.id, items=(fixture.id,), path=path, payload=thing)


def check(
    subject: Subject[RoomFacts | Passing], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Measure how far the conduit, with its width, lies outside the room or in a fixture."""
    if not isinstance(subject.payload, RoomFacts):
        room, fixture, polygon, length, distance = subject.payload
        return _through(room, fixture, polygon, length, distance, limits)
    room = subject.payload
    if room.drawn.sensor is None:
        return NO_SENSOR
    if len(room.sensor_way) < 2:
        return not_given.ROUTE
    outside = find_conduit_outside(room)
    if not above(outside.any_width, limits["tolerance"]):
        return None
    leaves = above(outside.middle, limits["tolerance"])
    return Finding(
        message="The sensor's conduit "
        + ("runs outside the room" if leaves else "lies with a part of its width in the wall")
        + " for {measured}.",
        remedy="Draw it inside the outline, from the junction box to the sensor, with all of its "
        "width on the floor.",
        measured=outside.any_width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.difference(LineString(room.sensor_way), room.outline) if leaves else None,
    )


def _through(
    room: RoomFacts,
    fixture: Fixture,
    polygon: Any,
    length: float,
    distance: float,
    limits: Limits,
) -> Finding | None:
    way = LineString(room.sensor_way)
    name = f"{fixture.id} ({fixture.kind})"
    remedy = f"Take the conduit round {fixture.id}"
    if above(length, limits["tolerance"]):
        hot = fixture.kind == "heat source" and not fixture.stops_floor
        why = "whose heat spoils it" if hot else why_it_bars(fixture)
        return Finding(
            message=f"The sensor's conduit runs {{measured}} through {name}, {why}.",
            remedy=f"{remedy}.",
            measured=length,
            most=limits["tolerance"],
            limit_key="tolerance",
            shape=shapely.intersection(way, polygon),
            related=(fixture.path,),
        )
    take = f"{remedy}, {{limit}} or more away"
    return find_too_near(
        "The sensor's conduit", way, fixture, polygon, distance, limits["clear"], take
    )


def list_heat_sources(room: RoomFacts) -> tuple[tuple[Fixture, Any], ...]:
    """List the fixtures that give off heat, with their outlines."""
    return tuple(pair for pair in room.fixtures if pair[0].kind == "heat source")


RULE = Rule(
    finds="a sensor's conduit that leaves the room, or runs through or too near to fixings, "
    "through structure, or under a heat source",
    why="A sensor's cable that is pierced or burnt may be live, and no longer limits the floor.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(
        at_most("tolerance", 1, "mm", "length of conduit that may lie there"),
        at_least("clear", 50, "mm", "least distance from the conduit to fixings"),
    ),
    electrical=True,
    protects_life=True,
)
