"""What is taken on the sheet: four-cornered patches, and whether a new one would touch them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

Point = tuple[float, float]
Patch = tuple[Point, ...]
# Patches by the squares of the sheet that they touch, so that a test looks at few of them.
Taken = defaultdict[tuple[int, int], list[Patch]]

_SQUARE = 12.0


def nothing_taken(patches: Iterable[Patch] = ()) -> Taken:
    """Begin with a sheet on which only `patches` are taken."""
    taken: Taken = defaultdict(list)
    for patch in patches:
        take(taken, patch)
    return taken


def take(taken: Taken, patch: Patch) -> None:
    """Mark a convex patch as taken."""
    for square in _squares(patch):
        taken[square].append(patch)


def touches(taken: Taken, patch: Patch) -> int:
    """Count the taken patches that a convex patch (two points: a line) would touch."""
    seen: list[Patch] = []
    for square in _squares(patch):
        for other in taken.get(square, ()):
            if not any(other is one for one in seen) and overlap(patch, other):
                seen.append(other)
    return len(seen)


def is_free(taken: Taken, patch: Patch) -> bool:
    """Tell whether a convex patch would touch nothing taken."""
    return not any(
        overlap(patch, other) for square in _squares(patch) for other in taken.get(square, ())
    )


def _squares(patch: Patch) -> Iterator[tuple[int, int]]:
    xs = [x for x, _ in patch]
    ys = [y for _, y in patch]
    for column in range(math.floor(min(xs) / _SQUARE), math.floor(max(xs) / _SQUARE) + 1):
        for row in range(math.floor(min(ys) / _SQUARE), math.floor(max(ys) / _SQUARE) + 1):
            yield column, row


def overlap(one: Patch, other: Patch) -> bool:
    """Tell whether two convex patches share more than an edge (separating axes)."""
    if max(x for x, _ in one) <= min(x for x, _ in other):
        return False
    if max(x for x, _ in other) <= min(x for x, _ in one):
        return False
    if max(y for _, y in one) <= min(y for _, y in other):
        return False
    if max(y for _, y in other) <= min(y for _, y in one):
        return False
    for patch in (one, other):
        for place, (x, y) in enumerate(patch):
            to_x, to_y = patch[(place + 1) % len(patch)]
            across = (y - to_y, to_x - x)
            low, high = _span(one, across)
            other_low, other_high = _span(other, across)
            if high <= other_low + 1e-9 or other_high <= low + 1e-9:
                return False
    return True


def _span(patch: Patch, along: Point) -> tuple[float, float]:
    reach = [x * along[0] + y * along[1] for x, y in patch]
    return min(reach), max(reach)


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
