"""Leads, joints and routes: how far they run under, outside or near something."""

from typing import Any

import numpy as np
import shapely

from underfoot.physics.rectangles import (
    EDGE,
    SAME,
    Floats,
    Geometries,
    Ints,
    bounds,
    frames,
)

# Up to this many comparisons looking at every pair is quicker than planting a tree.
_FEW = 4096
# From a rectangle's box to one that holds all of it that lies farther in than an edge.
_INWARDS = np.array((EDGE, EDGE, -EDGE, -EDGE))
# Where a piece between two crossings is looked at, to tell on which side it runs.
_LOOKS = np.array((0.25, 0.5, 0.75))


def segments(lines: Geometries) -> tuple[Floats, Ints]:
    """Cut lines or rings into straight segments (s, 2, 2) and say whose each is, (s,).

    A line may be in parts; between them it has no segment.
    """
    parts, whose = shapely.get_parts(lines, return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    same = part[1:] == part[:-1]
    return np.stack((points[:-1][same], points[1:][same]), axis=1), whose[part[1:][same]]


def lengths_under(lines: Geometries, rectangles: Floats) -> tuple[Ints, Floats]:
    """Measure how far lines run through the inside of rectangles (n, 4, 2).

    A straight piece that gets no farther in than 0.001 mm runs along the edge and does not
    count; one that does counts from edge to edge. Returns the pairs (m, 2) of line and
    rectangle, sorted, and the lengths (m,).
    """
    pieces, owner = segments(lines)
    first, second = close_pairs(bounds(pieces), bounds(rectangles) + _INWARDS)
    if not len(first):
        return np.empty((0, 2), np.intp), np.empty(0)
    start, run, size = lay_in_frames(pieces[first], rectangles[second])
    inner_from, inner_to = clip(start, run, np.full_like(size, EDGE), size - EDGE)
    outer_from, outer_to = clip(start, run, np.zeros_like(size), size)
    length = (outer_to - outer_from) * np.hypot(run[:, 0], run[:, 1])
    under = (inner_to > inner_from) & (length > 0.0)
    return sum_pairs(owner[first[under]], second[under], length[under], len(rectangles))


def lay_in_frames(pieces: Floats, rectangles: Floats) -> tuple[Floats, Floats, Floats]:
    """Return start and run of pieces along and across a rectangle each, and the sizes of these."""
    frame = frames(rectangles)
    offset = pieces - frame.origin[:, None]
    s = (offset * frame.along[:, None]).sum(axis=2)
    t = (offset * frame.across[:, None]).sum(axis=2)
    start = np.stack((s[:, 0], t[:, 0]), axis=1)
    run = np.stack((s[:, 1], t[:, 1]), axis=1) - start
    return start, run, np.stack((frame.length, frame.width), axis=1)


def lengths_outside(lines: Geometries, outline: Any) -> Floats:
    """Measure how far each line runs outside an outline, by more than 0.001 mm, (n,)."""
    shapely.prepare(outline)
    lengths = np.zeros(len(lines))
    leaving = np.flatnonzero(~shapely.covers(outline, lines))
    if len(leaving):
        lengths[leaving] = _beyond(lines[leaving], outline)
    return lengths


def lengths_near(line: Any, others: Geometries, apart: float) -> Floats:
    """Measure how much of a line lies nearer than `apart` to each of the others, (n,).

    Exact: round the ends of the others as well. Nearer means by more than 1e-6, so that a line
    that runs alongside at `apart` is not.
    """
    lengths = np.zeros(len(others))
    pieces, _ = segments(np.array([line]))
    around, owner = segments(others)
    mine, theirs = close_pairs(bounds(pieces), bounds(around), apart)
    run = pieces[mine, 1] - pieces[mine, 0]
    start, end = spans_within(pieces[mine, 0], run, around[theirs], apart - SAME)
    start, end = np.maximum(start, 0.0), np.minimum(end, 1.0)
    keep = end > start
    order = np.lexsort((start[keep], mine[keep], owner[theirs[keep]]))
    mine, other = mine[keep][order], owner[theirs[keep]][order]
    start, end = start[keep][order], end[keep][order]
    size = np.hypot(*(pieces[:, 1] - pieces[:, 0]).T)
    at, reached = (-1, -1), 0.0
    for index in range(len(mine)):
        here = int(other[index]), int(mine[index])
        reached = max(reached, start[index]) if here == at else start[index]
        at = here
        if end[index] > reached:
            lengths[here[0]] += (end[index] - reached) * size[here[1]]
            reached = end[index]
    return lengths


def spans_within(
    starts: Floats, runs: Floats, around: Floats, apart: float
) -> tuple[Floats, Floats]:
    """Find where the points start + t run lie within `apart` of segments (m, 2, 2).

    Returns the least and the greatest such t, each (m,); the first is greater than the second
    where there is none. What lies within a distance of a segment is convex, so it is one span.
    """
    base = around[:, 0]
    axis = around[:, 1] - base
    length = np.hypot(axis[:, 0], axis[:, 1])
    point = length == 0.0
    along = np.where(point[:, None], (1.0, 0.0), axis / np.where(point, 1.0, length)[:, None])
    across = np.stack((-along[:, 1], along[:, 0]), axis=1)
    offset = starts - base
    local = np.stack(((offset * along).sum(axis=1), (offset * across).sum(axis=1)), axis=1)
    step = np.stack(((runs * along).sum(axis=1), (runs * across).sum(axis=1)), axis=1)
    low = np.stack((np.zeros_like(length), np.full_like(length, -apart)), axis=1)
    high = np.stack((length, np.full_like(length, apart)), axis=1)
    first, last = clip(local, step, low, high, -np.inf, np.inf)
    empty = first > last
    first, last = np.where(empty, np.inf, first), np.where(empty, -np.inf, last)
    for centre in (offset, starts - around[:, 1]):
        enter, leave = _in_circle(centre, runs, apart)
        first, last = np.minimum(first, enter), np.maximum(last, leave)
    return first, last


def _in_circle(offset: Floats, run: Floats, radius: float) -> tuple[Floats, Floats]:
    square = (run * run).sum(axis=1)
    still = square == 0.0
    square = np.where(still, 1.0, square)
    middle = -(offset * run).sum(axis=1) / square
    # Measured from the line's foot: stable also far away from the circle.
    foot = offset + middle[:, None] * run
    left = radius * radius - (foot * foot).sum(axis=1)
    half = np.sqrt(np.maximum(left, 0.0) / square)
    half = np.where(still, np.inf, half)
    hit = left >= 0.0
    enter: Floats = np.where(hit, middle - half, np.inf)
    leave: Floats = np.where(hit, middle + half, -np.inf)
    return enter, leave


def clip(
    start: Floats, run: Floats, low: Floats, high: Floats, least: float = 0.0, most: float = 1.0
) -> tuple[Floats, Floats]:
    """Clip start + t run, t from `least` to `most`, to boxes: the first t and the last, (m,)."""
    still = run == 0.0
    step = np.where(still, 1.0, run)
    to_low, to_high = (low - start) / step, (high - start) / step
    within = (start >= low) & (start <= high)
    enter = np.where(still, np.where(within, -np.inf, np.inf), np.minimum(to_low, to_high))
    leave = np.where(still, np.where(within, np.inf, -np.inf), np.maximum(to_low, to_high))
    first: Floats = np.maximum(enter.max(axis=1), least)
    last: Floats = np.minimum(leave.min(axis=1), most)
    return first, last


def _beyond(lines: Geometries, area: Any) -> Floats:
    """Measure how far each line runs outside an area, its edge aside."""
    pieces, owner = segments(lines)
    edge = shapely.boundary(area)
    sides, _ = segments(shapely.get_parts(edge))
    run = pieces[:, 1] - pieces[:, 0]
    which, cut = _crossings(pieces, sides)
    count = np.arange(len(pieces))
    which = np.concatenate((which, count, count))
    cut = np.concatenate((cut, np.zeros(len(pieces)), np.ones(len(pieces))))
    order = np.lexsort((cut, which))
    which, cut = which[order], cut[order]
    same = which[1:] == which[:-1]
    piece, start = which[1:][same], cut[:-1][same]
    share = cut[1:][same] - start
    at = start[:, None] + share[:, None] * _LOOKS
    looks = pieces[piece, 0][:, None] + at[:, :, None] * run[piece][:, None]
    shapely.prepare(area)
    shapely.prepare(edge)
    held = shapely.contains_xy(area, looks[:, :, 0], looks[:, :, 1])
    clear = shapely.distance(edge, shapely.points(looks)) > EDGE
    length = share * np.hypot(run[piece, 0], run[piece, 1])
    outside = np.bincount(owner[piece], length * (~held & clear).any(axis=1), len(lines))
    return outside.astype(np.float64, copy=False)


def _crossings(pieces: Floats, sides: Floats) -> tuple[Ints, Floats]:
    """Find where segments cross sides or pass their corners: which segment, and at what t."""
    first, second = close_pairs(bounds(pieces), bounds(sides), EDGE)
    start, run = pieces[first, 0], pieces[first, 1] - pieces[first, 0]
    corner, side = sides[second, 0], sides[second, 1] - sides[second, 0]
    offset = corner - start
    length, size = np.hypot(run[:, 0], run[:, 1]), np.hypot(side[:, 0], side[:, 1])
    turned = run[:, 0] * side[:, 1] - run[:, 1] * side[:, 0]
    crossing = np.abs(turned) > 1e-12 * length * size
    safe = np.where(crossing, turned, 1.0)
    t = (offset[:, 0] * side[:, 1] - offset[:, 1] * side[:, 0]) / safe
    u = (offset[:, 0] * run[:, 1] - offset[:, 1] * run[:, 0]) / safe
    crossing &= (u * size >= -EDGE) & ((u - 1.0) * size <= EDGE) & (t > 0.0) & (t < 1.0)
    square = np.where(length > 0.0, length * length, 1.0)
    foot = (offset * run).sum(axis=1) / square
    off = offset - foot[:, None] * run
    passing = (np.hypot(off[:, 0], off[:, 1]) <= EDGE) & (foot > 0.0) & (foot < 1.0)
    which = np.concatenate((first[crossing], first[passing]))
    cut: Floats = np.concatenate((t[crossing], foot[passing]))
    return which, cut


def close_pairs(these: Floats, others: Floats, reach: float = 0.0) -> tuple[Ints, Ints]:
    """Pair boxes (m, 4) with others (n, 4) that lie within `reach` of them in x and in y."""
    if len(these) * len(others) <= _FEW:
        low = np.maximum(these[:, None, :2], others[None, :, :2])
        high = np.minimum(these[:, None, 2:], others[None, :, 2:])
        first, second = np.nonzero((low - high <= reach).all(axis=2))
        return first, second
    grown = others + np.array((-reach, -reach, reach, reach))
    found = shapely.STRtree(shapely.box(*grown.T)).query(shapely.box(*these.T))
    order = np.lexsort((found[1], found[0]))
    return found[0][order], found[1][order]


def sum_pairs(first: Ints, second: Ints, lengths: Floats, count: int) -> tuple[Ints, Floats]:
    """Add up the lengths of each pair, those that are nought left out."""
    keep = lengths > 0.0
    keys, back = np.unique(first[keep] * count + second[keep], return_inverse=True)
    pairs = np.stack((keys // count, keys % count), axis=1)
    total: Floats = np.bincount(back, lengths[keep], len(keys)).astype(np.float64, copy=False)
    return pairs, total
