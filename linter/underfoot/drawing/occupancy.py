"""What is taken on the sheet: four-cornered patches, and whether a new one would touch them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

Point = tuple[float, float]
Patch = tuple[Point, ...]
Bounds = tuple[float, float, float, float]
# Patches by the squares of the sheet that they touch, so that a test looks at few of them.
Taken = defaultdict[tuple[int, int], list[tuple[Bounds, Patch]]]

_SQUARE = 12.0


def nothing_taken(patches: Iterable[Patch] = ()) -> Taken:
    """Begin with a sheet on which only `patches` are taken."""
    taken: Taken = defaultdict(list)
    for patch in patches:
        take(taken, patch)
    return taken


def take(taken: Taken, patch: Patch) -> None:
    """Mark a convex patch as taken."""
    bounds = _bounds(patch)
    for square in _squares(bounds):
        taken[square].append((bounds, patch))


def touches(taken: Taken, patch: Patch) -> int:
    """Count the taken patches that a convex patch (two points: a line) would touch."""
    bounds = _bounds(patch)
    looked_at: set[int] = set()
    count = 0
    for square in _squares(bounds):
        for other_bounds, other in taken.get(square, ()):
            if id(other) not in looked_at:
                looked_at.add(id(other))
                count += _meet(bounds, other_bounds) and _cross(patch, other)
    return count


def is_free(taken: Taken, patch: Patch) -> bool:
    """Tell whether a convex patch would touch nothing taken."""
    bounds = _bounds(patch)
    return not any(
        _meet(bounds, other_bounds) and _cross(patch, other)
        for square in _squares(bounds)
        for other_bounds, other in taken.get(square, ())
    )


def overlap(one: Patch, other: Patch) -> bool:
    """Tell whether two convex patches share more than an edge."""
    return _meet(_bounds(one), _bounds(other)) and _cross(one, other)


def _bounds(patch: Patch) -> Bounds:
    xs = [x for x, _ in patch]
    ys = [y for _, y in patch]
    return (min(xs), min(ys), max(xs), max(ys))


def _squares(bounds: Bounds) -> Iterator[tuple[int, int]]:
    for column in range(math.floor(bounds[0] / _SQUARE), math.floor(bounds[2] / _SQUARE) + 1):
        for row in range(math.floor(bounds[1] / _SQUARE), math.floor(bounds[3] / _SQUARE) + 1):
            yield column, row


def _meet(one: Bounds, other: Bounds) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _cross(one: Patch, other: Patch) -> bool:
    """Look for a line that parts the patches (separating axes)."""
    for patch in (one, other):
        # A line has one side, which its second point would only turn round.
        for place, (x, y) in enumerate(patch if len(patch) > 2 else patch[:1]):
            to_x, to_y = patch[(place + 1) % len(patch)]
            across_x, across_y = y - to_y, to_x - x
            reach = [px * across_x + py * across_y for px, py in one]
            others = [px * across_x + py * across_y for px, py in other]
            if max(reach) <= min(others) + 1e-9 or max(others) <= min(reach) + 1e-9:
                return False
    return True


def patch_of(left: float, top: float, width: float, height: float, gap: float = 0.0) -> Patch:
    """Give an upright rectangle as a patch, grown by `gap`."""
    x1, y1, x2, y2 = left - gap, top - gap, left + width + gap, top + height + gap
    return ((x1, y1), (x2, y1), (x2, y2), (x1, y2))


def turned_patch(middle: Point, width: float, height: float, turn_deg: float) -> Patch:
    """Give a rectangle about its middle, turned clockwise on the paper."""
    angle = math.radians(turn_deg)
    cosine, sine = round(math.cos(angle), 12), round(math.sin(angle), 12)
    x, y = middle
    return tuple(
        (x + dx * cosine - dy * sine, y + dx * sine + dy * cosine)
        for dx, dy in (
            (-width / 2, -height / 2),
            (width / 2, -height / 2),
            (width / 2, height / 2),
            (-width / 2, height / 2),
        )
    )


def take_line(taken: Taken, places: Sequence[Point]) -> None:
    """Mark every stretch of a line as taken."""
    for start, end in pairwise(places):
        if start != end:
            take(taken, (start, end))
