"""Says where a floor sensor would lie well."""

from __future__ import annotations

from collections.abc import Sequence

from underfoot.api.facts import Facts, RoomFacts, SensorPlace, find_sensor_place
from underfoot.api.rules import format_quantity, point_text


def place_sensor(
    facts: Facts, room: RoomFacts, below_only: Sequence[int] | None = None
) -> SensorPlace | None:
    """Find the nearest place to the sensor, else to the junction box, that meets every rule."""
    sensor = room.room.sensor
    limits = facts.limits
    return find_sensor_place(
        room,
        limits["sensor-depth"]["minimum"],
        limits["sensor-near-heat"]["apart"],
        limits["covered-floor"]["clear"],
        room.box if sensor is None else sensor.at,
        half_of_conduit(facts, room),
        below_only,
    )


def half_of_conduit(facts: Facts, room: RoomFacts) -> float:
    """Give half the width of the sensor's conduit, or what is taken where it is not given."""
    sensor = room.room.sensor
    conduit = sensor.conduit if sensor is not None else None
    if conduit is None or conduit.width is None:
        return facts.limits["sensor-seam"]["half_width"]
    return conduit.width / 2


def advise_place(facts: Facts, room: RoomFacts, verb: str = "Move it to") -> str:
    """Say where the sensor should be."""
    place = place_sensor(facts, room)
    if place is None:
        return "Plan strips where the sensor can lie below one, clear of heat sources and fixtures."
    return (
        f"{verb} {point_text(place.x, place.y)}: below a strip, "
        f"{format_quantity(place.depth, 'mm')} from the edge "
        "of the heated floor."
    )
