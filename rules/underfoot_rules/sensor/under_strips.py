"""Where a sensor lies below the strips, and how deep inside the heated floor it could."""

import math

import shapely

from underfoot.api.facts import Place, RoomFacts, hangs_on
from underfoot.api.physics import depth, rectangles

# With more strips than that a tree is quicker than a look at each.
_MOST_STRIPS = 512


def find_strips_over(room: RoomFacts, place: Place) -> list[int]:
    """Find the strips that lie over a place, their edges included, in the room's order."""
    found = room.tree.query(shapely.Point(place), predicate="dwithin", distance=rectangles.EDGE)
    return sorted(int(each) for each in found)


def is_under_one(room: RoomFacts, place: Place) -> bool:
    """Tell whether a place surely lies under a strip, its edge aside."""
    if not room.is_upright or len(room.elements) > _MOST_STRIPS:
        return False
    x, y = place
    return any(left < x < right and low < y < high for left, low, right, high in room.strip_boxes)


@hangs_on("sensor", "elements")
def measure_to_strips(room: RoomFacts) -> float:
    """Measure from the sensor to the nearest strip, 0 below one; infinite without either."""
    sensor = room.drawn.sensor
    if sensor is None or not room.elements:
        return math.inf
    if is_under_one(room, sensor.at):
        return 0.0
    return float(shapely.distance(room.strips, shapely.Point(sensor.at)).min())


@hangs_on("elements")
def find_deepest(room: RoomFacts) -> depth.Deepest:
    """Find the place in the heated floor farthest from its edge."""
    found = depth.deepest_point(room.heated, room.heated.boundary)
    if found is None:  # a heated floor without area: strips have one, so only rounding
        x, y = room.heated.centroid.coords[0]
        return depth.Deepest(x=x, y=y, distance=0.0, ridge=0.0)
    return found
