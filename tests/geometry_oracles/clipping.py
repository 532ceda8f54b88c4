"""Areas and lines cut and offset by pyclipper, on a lattice of a ten thousandth of a millimetre."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import pyclipper

Points = Sequence[tuple[float, float]] | np.ndarray
Ring = np.ndarray
Rings = list[np.ndarray]

_SCALE = 10_000.0
# How far the chords of a round corner may lie off the circle (mm). The last chord of a corner takes
# what the even ones leave: it may be half as long again, and lie off 2.25 times as far.
ROUND = 0.01


def _whole(points: Points) -> list[tuple[int, int]]:
    scaled = np.rint(np.asarray(points, dtype=float) * _SCALE)
    return [(int(x), int(y)) for x, y in scaled]


def _ring(points: Points) -> list[tuple[int, int]]:
    """Return an area's ring anticlockwise, as nonzero filling wants it."""
    ring = _whole(points)
    return ring if pyclipper.Orientation(ring) else ring[::-1]


def _back(rings: Iterable[Iterable[tuple[int, int]]]) -> Rings:
    return [np.array(list(ring), dtype=float) / _SCALE for ring in rings]


def _clip(kind: int, areas: Iterable[Points], others: Iterable[Points]) -> Rings:
    clipper = pyclipper.Pyclipper()
    subject = [_ring(area) for area in areas]
    clip = [_ring(area) for area in others]
    if not subject:
        return []
    clipper.AddPaths(subject, pyclipper.PT_SUBJECT, True)
    if clip:
        clipper.AddPaths(clip, pyclipper.PT_CLIP, True)
    return _back(clipper.Execute(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


def unite(areas: Iterable[Points]) -> Rings:
    """Unite areas; holes come as rings the other way round."""
    return _clip(pyclipper.CT_UNION, areas, [])


def intersect(areas: Rings, others: Iterable[Points]) -> Rings:
    """Return what areas share with others."""
    return _keeping_holes(pyclipper.CT_INTERSECTION, areas, others)


def subtract(areas: Rings, others: Iterable[Points]) -> Rings:
    """Return what of areas lies in no other."""
    return _keeping_holes(pyclipper.CT_DIFFERENCE, areas, others)


def _keeping_holes(kind: int, areas: Rings, others: Iterable[Points]) -> Rings:
    clipper = pyclipper.Pyclipper()
    clip = [_whole(area) for area in others if len(area)]
    if not areas:
        return []
    clipper.AddPaths([_whole(area) for area in areas], pyclipper.PT_SUBJECT, True)
    if clip:
        clipper.AddPaths(clip, pyclipper.PT_CLIP, True)
    return _back(clipper.Execute(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


def area_of(rings: Rings) -> float:
    """Add up the area of rings, holes taken away."""
    return sum(pyclipper.Area(_whole(ring)) for ring in rings) / _SCALE**2


def grow(areas: Rings, by: float, *, square: bool = False) -> Rings:
    """Move the edge of united areas out by a true distance (in, where it is negative)."""
    offset = pyclipper.PyclipperOffset(4.0, ROUND * _SCALE)
    join = pyclipper.JT_MITER if square else pyclipper.JT_ROUND
    for area in areas:
        offset.AddPath(_whole(area), join, pyclipper.ET_CLOSEDPOLYGON)
    return _back(offset.Execute(by * _SCALE))


def close_slits(areas: Rings) -> Rings:
    """Close what the lattice leaves open between turned areas that touch."""
    return grow(grow(areas, 0.002, square=True), -0.002, square=True)


def grow_line(line: Points, by: float) -> Rings:
    """Return what lies within a true distance of a line."""
    offset = pyclipper.PyclipperOffset(2.0, ROUND * _SCALE)
    offset.AddPath(_whole(line), pyclipper.JT_ROUND, pyclipper.ET_OPENROUND)
    return _back(offset.Execute(by * _SCALE))


def length_within(line: Points, areas: Iterable[Points]) -> float:
    """Measure how much of a line lies in areas."""
    clip = [_whole(area) for area in areas if len(area)]
    if not clip:
        return 0.0
    total = 0.0
    # Part by part: a line that runs over itself counts each time.
    for start, end in pairwise(line):
        if np.array_equal(_whole([start]), _whole([end])):
            continue
        clipper = pyclipper.Pyclipper()
        clipper.AddPath(_whole([start, end]), pyclipper.PT_SUBJECT, False)
        clipper.AddPaths(clip, pyclipper.PT_CLIP, True)
        tree = clipper.Execute2(
            pyclipper.CT_INTERSECTION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO
        )
        for part in _back(pyclipper.OpenPathsFromPolyTree(tree)):
            total += float(np.hypot(*np.diff(part, axis=0).T).sum())
    return total


def least_width(rings: Rings) -> float:
    """Measure how near two parallel lines come that hold all rings between them."""
    points = np.concatenate(rings) if rings else np.empty((0, 2))
    hull = _hull(points)
    if len(hull) < 3:
        return 0.0
    least = np.inf
    for one, other in zip(hull, np.roll(hull, -1, axis=0), strict=True):
        run = (other - one) / np.hypot(*(other - one))
        height = np.abs((hull - one) @ np.array((-run[1], run[0])))
        least = min(least, float(height.max()))
    return least


def _hull(points: np.ndarray) -> np.ndarray:
    """The convex hull, by going round from the left."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)

    def half(along: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
        side: list[tuple[float, float]] = []
        for x, y in along:
            while len(side) > 1:
                (ax, ay), (bx, by) = side[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                side.pop()
            side.append((x, y))
        return side[:-1]

    return np.array(half(ordered) + half(ordered[::-1]))


def holds(rings: Rings, point: tuple[float, float]) -> bool:
    """Tell whether a point lies in rings, holes left out; an edge counts as inside."""
    inside = 0
    for ring in rings:
        where = pyclipper.PointInPolygon(_whole([point])[0], _whole(ring))
        if where == -1:
            return True
        inside += where
    return inside % 2 == 1
