"""The shortest way over a floor round its walls, as a string drawn tight would lie."""

import heapq
import math
from typing import Any

import shapely
from msgspec import Struct
from shapely import LineString, Point

Spot = tuple[float, float]

# What lies outside the floor by less than this lies on its edge (mm).
EDGE = 0.01


class Way(Struct, frozen=True, kw_only=True):
    """A way and its length in mm; `places` are its start, the corners it bends at, and its end."""

    length: float
    places: tuple[Spot, ...]


def find_way(floor: Any, start: Spot, target: Any, farthest: float) -> Way | None:
    """Find the shortest way from a place to a shape that never leaves the floor.

    `floor` is an area, `target` a point or an area; None where there is no way of at most
    `farthest` mm. The way bends at corners of the floor alone, and its last part ends at the point
    of some edge of the target that is nearest to where that part begins.
    """
    wide = shapely.buffer(floor, EDGE, join_style="mitre")
    shapely.prepare(wide)
    corners = _corners_near(floor, start, farthest)
    best = _go_straight(wide, start, target, farthest)
    lengths: dict[Spot, float] = {start: 0.0}
    before: dict[Spot, Spot] = {}
    waiting = [(0.0, start)]
    done: set[Spot] = set()
    end_from: Spot | None = start if best is not None else None
    while waiting:
        length, here = heapq.heappop(waiting)
        if here in done or (best is not None and length >= best.length):
            continue
        done.add(here)
        if here != start:
            last = _go_straight(wide, here, target, farthest - length)
            if last is not None and (best is None or length + last.length < best.length):
                best, end_from = Way(length=length + last.length, places=last.places), here
        for corner in corners:
            onward = length + math.dist(here, corner)
            if corner in done or onward >= min(farthest, lengths.get(corner, math.inf)):
                continue
            if shapely.covers(wide, LineString([here, corner])):
                lengths[corner], before[corner] = onward, here
                heapq.heappush(waiting, (onward, corner))
    if best is None or end_from is None:
        return None
    places = [best.places[-1]]
    place: Spot | None = end_from
    while place is not None:
        places.append(place)
        place = before.get(place)
    return Way(length=best.length, places=tuple(reversed(places)))


def _corners_near(floor: Any, start: Spot, farthest: float) -> list[Spot]:
    found = [(float(x), float(y)) for x, y in shapely.get_coordinates(floor)]
    return [spot for spot in dict.fromkeys(found) if 0 < math.dist(start, spot) < farthest]


def _go_straight(wide: Any, start: Spot, target: Any, farthest: float) -> Way | None:
    """Go straight to the nearest point of the target that is in sight, edge by edge."""
    best: Way | None = None
    for part in _edges(target):
        link = shapely.shortest_line(Point(start), part)
        length = float(shapely.length(link))
        if length > farthest or (best is not None and length >= best.length):
            continue
        if shapely.covers(wide, link):
            end = shapely.get_coordinates(link)[-1]
            best = Way(length=length, places=(start, (float(end[0]), float(end[1]))))
    return best


def _edges(target: Any) -> list[Any]:
    if target.geom_type == "Point":
        return [target]
    if target.geom_type == "Polygon":
        spots = shapely.get_coordinates(target.exterior)
        return [target, *(LineString(spots[n : n + 2]) for n in range(len(spots) - 1))]
    return [target]
