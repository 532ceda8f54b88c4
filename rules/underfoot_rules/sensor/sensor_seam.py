"""A sensor on the seam of two strips, where a place beside it would do."""

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.facts import Facts, Place, RoomFacts, each_room
from underfoot.api.physics import heated, rectangles
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
from underfoot_rules.basis import own_default
from underfoot_rules.sensor.sensor_advice import half_of_conduit, place_sensor, say_place

# For more strips than that vectors are quicker than a look at each.
_MOST_STRIPS = 512


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure from the sensor to the nearest seam, and look for a place that is on none."""
    room = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return CannotTell(
            why="there is no floor sensor",
            write="Draw the sensor: `sensor` with `at`.",
            worst="warning",
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
    advice = say_place(
        facts,
        room,
        place,
        f"Move it to {point_text(place.x, place.y)}: below one strip, "
        f"{format_quantity(place.depth, 'mm')} from the edge of the heated floor.",
        "Move it off the seam, below one strip",
    )
    return Finding(
        message=f"The sensor at {point_text(*sensor.at)} {where} the seam of {first} and {second}; "
        "a place beside it would do, at least {limit} off.",
        remedy=advice.says,
        offer=advice.offer,
        measured=seam.distance,
        least=half,
        limit_key="half_width",
        shape=shapely.Point(sensor.at),
        path=sensor.path,
    )


class Seam(Struct, frozen=True, kw_only=True):
    """The seam of two strips, by their places, and how far from it a place lies."""

    first: int
    second: int
    distance: float


def find_seam(room: RoomFacts, place: Place, reach: float) -> Seam | None:
    """Find the nearest seam of butted strips less than `reach` from a place below one of them."""
    if not is_near_two(room, place, reach + heated.BUTTED):
        return None
    point = shapely.Point(place)
    near = room.tree.query(point, predicate="dwithin", distance=reach + heated.BUTTED)
    if len(near) < 2:
        return None
    near = np.sort(near)
    away = shapely.distance(room.strips[near], point)
    own = int(np.argmin(away))
    if away[own] > rectangles.EDGE:
        return None
    gaps = shapely.distance(room.strips[near], room.strips[near[own]])
    off = np.maximum(away - gaps, 0.0)
    off[(gaps > heated.BUTTED + rectangles.SAME) | (np.arange(len(near)) == own)] = np.inf
    other = int(np.argmin(off))
    if off[other] >= reach:
        return None
    first, second = sorted((int(near[own]), int(near[other])))
    return Seam(first=first, second=second, distance=float(off[other]))


def is_near_two(room: RoomFacts, place: Place, reach: float) -> bool:
    """Tell whether a place may lie so near to two strips."""
    if len(room.elements) > _MOST_STRIPS:
        return True
    x, y = place
    reach += rectangles.EDGE
    return (
        sum(
            left - reach <= x <= right + reach and low - reach <= y <= high + reach
            for left, low, right, high in room.strip_boxes
        )
        > 1
    )


RULE = Rule(
    severities=("warning",),
    finds="a sensor on the seam of two strips, where a place beside it would do",
    why="The edges of strips give no heat: a sensor below a seam reads less than the floor has.",
    unit="mm",
    basis=own_default("half the conduit's width, so that the sensor lies wholly below one strip"),
    subjects=each_room,
    check=check,
    limits=(at_least("half_width", 6, "mm", "half the conduit's width where none is given"),),
)
