"""A sensor under something that keeps the heat in."""

import shapely

from underfoot.api.facts import Facts, Place, RoomFacts
from underfoot.api.physics import rectangles
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.sensor.sensor_advice import advise_place


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, int]], ...]:
    """Every fixture of a room with strips."""
    return tuple(
        Subject(room=room.id, items=(fixture.id,), path=fixture.path, payload=(room, which))
        for room in facts.heated_rooms
        for which, (fixture, _) in enumerate(room.fixtures)
    )


def check(
    subject: Subject[tuple[RoomFacts, int]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Find the sensor under a standing fixture, or one on legs that are too low."""
    room, which = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    if not is_under(room, sensor.at, which):
        return None
    fixture, _ = room.fixtures[which]
    least = limits.of("covered-floor")["clear"]
    how = ""
    if not fixture.is_standing:
        if fixture.clear is None:
            return CannotTell(
                why=f"the clear height under {fixture.id} is not given",
                write=f"Write how much stays open under {fixture.id} (`clear`).",
            )
        if not below(fixture.clear, least):
            return None
        how = (
            ", which lies flat on the floor"
            if fixture.kind == "lying flat"
            else (
                f", which stands only {format_quantity(fixture.clear, 'mm', least)} above the "
                f"floor (at least {format_quantity(least, 'mm', fixture.clear)} lets the heat out)"
            )
        )
    advice = advise_place(facts, room)
    return Finding(
        message=f"The sensor at {point_text(*sensor.at)} lies under {fixture.id}{how}.",
        remedy=advice.says,
        offer=advice.offer,
        shape=shapely.Point(sensor.at),
        related=(sensor.path,),
    )


def is_under(room: RoomFacts, place: Place, which: int) -> bool:
    """Tell whether a place lies under a fixture of the room, its edge aside."""
    polygon = room.fixtures[which][1]
    point = shapely.Point(place)
    return bool(polygon.contains(point)) and polygon.exterior.distance(point) > rectangles.EDGE


RULE = Rule(
    severities=("warning",),
    finds="a sensor under a standing fixture, one on legs too low, or one that lies flat",
    why="Under a fixture the floor is warmer than elsewhere, so the room stays cold.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
