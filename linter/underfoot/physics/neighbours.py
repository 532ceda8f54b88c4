"""Pairs of rectangles: which lie near, which lie on each other, which leave a gap."""

from collections.abc import Callable
from functools import lru_cache

import numpy as np
import shapely
from msgspec import Struct

from underfoot.physics.rectangles import (
    EDGE,
    GRID,
    PARALLEL,
    SAME,
    Bools,
    Floats,
    Frames,
    Geometries,
    Ints,
    bounds,
    frames,
    grown,
    polygons,
)
from underfoot.physics.shapes import least_width

# Up to here comparing every pair is quicker than planting a tree.
_FEW = 48
# Boxes looked up at a time, so that the pairs of thousands on one heap fit into memory; and when
# to stop: nobody reads more pairs, nor waits for more to be looked at.
_BLOCK = 64
_MOST, _MOST_LOOKED_AT = 100_000, 30_000_000


class Overlaps(Struct, frozen=True, kw_only=True):
    """Pairs of rectangles that share area.

    `pairs` (m, 2) with the lower index first, in order; `width` (m,), the least width of what
    they share; `complete` is false where there are too many to name them all.
    """

    pairs: Ints
    width: Floats
    complete: bool = True


class Gaps(Struct, frozen=True, kw_only=True):
    """Gaps between the long sides of parallel rectangles.

    `pairs` (m, 2) with the lower index first, in order; `gap` (m,) between the sides; `facing`
    (m,), the length over which they face each other; `corners` (m, 4, 2) of the gap itself, its
    length along the sides; `complete` is false where too many rectangles lie on each other to
    look at every pair.
    """

    pairs: Ints
    gap: Floats
    facing: Floats
    corners: Floats
    complete: bool = True


def near_pairs(
    boxes: Floats, reach: float = 0.0, keep: Callable[[Ints, Floats], Bools] | None = None
) -> tuple[Ints, bool]:
    """Find the pairs of boxes (n, 4) that lie within `reach` of each other in x and in y.

    `keep` gets pairs (k, 2) and how far they lie apart in x and in y (k, 2), negative where they
    overlap. Returns (m, 2), the lower index first, sorted, of those that `keep` wants (all,
    without), and whether that is all: where thousands lie on each other the search ends before
    its time.
    """
    count = len(boxes)
    if count <= _FEW:
        pairs = _every_pair(count)
        apart = _boxes_apart(boxes, pairs)
        near = (apart <= reach).all(axis=1)
        return pairs[near if keep is None else near & keep(pairs, apart)], True
    tree = shapely.STRtree(shapely.box(*boxes.T))
    wide = shapely.box(*(boxes + np.array((-reach, -reach, reach, reach))).T)
    blocks: list[Ints] = []
    kept = looked_at = 0
    for start in range(0, count, _BLOCK):
        found: Ints = tree.query(wide[start : start + _BLOCK]).T
        looked_at += len(found)
        found[:, 0] += start
        found = found[found[:, 0] < found[:, 1]]
        if keep is not None:
            found = found[keep(found, _boxes_apart(boxes, found))]
        blocks.append(found[np.lexsort((found[:, 1], found[:, 0]))])
        kept += len(found)
        if kept > _MOST or looked_at > _MOST_LOOKED_AT:
            return np.concatenate(blocks)[:_MOST], start + _BLOCK >= count and kept <= _MOST
    return np.concatenate(blocks), True


@lru_cache(maxsize=_FEW + 1)
def _every_pair(count: int) -> Ints:
    pairs = np.stack(np.triu_indices(count, 1), axis=1)
    pairs.flags.writeable = False
    return pairs


def overlaps(rectangles: Floats, tolerance: float = 0.0) -> Overlaps:
    """Find the rectangles (n, 4, 2) that lie on each other by more than the tolerance.

    The measure is the least width of the shared area: the least distance between two parallel
    lines that hold it. A tolerance is exceeded only by more than itself and 1e-6.
    """
    limit = tolerance + SAME
    boxes = bounds(rectangles)

    def may_share(_: Ints, apart: Floats) -> Bools:
        shared: Bools = apart.max(axis=1) < -limit
        return shared

    pairs, complete = near_pairs(boxes, keep=may_share)
    if not len(pairs):
        return Overlaps(pairs=pairs, width=np.empty(0), complete=complete)
    frame = frames(rectangles)
    width = _widest_shared(frame, rectangles, pairs)
    keep = width > limit
    pairs, width = pairs[keep], width[keep]
    askew = ~_square(frame, pairs)
    if askew.any():
        shapes = polygons(rectangles)
        lying = shapely.intersection(
            shapes[pairs[askew, 0]], shapes[pairs[askew, 1]], grid_size=GRID
        )
        width[askew] = least_width(lying)
        keep = width > limit
        pairs, width = pairs[keep], width[keep]
    return Overlaps(pairs=pairs, width=width, complete=complete)


def lie_square_by(rectangles: Floats, pairs: Ints, least: float) -> Bools:
    """Tell which pairs (m, 2) lie square to each other and share an area wider than `least`."""
    frame = frames(rectangles)
    wide = _widest_shared(frame, rectangles, pairs) > least + SAME
    lying: Bools = wide & _square(frame, pairs)
    return lying


