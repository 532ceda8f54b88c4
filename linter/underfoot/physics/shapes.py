"""Areas of any outline: widths, distances and what is left of a floor set back from its edges."""

import math
from typing import Any

import numpy as np
import shapely

from underfoot.physics.lines import segments
from underfoot.physics.rectangles import EDGE, GRID, SAME, Bools, Floats, Geometries, Ints

Place = tuple[float, float]

# Segments in a quarter of a round corner: at 100 mm the chord lies 0.12 mm off the circle.
_QUARTER = 16
# From here on a tree finds the nearest side sooner than looking at each.
_MANY_SIDES = 200
# GEOS gives areas that partly touch along an edge as a collection of both.
_COLLECTION = 7


def least_width(areas: Geometries) -> Floats:
    """Measure the least distance between two parallel lines that hold each area, (n,).

    The lines lie on a side of the convex hull. A point, a line and nothing are 0 wide.
    """
    widths = np.zeros(len(areas))
    hulls = shapely.convex_hull(areas)
    solid = np.flatnonzero(shapely.get_type_id(hulls) == 3)
    if not len(solid):
        return widths
    points, owner = shapely.get_coordinates(hulls[solid], return_index=True)
    counts = np.bincount(owner)
    starts = np.concatenate(((0,), np.cumsum(counts)[:-1]))
    for count in np.unique(counts):
        alike = np.flatnonzero(counts == count)
        rings = points[starts[alike][:, None] + np.arange(count)]
        widths[solid[alike]] = _ring_widths(rings)
    return widths


def _ring_widths(rings: Floats) -> Floats:
    """Measure hulls of equally many points (m, k, 2), one side of all of them at a time."""
    least = np.full(len(rings), np.inf)
    for side in range(rings.shape[1] - 1):
        base = rings[:, side]
        run = rings[:, side + 1] - base
        size = np.hypot(run[:, 0], run[:, 1])
        offset = rings - base[:, None]
        height = np.abs(run[:, :1] * offset[:, :, 1] - run[:, 1:] * offset[:, :, 0]).max(axis=1)
        least = np.minimum(least, height / size)
    return least


def way_inside(outline: Any, start: Place, end: Place) -> Place:
    """Return the way from the middle of a wall into the outline: across the wall, one long."""
    long = math.dist(start, end)
    across = ((start[1] - end[1]) / long, (end[0] - start[0]) / long)
    near = shapely.Point((start[0] + end[0]) / 2 + across[0], (start[1] + end[1]) / 2 + across[1])
    return across if shapely.contains(outline, near) else (-across[0], -across[1])


def lying_on(areas: Geometries, others: Geometries) -> tuple[Ints, Floats]:
    """Find the areas that share floor with others, wider than the 0.001 mm of an edge.

    Returns the pairs (m, 2) of area and other, sorted, and the least width (m,) of what they
    share.
    """
    nothing = np.empty((0, 2), np.intp), np.empty(0)
    if not len(areas) or not len(others):
        return nothing
    found = shapely.STRtree(areas).query(others, predicate="intersects")[::-1].T
    a, b = shapely.bounds(areas)[found[:, 0]], shapely.bounds(others)[found[:, 1]]
    shared = np.minimum(a[:, 2:], b[:, 2:]) - np.maximum(a[:, :2], b[:, :2])
    found = found[(shared > EDGE).all(axis=1)]
    if not len(found):
        return nothing
    shared_areas = shapely.intersection(areas[found[:, 0]], others[found[:, 1]], grid_size=GRID)
    width = least_width(shared_areas)
    found, width = found[width > EDGE], width[width > EDGE]
    order = np.lexsort((found[:, 1], found[:, 0]))
    return found[order], width[order]


def near(areas: Geometries, others: Geometries, reach: float) -> tuple[Ints, Floats]:
    """Find the areas that lie nearer to others than `reach`, by more than 1e-6.

    Returns the pairs (m, 2) of area and other, sorted, and their distances (m,), 0 where they
    touch or lie on each other.
    """
    if not len(areas) or not len(others):
        return np.empty((0, 2), np.intp), np.empty(0)
    tree = shapely.STRtree(areas)
    found = tree.query(others, predicate="dwithin", distance=reach)[::-1].T
    distance = shapely.distance(areas[found[:, 0]], others[found[:, 1]])
    keep = distance < reach - SAME
    found, distance = found[keep], distance[keep]
    order = np.lexsort((found[:, 1], found[:, 0]))
    return found[order], distance[order]


def edge_distances(areas: Geometries, outline: Any) -> Floats:
    """Measure the least distance from each area to the edge of an outline; 0 across it."""
    edge = shapely.boundary(outline)
    distances: Floats
    if shapely.get_num_coordinates(edge) > _MANY_SIDES and len(areas):
        sides, _ = segments(shapely.get_parts(edge))
        tree = shapely.STRtree(shapely.linestrings(sides))
        _, distances = tree.query_nearest(areas, all_matches=False, return_distance=True)
    else:
        distances = shapely.distance(edge, areas)
    return distances


def inside(areas: Geometries, outline: Any) -> Bools:
    """Tell which areas reach no more than 0.001 mm beyond an outline, nor bridge a notch.

    A gap in the outline narrower than 0.002 mm counts as closed.
    """
    shapely.prepare(outline)
    held: Bools = shapely.covers(outline, areas)
    if not held.all():
        rest = np.flatnonzero(~held)
        margin = shapely.buffer(outline, EDGE, quad_segs=2)
        shapely.prepare(margin)
        held[rest] = shapely.covers(margin, areas[rest])
    return held


def clip(areas: Geometries, region: Any) -> Geometries:
    """Return what of each area lies in a region; where they only touch, nothing."""
    inner = np.atleast_1d(shapely.intersection(areas, region, grid_size=GRID))
    for place in np.flatnonzero(shapely.get_dimensions(inner) < 2):
        inner[place] = shapely.Polygon()
    for place in np.flatnonzero(shapely.get_type_id(inner) == _COLLECTION):
        parts = shapely.get_parts(inner[place])
        inner[place] = shapely.multipolygons(parts[shapely.get_dimensions(parts) == 2])
    return inner


def set_back(outline: Any, from_edge: float, fixtures: Geometries, from_fixtures: float) -> Any:
    """Return the floor that lies at least so far from the edge of the outline and from fixtures.

    True distance: corners that stand into the floor are rounded, in chords that lie at most
    0.13 % of the distance inside the circle.
    """
    floor = shapely.buffer(outline, -from_edge, quad_segs=_QUARTER)
    if len(fixtures):
        kept_off = shapely.buffer(fixtures, from_fixtures, quad_segs=_QUARTER)
        floor = shapely.difference(floor, shapely.union_all(kept_off), grid_size=GRID)
    return floor


def uncovered(region: Any, cover: Any) -> tuple[float, Any]:
    """Return the share of a region that a cover leaves open, 0 to 1, and what it leaves open.

    A region without area has none. The region within 0.001 mm of the cover counts as covered.
    """
    whole = shapely.area(region)
    if not whole:
        return 0.0, shapely.Polygon()
    left = shapely.difference(region, cover, grid_size=GRID)
    parts = shapely.get_parts(left)
    parts = parts[least_width(parts) > EDGE]
    if not len(parts):
        return 0.0, shapely.Polygon()
    left = parts[0] if len(parts) == 1 else shapely.multipolygons(parts)
    return float(shapely.area(left) / whole), left
