"""Reach: how far a thing lies from another over the floor, round its walls."""

from typing import Any

import shapely

from underfoot.api.facts import RoomFacts, find_floor_between_walls
from underfoot.api.physics import ways

# What is drawn so near to the floor (mm) stands on it.
_ON_FLOOR = 1.0


def reach_over_floor(
    room: RoomFacts, place: tuple[float, float], target: Any, farthest: float
) -> ways.Way | None:
    """Find the way from a place to a point or area that no wall stands in; None beyond `farthest`.

    Where either does not lie on the room's floor, walls are left out of account.
    """
    floor, here = find_floor_between_walls(room), shapely.Point(place)
    straight = shapely.shortest_line(here, target)
    length = float(shapely.length(straight))
    if length > farthest:
        return None
    if max(shapely.distance(floor, here), shapely.distance(floor, target)) > _ON_FLOOR:
        end = shapely.get_coordinates(straight)[-1]
        return ways.Way(length=length, places=(place, (float(end[0]), float(end[1]))))
    return ways.find_way(floor, place, target, farthest)
