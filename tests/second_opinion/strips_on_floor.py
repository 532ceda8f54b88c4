"""What is wrong with the strips of one room as drawn."""

import math
from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import Any

import shapely

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Expected
from underfoot_rules.mutations.drawn import Drawn, Strip

LIMIT = 0.01


def strip_faults(room: Drawn) -> Iterator[Expected]:
    """Judge each strip, and each pair of strips; UnclearError where that is too close to tell."""
    for strip in room.strips.values():
        yield from _of_walls(strip, room)
        yield from _of_fixtures(strip, room)
        for name, joint in room.joints.items():
            if exceeds(length_inside(joint, strip.shape), 1, 0.1):
                yield error("joint-crossing", room.id, strip.id, name)
    for one, other in combinations(room.strips.values(), 2):
        if one.shape.distance(other.shape) >= 250:
            continue
        names = tuple(sorted((one.id, other.id)))
        shared = one.shape.intersection(other.shape)
        if shared.area > 1 and exceeds(least_width(shared), 1, 0.05):
            yield error("element-overlap", room.id, *names)
        elif _leave_gap(one, other, room):
            yield warning("strip-gap", room.id, *names)


def length_inside(line: Any, shape: Any) -> float:
    """Return the length of a line inside a shape; along its edge is not inside."""
    if not shapely.intersects(line, shape):
        return 0.0
    return float(line.intersection(shape.buffer(-0.001)).length)


def least_width(shape: Any) -> float:
    """Return the least distance between two parallel lines that hold a convex shape."""
    hull = shape.convex_hull
    corners = list(hull.exterior.coords)
    widths = []
    for (ax, ay), (bx, by) in pairwise(corners):
        side = math.dist((ax, ay), (bx, by))
        if side > 1e-9:
            widths.append(
                max(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / side for x, y in corners)
            )
    return float(min(widths))


def _of_walls(strip: Strip, room: Drawn) -> Iterator[Expected]:
    beyond = strip.shape.difference(room.outline)
    if beyond.area > 1e-3:
        farthest = max(
            room.outline.distance(shapely.Point(point)) for point in shapely.get_coordinates(beyond)
        )
        if exceeds(farthest, 1, 0.05):
            yield error("element-outside-room", room.id, strip.id)
            return
        if beyond.area > 1000:
            raise UnclearError
    distance = strip.shape.distance(room.outline.exterior)
    if falls_short(distance, 50, LIMIT / 100):
        yield error("wall-clearance", room.id, strip.id)
    elif falls_short(distance, 58, LIMIT / 100):
        yield warning("wall-clearance", room.id, strip.id)


def _of_fixtures(strip: Strip, room: Drawn) -> Iterator[Expected]:
    for fixture in room.fixtures.values():
        least = fixture.kept_free
        if least:
            distance = strip.shape.distance(fixture.shape)
            # At the very limit the rule is met: a clearance of 50 mm is one of 50 mm.
            if abs(distance - least) > 1e-7 and falls_short(distance, least, LIMIT / 100):
                yield error("fixture-clearance", room.id, strip.id, fixture.id)
        if fixture.is_low:
            shared = strip.shape.intersection(fixture.shape).area
            if shared > 0 and exceeds(shared, 1, 0.9):
                yield error("covered-floor", room.id, strip.id, fixture.id)


def _leave_gap(one: Strip, other: Strip, room: Drawn) -> bool:
    """Tell whether two parallel strips leave a strip of cold floor between their long sides."""
    turned = abs(one.along[0] * other.along[1] - one.along[1] * other.along[0])
    if turned > 1e-6:
        if turned < 0.02:
            raise UnclearError
        return False
    u, v = one.along, (-one.along[1], one.along[0])
    low, high, near, far = _spans(one, u, v)
    low_2, high_2, near_2, far_2 = _spans(other, u, v)
    gap = max(near_2 - far, near - far_2)
    start, facing = max(low, low_2), min(high, high_2) - max(low, low_2)
    if gap <= 0.5 or facing <= 0:
        return False
    if not (exceeds(facing, 100, 0.1) and exceeds(gap, 1, 0.05) and not exceeds(gap, 250, 0.05)):
        return False
    bottom = far if near_2 > near else far_2
    between = shapely.Polygon(
        [
            (s * u[0] + t * v[0], s * u[1] + t * v[1])
            for s, t in (
                (start, bottom),
                (start + facing, bottom),
                (start + facing, bottom + gap),
                (start, bottom + gap),
            )
        ]
    ).buffer(-0.01)
    things = [s.shape for s in room.strips.values() if s.id not in (one.id, other.id)]
    things += [f.shape for f in room.fixtures.values() if f.stands or f.is_low]
    things += list(room.joints.values())
    within = [thing for thing in things if thing.intersects(between)]
    if not within:
        return True
    # What fills only part of the gap leaves it open to argument, unless little is left.
    left = facing - sum(_reach(thing.intersection(between), u) for thing in within)
    if left >= 99:
        raise UnclearError
    return False


def _reach(shape: Any, u: tuple[float, float]) -> float:
    along = [x * u[0] + y * u[1] for x, y in shapely.get_coordinates(shape)]
    return float(max(along) - min(along))


def _spans(
    strip: Strip, u: tuple[float, float], v: tuple[float, float]
) -> tuple[float, float, float, float]:
    corners = shapely.get_coordinates(strip.shape)
    along = [x * u[0] + y * u[1] for x, y in corners]
    across = [x * v[0] + y * v[1] for x, y in corners]
    return min(along), max(along), min(across), max(across)
