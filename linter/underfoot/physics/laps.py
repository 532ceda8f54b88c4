"""How neighbouring sheets lap each other, or how far apart they lie."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.physics.heated import joined
from underfoot.physics.neighbours import lie_square_by
from underfoot.physics.rectangles import EDGE, GRID, PARALLEL, Floats, frames, polygons
from underfoot.physics.shapes import clip, least_width

# No lap has less area than this, and nothing that is left open (mm2).
_NO_AREA = 1e-6
# Sheets whose neighbours are looked up at a time: those of hundreds on a heap fill the memory.
_BLOCK = 64
# Sides face each other where their outward normals point so far apart.
_OPPOSED = -0.7


class Lap(Struct, frozen=True, kw_only=True):
    """How two sheets lie, by their places: the width of their lap, else the gap between them.

    `shape` is what they share, or what lies between them.
    """

    first: int
    second: int
    width: float
    gap: float
    shape: Any


def find_laps(corners: Floats, outline: Any, minimum: float) -> tuple[Lap, ...]:
    """Find the gaps of sheets (n, 4, 2) within `minimum` of each other, and the laps below it.

    Only what lies in the outline counts. Two sheets are no neighbours where others lie over all of
    their seam and share more with each of them than they do with each other: a strip along the
    seam, or the two beside a corner at which four sheets meet.
    """
    sheets = polygons(corners)
    if len(sheets) < 2:
        return ()
    tree = shapely.STRtree(sheets)
    laps = []
    for i, j in _pairs_in_doubt(corners, sheets, tree, minimum):
        lap = _measure(i, j, corners, sheets)
        if lap.width >= minimum > 0.0:
            continue
        spread = lap.shape.area > _NO_AREA
        inside = clip(lap.shape, outline)[0] if spread else shapely.intersection(outline, lap.shape)
        if inside.is_empty or (spread and inside.area <= _NO_AREA):
            continue
        others = list(_sheets_over(lap, inside, sheets, tree))
        if others:
            grid = GRID if spread else None
            left = shapely.difference(inside, joined(corners[others]), grid_size=grid)
            if (left.area if spread else left.length) <= (_NO_AREA if spread else EDGE):
                continue
        laps.append(lap)
    return tuple(laps)


def _pairs_in_doubt(
    corners: Floats, sheets: Any, tree: shapely.STRtree, minimum: float
) -> Iterator[tuple[int, int]]:
    """List the pairs within `minimum`, in order, that do not plainly lap by more than that."""
    for start in range(0, len(sheets), _BLOCK):
        block = sheets[start : start + _BLOCK]
        pairs = tree.query(block, predicate="dwithin", distance=minimum).T
        pairs[:, 0] += start
        pairs = pairs[pairs[:, 0] < pairs[:, 1]]
        if minimum > 0.0:
            pairs = pairs[~lie_square_by(corners, pairs, minimum)]
        yield from map(tuple, pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))].tolist())


def _measure(i: int, j: int, corners: Floats, sheets: Any) -> Lap:
    first, second = sheets[i], sheets[j]
    shared = shapely.intersection(first, second, grid_size=GRID)
    if shared.area > _NO_AREA:
        width = float(least_width(np.array([shared]))[0])
        if not _is_square(corners[[i, j]]):
            width = min(width, _narrowest(corners[i], corners[j], first, second))
        return Lap(first=i, second=j, width=width, gap=0.0, shape=shared)
    gap = float(shapely.distance(first, second))
    reach = max(gap + 1e-6, EDGE)
    facing = shapely.union(
        shapely.intersection(first.exterior, shapely.buffer(second, reach)),
        shapely.intersection(second.exterior, shapely.buffer(first, reach)),
    )
    return Lap(
        first=i,
        second=j,
        width=0.0,
        gap=gap if gap > EDGE else 0.0,
        shape=shapely.convex_hull(facing),
    )


def _sheets_over(lap: Lap, inside: Any, sheets: Any, tree: shapely.STRtree) -> Iterator[int]:
    shared = lap.shape.area if lap.width > 0 else 0.0
    for k in np.sort(tree.query(inside, predicate="intersects")).tolist():
        if k in (lap.first, lap.second):
            continue
        areas = shapely.area(
            shapely.intersection(sheets[k], sheets[[lap.first, lap.second]], grid_size=GRID)
        )
        if (areas > shared * (1 + 1e-9) + _NO_AREA).all():
            yield k


def _is_square(corners: Floats) -> bool:
    along, other = frames(corners).along
    cross = along[0] * other[1] - along[1] * other[0]
    return bool(min(abs(cross), abs(along @ other)) <= PARALLEL)


def _narrowest(one: Floats, other: Floats, first: Any, second: Any) -> float:
    """Measure a lap that tapers: the least distance of the sides that face each other across it."""
    least = np.inf
    for side, normal in _sides(one):
        mine = shapely.intersection(side, second)
        if mine.length <= EDGE:
            continue
        for facing, away in _sides(other):
            if normal @ away > _OPPOSED:
                continue
            theirs = shapely.intersection(facing, first)
            if theirs.length > EDGE:
                least = min(least, float(shapely.distance(mine, theirs)))
    return least


def _sides(corners: Floats) -> Iterator[tuple[Any, Floats]]:
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        run = (end - start) / np.hypot(*(end - start))
        yield shapely.LineString((start, end)), np.array((run[1], -run[0]))
