"""The floor that rectangles cover together, gaps between butted ones closed."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from underfoot.physics.neighbours import near_pairs
from underfoot.physics.rectangles import PARALLEL, SAME, Bools, Floats, Ints, frames

# Gaps up to this between butted strips belong to the heated floor (mm).
BUTTED = 10.0


def heated_floor(elements: Floats) -> Any:
    """Join elements (n, 4, 2) to the heated floor, gaps of up to 10 mm between them closed.

    A gap is what lies between two sides, parallel or at right angles, that face each other, and
    the crossing of such gaps. Returns a Polygon or MultiPolygon, empty where there are none.
    """
    return joined(elements, BUTTED)


def joined(rectangles: Floats, closing: float = 0.0) -> Any:
    """Unite rectangles (n, 4, 2), gaps up to `closing` (and rounding noise of 1e-6) closed.

    Rectangles at one angle are united in its own frame, where they are boxes: exact, and cheap,
    as butted rows fall together before any of them becomes a polygon.
    """
    if not len(rectangles):
        return shapely.Polygon()
    frame = frames(rectangles)
    group = _groups(frame.along)
    parts = []
    for label in range(int(group.max()) + 1):
        members = np.flatnonzero(group == label)
        along = frame.along[members[0]]
        upright = bool((along == np.rint(along)).all())
        if upright:
            points = rectangles[members]
        else:
            origin = rectangles[members[0], 0]
            into = np.array(((along[0], -along[1]), (along[1], along[0])))
            points = (rectangles[members] - origin) @ into
        low, high = _close(*_snap(points.min(axis=1), points.max(axis=1)), closing)
        boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
        united = boxes[0] if len(boxes) == 1 else shapely.union_all(boxes)
        if not upright:
            united = shapely.transform(united, lambda p, m=into.T, o=origin: p @ m + o)
        parts.append(united)
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


def _groups(along: Floats) -> Ints:
    """Number the directions, those alike or a quarter turn apart alike, from 0."""
    if (along == np.rint(along)).all():
        return np.zeros(len(along), np.intp)
    angle = np.arctan2(along[:, 1], along[:, 0]) % (np.pi / 2.0)
    angle = np.where(angle > np.pi / 2.0 - PARALLEL, 0.0, angle)
    order = np.argsort(angle, kind="stable")
    group = np.empty(len(angle), np.intp)
    group[order] = np.concatenate(((0,), np.cumsum(np.diff(angle[order]) > PARALLEL)))
    return group


def _snap(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Make values of one axis that rounding set apart by up to 1e-6 the same."""
    both = np.concatenate((low, high))
    steps = np.diff(np.sort(both, axis=0), axis=0)
    if not ((steps > 0.0) & (steps <= SAME)).any():
        return low, high
    for axis in (0, 1):
        values, back = np.unique(both[:, axis], return_inverse=True)
        first = np.concatenate(((True,), np.diff(values) > SAME))
        both[:, axis] = values[first][np.cumsum(first) - 1][back]
    return both[: len(low)], both[len(low) :]


def _close(low: Floats, high: Floats, closing: float) -> tuple[Floats, Floats]:
    """Give fewer boxes that cover the same, and the gaps up to `closing` between them."""
    for axis in (0, 1):
        low, high = _in_line(low, high, axis, closing)
    if closing <= 0.0 or len(low) == 1:
        return low, high
    old = 0
    # The second round closes the crossings of gaps closed in the first.
    for _ in range(2):
        gap_low, gap_high = _gap_boxes(low, high, old, closing)
        if not len(gap_low):
            break
        old = len(low)
        low, high = np.concatenate((low, gap_low)), np.concatenate((high, gap_high))
    return low, high


def _in_line(low: Floats, high: Floats, axis: int, closing: float) -> tuple[Floats, Floats]:
    """Join the boxes that lie in line along one axis and touch, or nearly."""
    other = 1 - axis
    order = np.lexsort((low[:, axis], high[:, other], low[:, other]))
    low, high = low[order], high[order]
    new_line = np.ones(len(low), np.bool_)
    new_line[1:] = (low[1:, other] != low[:-1, other]) | (high[1:, other] != high[:-1, other])
    # The farthest end so far in each line, by rank, so that no line's ends reach into the next.
    by_end = np.argsort(high[:, axis])
    ends = high[by_end, axis]
    rank = np.empty(len(ends), np.intp)
    rank[by_end] = np.arange(len(ends))
    line = np.cumsum(new_line)
    farthest = ends[np.maximum.accumulate(line * len(ends) + rank) - line * len(ends)]
    first: Bools = new_line
    first[1:] |= low[1:, axis] > farthest[:-1] + closing + SAME
    starts = np.flatnonzero(first)
    if len(starts) == len(low):
        return low, high
    lasts = np.concatenate((starts[1:], (len(low),))) - 1
    joined_high = high[starts]
    joined_high[:, axis] = farthest[lasts]
    return low[starts], joined_high


def _gap_boxes(low: Floats, high: Floats, old: int, closing: float) -> tuple[Floats, Floats]:
    """Give the boxes between boxes that face each other, of pairs not all among the first `old`."""

    def facing(pairs: Ints) -> Bools:
        apart = np.maximum(low[pairs[:, 0]], low[pairs[:, 1]]) - np.minimum(
            high[pairs[:, 0]], high[pairs[:, 1]]
        )
        face: Bools = (apart.max(axis=1) > 0.0) & (apart.min(axis=1) < 0.0)
        return face & (pairs[:, 1] >= old)

    pairs, _ = near_pairs(np.concatenate((low, high), axis=1), closing + SAME, facing)
    a, b = pairs.T
    inner_low, inner_high = np.maximum(low[a], low[b]), np.minimum(high[a], high[b])
    return np.minimum(inner_low, inner_high), np.maximum(inner_low, inner_high)