def gaps_between(rectangles: Floats, up_to: float, over: float = 0.0) -> Gaps:
    """Find the gaps between long sides that face each other, over `over` and up to `up_to` wide.

    Long sides are those along the length, where the busbars run, also in a rectangle shorter
    than it is wide. Rectangles whose directions differ by less than 1e-7 rad are parallel.
    """
    boxes = bounds(rectangles)
    upright = (rectangles[:, 1] == rectangles[:, 0]).any(axis=1)
    all_upright = bool(upright.all())

    def may_leave_gap(pairs: Ints, apart: Floats) -> Bools:
        # Upright ones only where their boxes face each other, so far apart.
        facing = (apart.max(axis=1) > over) & (apart.min(axis=1) < 0.0)
        may: Bools = facing if all_upright else facing | ~upright[pairs].all(axis=1)
        return may

    pairs, complete = near_pairs(boxes, up_to + SAME, may_leave_gap)
    if not len(pairs):
        return Gaps(
            pairs=pairs,
            gap=np.empty(0),
            facing=np.empty(0),
            corners=np.empty((0, 4, 2)),
            complete=complete,
        )
    frame = frames(rectangles)
    first, second = pairs[:, 0], pairs[:, 1]
    turned = _cross(frame.along[first], frame.along[second])
    pairs = pairs[np.abs(turned) <= PARALLEL]
    first, second = pairs[:, 0], pairs[:, 1]
    s, t = _in_frame(frame, rectangles, first, second)
    low, high = t.min(axis=1), t.max(axis=1)
    gap = np.maximum(low - frame.width[first], -high)
    start = np.maximum(s.min(axis=1), 0.0)
    end = np.minimum(s.max(axis=1), frame.length[first])
    keep = (gap > over) & (gap <= up_to + SAME) & (end - start > SAME)
    pairs, first, gap = pairs[keep], first[keep], gap[keep]
    start, end = start[keep], end[keep]
    foot = np.where(low[keep] > 0.0, frame.width[first], -gap)
    places = np.stack(
        (
            np.stack((start, foot), axis=1),
            np.stack((end, foot), axis=1),
            np.stack((end, foot + gap), axis=1),
            np.stack((start, foot + gap), axis=1),
        ),
        axis=1,
    )
    corners = (
        frame.origin[first][:, None]
        + places[:, :, :1] * frame.along[first][:, None]
        + places[:, :, 1:] * frame.across[first][:, None]
    )
    return Gaps(pairs=pairs, gap=gap, facing=end - start, corners=corners, complete=complete)


def _boxes_apart(boxes: Floats, pairs: Ints) -> Floats:
    """Measure how far boxes lie apart in x and in y, (m, 2), negative where they overlap."""
    first, second = pairs[:, 0], pairs[:, 1]
    apart: Floats = np.maximum(boxes[first, :2], boxes[second, :2]) - np.minimum(
        boxes[first, 2:], boxes[second, 2:]
    )
    return apart


def met_by(rectangles: Floats, things: Geometries) -> Ints:
    """Pair the rectangles (m, 4, 2) with the things (k,) that lie in them, as (p, 2), sorted.

    What lies within 0.001 mm of a side is not in it.
    """
    if not len(rectangles) or not len(things):
        return np.empty((0, 2), np.intp)
    inner = polygons(grown(rectangles, -EDGE))
    found = shapely.STRtree(things).query(inner, predicate="intersects").T
    order = np.lexsort((found[:, 1], found[:, 0]))
    met: Ints = found[order]
    return met


def _cross(a: Floats, b: Floats) -> Floats:
    product: Floats = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def _square(frame: Frames, pairs: Ints) -> Bools:
    """Tell which pairs are parallel or at right angles."""
    a, b = frame.along[pairs[:, 0]], frame.along[pairs[:, 1]]
    square: Bools = (np.abs(_cross(a, b)) <= PARALLEL) | (np.abs((a * b).sum(axis=1)) <= PARALLEL)
    return square


def _in_frame(frame: Frames, rectangles: Floats, base: Ints, other: Ints) -> tuple[Floats, Floats]:
    """Return the corners of `other` along and across the frames of `base`, each (m, 4)."""
    offset = rectangles[other] - frame.origin[base][:, None]
    s: Floats = (offset * frame.along[base][:, None]).sum(axis=2)
    t: Floats = (offset * frame.across[base][:, None]).sum(axis=2)
    return s, t


def _widest_shared(frame: Frames, rectangles: Floats, pairs: Ints) -> Floats:
    """Bound the width of what pairs share, (m,): it is that of those that lie square."""
    # It lies between the sides of both, so it is no wider than the least of these spans.
    first, second = pairs[:, 0], pairs[:, 1]
    width: Floats = np.minimum(
        _shared_spans(frame, rectangles, first, second),
        _shared_spans(frame, rectangles, second, first),
    )
    return width


def _shared_spans(frame: Frames, rectangles: Floats, base: Ints, other: Ints) -> Floats:
    s, t = _in_frame(frame, rectangles, base, other)
    length = np.minimum(s.max(axis=1), frame.length[base]) - np.maximum(s.min(axis=1), 0.0)
    width = np.minimum(t.max(axis=1), frame.width[base]) - np.maximum(t.min(axis=1), 0.0)
    least: Floats = np.minimum(length, width)
    return least
