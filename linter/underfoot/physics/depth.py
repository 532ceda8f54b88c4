"""The deepest point: where an area lies farthest from a boundary."""

from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.physics.ascent import Place, climb, reachable
from underfoot.physics.lines import segments
from underfoot.physics.rectangles import EDGE, GRID, PARALLEL, SAME, Floats, Geometries
from underfoot.physics.shapes import inside, least_width

# A place is not looked at again that cannot lie deeper by more than this (mm).
_GAIN = 1e-7
# With so many places as deep, the rest are looked through less finely (mm); less finely still
# where so many squares are left that are as small as this. No more than so many are kept at all.
_MANY, _COARSE = 12, 0.01
_MANY_SQUARES, _SMALL, _COARSEST = 8192, 100.0, 2.0
_MOST_SQUARES = 32_768
# Places looked for in one round: more are left to the smaller rectangles of the next.
_CLIMBS = 8
# Pieces that the longer side of an area is cut into at first, at most.
_SLENDER = 64
_QUARTERS = np.array(((-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)))


class Deepest(Struct, frozen=True, kw_only=True):
    """The point of an area that lies deepest, its distance from the boundary, and the length of
    the ridge in whose middle it lies, where others lie as deep along a line; 0 where none do."""

    x: float
    y: float
    distance: float
    ridge: float


def deepest_point(region: Any, boundary: Any) -> Deepest | None:
    """Find the point of a region that lies farthest from a boundary, to 1e-6 mm.

    Where a dozen places of one part are as deep, to 0.01 mm, and where hundreds are, to 2 mm.

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
        # Corners that only rounding bends are none.
        sides, _ = segments(shapely.get_parts(shapely.simplify(edge, 2.0 * GRID)))
        found = _middle(sides) if own else None
        if found is None:
            found = _search(areas[index], sides, own, best.distance if best else 0.0)
        if found is not None and (best is None or found.distance > best.distance + _GAIN):
            best = found
    return best


def farthest_outside(element: Any, outline: Any) -> Deepest | None:
    """Find the point of an element outside an outline that lies farthest from the outline.

    None where no point of it lies outside by more than 0.001 mm.
    """
    if bool(inside(np.array([element]), outline)[0]):
        return None
    found = deepest_point(
        shapely.difference(element, outline, grid_size=GRID), shapely.boundary(outline)
    )
    return found if found is not None and found.distance > EDGE else None


def distances_outside(elements: Geometries, outline: Any) -> Floats:
    """Measure how far the farthest outside point of each element lies from an outline, (n,).

    0 where an element lies inside. Mostly that point is a corner of what lies outside: proven
    where the outline, or the side nearest to that corner, bounds all of it; else it is searched.
    """
    far = np.zeros(len(elements))
    out = np.flatnonzero(~inside(elements, outline))
    if not len(out):
        return far
    points, owner = shapely.get_coordinates(
        shapely.difference(elements[out], outline, grid_size=GRID), return_index=True
    )
    dots = shapely.points(points)
    sides, _ = segments(shapely.get_parts(shapely.boundary(outline)))
    lines = shapely.linestrings(sides)
    found, distance = shapely.STRtree(lines).query_nearest(
        dots, all_matches=False, return_distance=True
    )
    order = np.lexsort((distance, owner))
    last = order[np.append(np.diff(owner[order]) > 0, True)] if len(order) else order
    far[out[owner[last]]] = distance[last]
    if not _is_convex(sides):
        # The distance to one side is convex, so greatest at a corner, and no point lies farther.
        nearest = np.zeros(len(out), np.intp)
        nearest[owner[last]] = found[1][last]
        bound = np.zeros(len(out))
        np.maximum.at(bound, owner, shapely.distance(dots, lines[nearest[owner]]))
        for index in out[bound > far[out] + _GAIN]:
            deepest = farthest_outside(elements[index], outline)
            far[index] = max(far[index], deepest.distance if deepest is not None else 0.0)
    return np.where(far > EDGE, far, 0.0)


def _is_convex(sides: Floats) -> bool:
    """Tell whether the sides of a ring never turn the other way."""
    run = sides[:, 1] - sides[:, 0]
    onward = np.roll(run, -1, axis=0)
    turn = run[:, 0] * onward[:, 1] - run[:, 1] * onward[:, 0]
    joined = bool((sides[:, 1] == np.roll(sides[:, 0], -1, axis=0)).all())
    return joined and bool((turn >= 0.0).all() or (turn <= 0.0).all())


def _shape(area: Any) -> bytes:
    points = shapely.get_coordinates(shapely.normalize(area))
    return bytes(np.round(points - points[0], 4).tobytes())


def _middle(sides: Floats) -> Deepest | None:
    """Return the middle of a rectangle: None where the sides are not one's."""
    if len(sides) != 4:
        return None
    run = sides[:, 1] - sides[:, 0]
    size = np.hypot(*run.T)
    square = np.abs((run * np.roll(run, 1, axis=0)).sum(axis=1)) <= PARALLEL * size.prod() ** 0.5
    if not square.all():
        return None
    x, y = sides[:, 0].mean(axis=0)
    short, long = np.sort(size[:2])
    return Deepest(x=float(x), y=float(y), distance=float(short / 2.0), ridge=float(long - short))


