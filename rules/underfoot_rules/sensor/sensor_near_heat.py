"""A sensor too near to a stove or another heat source."""

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    point_text,
)
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.basis import own_default
from underfoot_rules.sensor.sensor_advice import advise_place


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, shapely.Polygon]], ...]:
    """Every heat source of a room with strips."""
    return tuple(
        Subject(room=room.id, items=(fixture.id,), path=fixture.path, payload=(room, polygon))
        for room in facts.heated_rooms
        for fixture, polygon in room.fixtures
        if fixture.kind == "heat source"
    )


def check(
    subject: Subject[tuple[RoomFacts, shapely.Polygon]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Measure from the sensor to the heat source."""
    room, polygon = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    point = shapely.Point(sensor.at)
    distance = float(shapely.distance(point, polygon))
    if not below(distance, limits["apart"]):
        return None
    (source,) = subject.items
    advice = advise_place(facts, room)
    return Finding(
        message=f"The sensor at {point_text(*sensor.at)} lies {{measured}} from {source}, a heat "
        "source; at least {limit} is needed.",
        remedy=advice.says,
        offer=advice.offer,
        measured=distance,
        least=limits["apart"],
        limit_key="apart",
        shape=shapely.shortest_line(point, polygon) if distance > 0 else point,
        related=(sensor.path,),
    )


RULE = Rule(
    severities=("warning",),
    finds="a sensor too near to a heat source",
    why="Warmed by a stove, the sensor switches off while the rest of the floor is still cold.",
    unit="mm",
    basis=own_default("the sensor must read an average of the floor"),
    subjects=subjects,
    check=check,
    limits=(at_least("apart", 300, "mm", "least distance from sensor to a heat source"),),
)
