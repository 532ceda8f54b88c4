"""The deepest point: where an area lies farthest from a boundary."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from underfoot.physics.ascent import Place, climb, reachable
from underfoot.physics.lines import segments
from underfoot.physics.rectangles import EDGE, PARALLEL, SAME, Floats
from underfoot.physics.shapes import inside, least_width

# A place is not looked at again that cannot lie deeper by more than this (mm).
_GAIN = 1e-7
# With so many places as deep, the rest are looked through less finely (mm).
_MANY, _COARSE = 12, 0.01
# Places looked for in one round: more are left to the smaller squares of the next.
_CLIMBS = 8
# Squares that the longer side of an area is cut into at first, at most.
_SLENDER = 64.0
_QUARTERS = np.array(((-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)))


@dataclass(frozen=True, slots=True)
class Deepest:
    """The point of an area that lies deepest, its distance from the boundary, and the length of
    the ridge in whose middle it lies, where others lie as deep along a line; 0 where none do."""

    x: float
    y: float
    distance: float
    ridge: float


def deepest_point(region: Any, boundary: Any) -> Deepest | None:
    """Find the point of a region that lies farthest from a boundary, to 1e-6 mm.

    Where a dozen places of one part and more are as deep, to 0.01 mm.

    The region is a Polygon or MultiPolygon whose edge lies on the boundary or on its own convex
    hull; its heated floor with its own edge, or what of an element lies outside, with the edge
    of the room. Where the points of a line lie equally deep, its middle is given, farthest from
    its ends; of several such the longest, then the one with least x, then least y. None where
    the region has no area.
    """
    parts = [part for part in shapely.get_parts(region) if part.area > 0.0]
    if not parts:
        return None
    areas = np.array(parts)
    own = bool(shapely.equals_exact(shapely.boundary(region), boundary, 0.0))
    # No point of an area lies deeper than this.
    if own:
        bound = least_width(areas) / 2.0
    else:
        bound = 2.0 * shapely.minimum_bounding_radius(areas) + shapely.distance(boundary, areas)
    low = shapely.bounds(areas)
    order = np.lexsort(
        (low[:, 1], low[:, 0], -np.round(shapely.area(areas), 3), -np.round(bound, 6))
    )
    best: Deepest | None = None
    seen: set[bytes] = set()
    for index in order:
        if best is not None and bound[index] <= best.distance + _GAIN:
            break
        # Of parts alike the first will do: they are as deep.
        shape = _shape(areas[index]) if own else b""
        if shape and shape in seen:
            continue
        seen.add(shape)
        # Within its own edge no other lies nearer.
        edge = shapely.boundary(areas[index]) if own else boundary
        sides, _ = segments(shapely.get_parts(edge))
        found = _middle(sides) if own else None
        if found is None:
            found = _search(areas[index], sides, best.distance if best else 0.0)
        if found is not None and (best is None or found.distance > best.distance + _GAIN):
            best = found
    return best


def farthest_outside(element: Any, outline: Any) -> Deepest | None:
    """Find the point of an element outside an outline that lies farthest from the outline.

    None where no point of it lies outside by more than 0.001 mm.
    """
    if bool(inside(np.array([element]), outline)[0]):
        return None
    found = deepest_point(shapely.difference(element, outline), shapely.boundary(outline))
    return found if found is not None and found.distance > EDGE else None


def _shape(area: Any) -> bytes:
    points = shapely.get_coordinates(shapely.normalize(area))
    return bytes(np.round(points - points[0], 4).tobytes())


def _middle(sides: Floats) -> Deepest | None:
    """Give the middle of a rectangle: None where the sides are not one's."""
    if len(sides) != 4:
        return None
    run = sides[:, 1] - sides[:, 0]
    size = np.hypot(*run.T)
    square = np.abs((run * np.roll(run, 1, axis=0)).sum(axis=1)) <= PARALLEL * size.prod() ** 0.5
    if not square.all():
        return None
    x, y = sides[:, 0].mean(axis=0)
    short, long = np.sort(size[:2])
    return Deepest(float(x), float(y), float(short / 2.0), float(long - short))