def _search(area: Any, sides: Floats, own: bool, best: float) -> Deepest | None:
    """Quarter rectangles, keeping those that may hold a deeper point than the deepest known."""
    shapely.prepare(area)
    tree = shapely.STRtree(shapely.linestrings(sides))
    walls = _walls(area)
    centres, halves = _cut_up(area)
    places: list[Place] = []
    proofs: list[Place] = []
    gain = _GAIN
    while len(centres):
        reach = float(np.sqrt((halves * halves).sum()))
        if reach <= _GAIN:
            break
        points = shapely.points(centres)
        _, depth = tree.query_nearest(points, all_matches=False, return_distance=True)
        away = np.zeros(len(centres))
        out = np.flatnonzero(~shapely.contains_xy(area, centres[:, 0], centres[:, 1]))
        away[out] = depth[out] if own else shapely.distance(area, points[out])
        keep = (depth + reach > best + gain) & (away <= reach)
        if keep.sum() > _MOST_SQUARES:
            keep &= depth >= np.partition(depth[keep], -_MOST_SQUARES)[-_MOST_SQUARES]
        centres, depth, new = centres[keep], depth[keep], np.ones(int(keep.sum()), np.bool_)
        # What is deeper than the best counts only in the area, and there also near known places.
        depth[away[keep] > 0.0] = 0.0
        if len(centres) > _MANY_SQUARES and reach < _SMALL:
            gain = _COARSEST
        for proof in proofs:
            keep = proof.bound(centres, halves, sides, walls) > best + gain
            centres, depth, new = centres[keep], depth[keep], new[keep]
        for place in places:
            new &= place.off(centres) > 2.0 * reach
        left = np.ones(len(centres), np.bool_)
        for _ in range(_CLIMBS):
            hopeful = (new & left) | (depth > best + gain)
            pool = hopeful if hopeful.any() else left
            if not pool.any():
                break
            start = _start(area, centres[pool], depth[pool])
            left &= np.hypot(*(centres - start).T) > 2.0 * reach
            depth_ahead, proof = reachable(start, reach, sides, walls)
            if hopeful.any() and depth_ahead > best - SAME:
                place = climb(start, reach, area, sides, walls)
                if all(np.hypot(*(place.point - known.point)) > SAME for known in places):
                    places.append(place)
                    proof = place
                    new &= place.off(centres) > 2.0 * reach
                    best = max(best, place.distance)
                    as_deep = sum(known.distance > best - SAME for known in places)
                    gain = max(gain, _COARSE if as_deep >= _MANY else _GAIN)
            # A proof holds for all that lies before its sides, also beside other sides of one wall.
            keep = proof.bound(centres, halves, sides, walls) > best + gain
            if not keep.all():
                proofs.append(proof)
            centres, depth = centres[keep], depth[keep]
            new, left = new[keep], left[keep]
        halves = halves / 2.0
        centres = (centres[:, None] + _QUARTERS @ halves).reshape(-1, 2)
    tied = [place for place in places if place.distance >= best - SAME]
    if not tied:
        return None
    first = min(
        tied, key=lambda p: (-round(p.length, 6), round(p.point[0], 6), round(p.point[1], 6))
    )
    return Deepest(
        x=float(first.point[0]),
        y=float(first.point[1]),
        distance=first.distance,
        ridge=first.length,
    )


def _cut_up(area: Any) -> tuple[Floats, Floats]:
    """Cut the rectangle round an area into squares, or not so slender pieces of a slender one.

    Returns their centres (m, 2), and the ways (2, 2) from a centre to the middles of two sides.
    """
    around = shapely.oriented_envelope(area)
    # It is none where the area is hardly wider than rounding, and where three corners of a side
    # all but lie in line it may be as thin as a hair.
    if around.geom_type != "Polygon" or not shapely.covers(shapely.buffer(around, EDGE), area):
        around = shapely.envelope(shapely.buffer(area, EDGE))
    origin, first, _, second, _ = shapely.get_coordinates(around)
    runs = np.stack((first - origin, second - origin))
    sizes = np.hypot(*runs.T)
    counts = np.clip(np.ceil(sizes / sizes.min() - SAME), 1, _SLENDER)
    halves = runs / counts[:, None] / 2.0
    across, up = (np.arange(count) * 2.0 + 1.0 for count in counts)
    steps = np.stack([axis.ravel() for axis in np.meshgrid(across, up)], axis=1)
    return origin + steps @ halves, halves


def _start(area: Any, centres: Floats, depth: Floats) -> Floats:
    """Return the deepest of the centres, or the point of the area nearest to it."""
    deepest = np.flatnonzero(depth >= depth.max() - SAME)
    order = np.lexsort((centres[deepest, 1], centres[deepest, 0]))
    centre = centres[deepest[order[0]]]
    line = shapely.shortest_line(area, shapely.points(centre))
    start: Floats = shapely.get_coordinates(line)[0]
    return start


def _walls(area: Any) -> Floats:
    """Return the sides of the hull as (w, 3): (x, y) has a + b x + c y of room before a wall."""
    ring = shapely.get_coordinates(shapely.convex_hull(area))
    run = np.diff(ring, axis=0)
    normal = np.stack((-run[:, 1], run[:, 0]), axis=1) / np.hypot(*run.T)[:, None]
    room = -(normal * ring[:-1]).sum(axis=1)
    side = np.sign(room + normal @ ring[:-1].mean(axis=0))
    walls: Floats = np.concatenate((room[:, None], normal), axis=1) * side[:, None]
    return walls
