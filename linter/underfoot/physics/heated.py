"""The floor that rectangles cover together, gaps between butted ones closed."""

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from underfoot.physics.neighbours import near_pairs
from underfoot.physics.rectangles import PARALLEL, SAME, Bools, Floats, Ints, frames

Box = tuple[float, float, float, float]

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
    if (rectangles[:, 1] == rectangles[:, 0]).any(axis=1).all():
        return _united(rectangles, closing)
    frame = frames(rectangles)
    group = _groups(frame.along)
    parts = []
    for label in range(int(group.max()) + 1):
        members = np.flatnonzero(group == label)
        along = frame.along[members[0]]
        if (along == np.rint(along)).all():
            parts.append(_united(rectangles[members], closing))
            continue
        origin = rectangles[members[0], 0]
        into = np.array(((along[0], -along[1]), (along[1], along[0])))
        turned = _united((rectangles[members] - origin) @ into, closing)
        parts.append(shapely.transform(turned, lambda p, m=into.T, o=origin: p @ m + o))
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


def _united(rectangles: Floats, closing: float) -> Any:
    """Unite upright rectangles."""
    (x, y), (to_x, to_y) = rectangles.min(axis=1).T.tolist(), rectangles.max(axis=1).T.tolist()
    rows = _in_line(zip(*_snap(y, to_y), *_snap(x, to_x), strict=True), closing + SAME)
    boxes = _in_line(((x, to_x, y, to_y) for y, to_y, x, to_x in rows), closing + SAME)
    if len(boxes) == 1:
        ((left, right, bottom, top),) = boxes
        return shapely.box(left, bottom, right, top)
    low, high = np.array(boxes).reshape(-1, 2, 2).transpose(2, 0, 1)
    if closing > 0.0:
        low, high = _close(low, high, closing)
    return shapely.union_all(shapely.box(*low.T, *high.T))


def _groups(along: Floats) -> Ints:
    """Number the directions, those alike or a quarter turn apart alike, from 0."""
    angle = np.arctan2(along[:, 1], along[:, 0]) % (np.pi / 2.0)
    angle = np.where(angle > np.pi / 2.0 - PARALLEL, 0.0, angle)
    order = np.argsort(angle, kind="stable")
    group = np.empty(len(angle), np.intp)
    group[order] = np.concatenate(((0,), np.cumsum(np.diff(angle[order]) > PARALLEL)))
    return group


def _snap(low: list[float], high: list[float]) -> tuple[list[float], list[float]]:
    """Make values of one axis that rounding set apart by up to 1e-6 the same."""
    values = sorted({*low, *high})
    if all(after - before > SAME for before, after in pairwise(values)):
        return low, high
    same = {values[0]: values[0]}
    for before, after in pairwise(values):
        same[after] = after if after - before > SAME else same[before]
    return [same[value] for value in low], [same[value] for value in high]


def _close(low: Floats, high: Floats, closing: float) -> tuple[Floats, Floats]:
    """Add the gaps up to `closing` between boxes."""
    old = 0
    # The second round closes the crossings of gaps closed in the first.
    for _ in range(2):
        gap_low, gap_high = _gap_boxes(low, high, old, closing)
        if not len(gap_low):
            break
        old = len(low)
        low, high = np.concatenate((low, gap_low)), np.concatenate((high, gap_high))
    return low, high


def _in_line(boxes: Iterable[Box], reach: float) -> list[Box]:
    """Join the boxes that lie in line and touch, or nearly: from and to across, then along."""
    joined: list[Box] = []
    across: tuple[float, float] | None = None
    start = end = 0.0
    for from_, to, low, high in sorted(boxes):
        if across == (from_, to) and low <= end + reach:
            if high > end:
                end = high
                joined[-1] = (from_, to, start, end)
        else:
            across, start, end = (from_, to), low, high
            joined.append((from_, to, low, high))
    return joined


def _gap_boxes(low: Floats, high: Floats, old: int, closing: float) -> tuple[Floats, Floats]:
    """Return the boxes between boxes that face each other; not of pairs among the first `old`."""

    def facing(pairs: Ints, apart: Floats) -> Bools:
        face: Bools = (apart.max(axis=1) > 0.0) & (apart.min(axis=1) < 0.0)
        return face & (pairs[:, 1] >= old)

    pairs, _ = near_pairs(np.concatenate((low, high), axis=1), closing + SAME, facing)
    a, b = pairs.T
    inner_low, inner_high = np.maximum(low[a], low[b]), np.minimum(high[a], high[b])
    return np.minimum(inner_low, inner_high), np.maximum(inner_low, inner_high)
