"""A sensor that is not below a strip."""

import shapely

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, point_text
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.sensor.sensor_advice import advise_place
from underfoot_rules.sensor.under_strips import measure_to_strips

ON_THE_EDGE = 0.001


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure from the sensor to the nearest strip; on a strip's edge is below it."""
    room = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    distance = measure_to_strips(room)
    if distance <= ON_THE_EDGE:
        return None
    advice = advise_place(facts, room)
    return Finding(
        message=f"The sensor at {point_text(*sensor.at)} is not below a strip: the nearest is "
        "{measured} away.",
        remedy=advice.says,
        offer=advice.offer,
        measured=distance,
        most=0.0,
        shape=shapely.Point(sensor.at),
        path=sensor.path,
    )


RULE = Rule(
    finds="a sensor that is not below a strip",
    why="A sensor in cold floor reads too low, and the heated floor goes on getting hotter.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    protects_life=True,
)
