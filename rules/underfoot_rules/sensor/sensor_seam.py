"""A sensor on the seam of two strips, where a place beside it would do."""

from __future__ import annotations

import shapely

from underfoot.api.facts import Facts, RoomFacts, find_seam
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import own_default
from underfoot_rules.sensor.sensor_advice import half_of_conduit, place_sensor


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips."""
    return facts.room_subjects


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure from the sensor to the nearest seam, and look for a place that is on none."""
    room = subject.payload
    sensor = room.room.sensor
    if sensor is None:
        return CannotTell(
            "there is no floor sensor", "Draw the sensor: `sensor` with `at`.", "warning"
        )
    half = half_of_conduit(facts, room)
    seam = find_seam(room, sensor.at, half)
    if seam is None or not below(seam.distance, half):
        return None
    place = place_sensor(facts, room)
    if place is None or find_seam(room, (place.x, place.y), half) is not None:
        return None
    own = float(shapely.distance(room.heated.boundary, shapely.Point(sensor.at)))
    if below(place.depth, min(own, limits.of("sensor-depth")["minimum"])):
        return None
    first, second = sorted((room.elements[seam.first].id, room.elements[seam.second].id))
    where = "lies on" if seam.distance == 0 else "lies {measured} from"
    return Finding(
        message=f"The sensor at {point_text(*sensor.at)} {where} the seam of {first} and {second}; "
        "a place "
        "beside it would do, at least {limit} off.",
        remedy=f"Move it to {point_text(place.x, place.y)}: below one strip, "
        f"{format_quantity(place.depth, 'mm')} "
        "from the edge of the heated floor.",
        measured=seam.distance,
        least=half,
        limit_key="half_width",
        shape=shapely.Point(sensor.at),
        path=sensor.path,
    )


RULE = Rule(
    id="sensor-seam",
    topic="sensor",
    severities=("warning",),
    finds="a sensor on the seam of two strips, where a place beside it would do",
    why="The edges of strips give no heat: a sensor below a seam reads less than the floor has.",
    unit="mm",
    basis=own_default("half the conduit's width, so that the sensor lies wholly below one strip"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(
        Limit("half_width", 6, "mm", "half the conduit's width where none is given", "higher"),
    ),
)