def _search(area: Any, sides: Floats, best: float) -> Deepest | None:
    """Halve squares, keeping those that may hold a deeper point than the deepest known."""
    shapely.prepare(area)
    tree = shapely.STRtree(shapely.linestrings(sides))
    walls = _walls(area)
    low, high = np.reshape(shapely.bounds(area), (2, 2))
    span = high - low
    half = float(max(span.min(), span.max() / _SLENDER)) / 2.0
    across, up = (
        np.arange(np.ceil(length / (2.0 * half) - SAME)) * 2.0 * half + half + start
        for length, start in zip(span, low, strict=True)
    )
    centres = np.stack([axis.ravel() for axis in np.meshgrid(across, up)], axis=1)
    places: list[Place] = []
    gain = _GAIN
    while len(centres) and half > _GAIN:
        reach = half * np.sqrt(2.0)
        points = shapely.points(centres)
        _, depth = tree.query_nearest(points, all_matches=False, return_distance=True)
        keep = (depth + reach > best + gain) & (shapely.distance(area, points) <= reach)
        centres, depth = centres[keep], depth[keep]
        new = np.ones(len(centres), np.bool_)
        for place in places:
            keep = place.bound(centres, half, sides, walls) > best + gain
            centres, depth, new = centres[keep], depth[keep], new[keep]
            new &= place.off(centres) > 2.0 * reach
        for _ in range(_CLIMBS):
            if gain > _GAIN:
                new &= depth > best + gain
            if not new.any():
                break
            start = _start(area, centres[new], depth[new])
            new &= np.hypot(*(centres - start).T) > 2.0 * reach
            depth_ahead, place = reachable(start, half, sides, walls)
            if depth_ahead <= best - SAME:
                keep = place.bound(centres, half, sides, walls) > best + gain
                centres = centres[keep]
                break
            place = climb(start, half, area, sides, walls)
            if any(np.hypot(*(place.point - known.point)) <= SAME for known in places):
                continue
            places.append(place)
            best = max(best, place.distance)
            as_deep = sum(known.distance > best - SAME for known in places)
            gain = _GAIN if as_deep < _MANY else _COARSE
            keep = place.bound(centres, half, sides, walls) > best + gain
            centres, depth, new = centres[keep], depth[keep], new[keep]
            new &= place.off(centres) > 2.0 * reach
        half /= 2.0
        centres = (centres[:, None] + half * _QUARTERS).reshape(-1, 2)
    tied = [place for place in places if place.distance >= best - SAME]
    if not tied:
        return None
    first = min(
        tied, key=lambda p: (-round(p.length, 6), round(p.point[0], 6), round(p.point[1], 6))
    )
    return Deepest(float(first.point[0]), float(first.point[1]), first.distance, first.length)


def _start(area: Any, centres: Floats, depth: Floats) -> Floats:
    """Give the deepest of the centres, or the point of the area nearest to it."""
    deepest = np.flatnonzero(depth >= depth.max() - SAME)
    order = np.lexsort((centres[deepest, 1], centres[deepest, 0]))
    centre = centres[deepest[order[0]]]
    line = shapely.shortest_line(area, shapely.points(centre))
    start: Floats = shapely.get_coordinates(line)[0]
    return start


def _walls(area: Any) -> Floats:
    """Give the sides of the hull as (w, 3): (x, y) has a + b x + c y of room before a wall."""
    ring = shapely.get_coordinates(shapely.convex_hull(area))
    run = np.diff(ring, axis=0)
    normal = np.stack((-run[:, 1], run[:, 0]), axis=1) / np.hypot(*run.T)[:, None]
    room = -(normal * ring[:-1]).sum(axis=1)
    side = np.sign(room + normal @ ring[:-1].mean(axis=0))
    walls: Floats = np.concatenate((room[:, None], normal), axis=1) * side[:, None]
    return walls
