"""A sensor too near to the edge of the heated floor."""

import shapely

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.advice import Advice
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.sensor.sensor_advice import SensorPlace, advise_place, place_sensor, say_place
from underfoot_rules.sensor.under_strips import find_deepest, find_strips_over, measure_to_strips


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the distance to the heated floor's edge; a note where no place is deep enough."""
    room = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    if measure_to_strips(room) > 0.001:
        return CannotTell(
            why="the sensor is not below a strip",
            write="Put the sensor below a strip (`sensor.at`).",
            worst="note",
        )
    depth = float(shapely.distance(shapely.Point(sensor.at), room.heated.boundary))
    minimum = limits["minimum"]
    if not below(depth, minimum):
        return None
    if facts.is_trial:
        # Whether it could lie deeper is dear to find, and does not make it lie deep.
        return Finding(message="", remedy="", measured=depth, least=minimum)
    message = (
        f"The sensor at {point_text(*sensor.at)} lies {{measured}} from the edge of the heated "
        "floor; at least {limit} is needed"
    )
    possible = _may_lie_deeper(facts, room, minimum)
    if possible:
        advice = advise_place(facts, room)
    else:
        found = find_deepest(room)
        x, y, deepest = found.x, found.y, found.distance
        message += f", but no place here is deeper than {format_quantity(deepest, 'mm')}"
        if not below(depth, deepest - 0.5):
            advice = Advice(
                says="It is as deep as this floor allows: set the floor limit with care."
            )
        elif not find_strips_over(room, (x, y)):
            advice = advise_place(facts, room)
        else:
            advice = say_place(
                facts,
                room,
                SensorPlace(x=x, y=y, depth=deepest),
                f"Move it to the deepest point, {point_text(x, y)}.",
                "Move it deeper inside the heated floor",
            )
    return Finding(
        message=f"{message}.",
        remedy=advice.says,
        offer=advice.offer,
        measured=depth,
        least=minimum,
        limit_key="minimum",
        severity="warning" if possible else "note",
        shape=shapely.Point(sensor.at),
        path=sensor.path,
    )


def _may_lie_deeper(facts: Facts, room: RoomFacts, minimum: float) -> bool:
    """Tell whether some place is deep enough; the deepest is dear to find, and seldom asked for."""
    place = place_sensor(facts, room)
    if place is not None and not below(place.depth, minimum):
        return True
    return not below(find_deepest(room).distance, minimum)


RULE = Rule(
    severities=("warning", "note"),
    finds="a sensor below a strip but too near to the edge of the heated floor",
    why="Near the edge the floor is colder than its middle, so the sensor reads too low.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    limits=(
        at_least("minimum", 500, "mm", "least distance from sensor to the heated floor's edge"),
    ),
)
