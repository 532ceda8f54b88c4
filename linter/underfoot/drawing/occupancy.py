"""What is taken on the sheet: four-cornered patches, and whether a new one would touch them."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise

Point = tuple[float, float]
Patch = tuple[Point, ...]
Bounds = tuple[float, float, float, float]
# Patches by the squares of the sheet that they touch, so that a test looks at few of them.
Taken = defaultdict[tuple[int, int], list[tuple[Bounds, Patch, bool]]]

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
    entry = (bounds, patch, _is_upright(patch))
    for square in _squares(bounds):
        taken[square].append(entry)


def touches(taken: Taken, patch: Patch) -> int:
    """Count the taken patches that a convex patch (two points: a line) would touch."""
    bounds, upright = _bounds(patch), _is_upright(patch)
    looked_at: set[int] = set()
    count = 0
    for square in _squares(bounds):
        for other_bounds, other, is_upright in taken.get(square, ()):
            if id(other) not in looked_at:
                looked_at.add(id(other))
                count += _meet(bounds, other_bounds) and (
                    (upright and is_upright) or _cross(patch, other)
                )
    return count


def is_free(taken: Taken, patch: Patch) -> bool:
    """Tell whether a convex patch would touch nothing taken."""
    bounds, upright = _bounds(patch), _is_upright(patch)
    for square in _squares(bounds):
        for other_bounds, other, is_upright in taken.get(square, ()):
            if _meet(bounds, other_bounds) and ((upright and is_upright) or _cross(patch, other)):
                return False
    return True


def near(taken: Taken, patch: Patch) -> list[Patch]:
    """Return what is taken in the squares that a patch touches."""
    found = {
        id(other): other
        for square in _squares(_bounds(patch))
        for _, other, _ in taken.get(square, ())
    }
    return list(found.values())


def _bounds(patch: Patch) -> Bounds:
    if len(patch) == 2:
        (x, y), (u, v) = patch
        return (x if x < u else u, y if y < v else v, u if x < u else x, v if y < v else y)
    xs = [x for x, _ in patch]
    ys = [y for _, y in patch]
    return (min(xs), min(ys), max(xs), max(ys))


def _is_upright(patch: Patch) -> bool:
    """Tell whether a patch is all that its bounds hold: a level or upright line or rectangle."""
    if len(patch) == 2:
        (x, y), (u, v) = patch
        return x == u or y == v
    if len(patch) != 4:
        return False
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = patch
    return (x1 == x4 and x2 == x3 and y1 == y2 and y3 == y4) or (
        x1 == x2 and x3 == x4 and y1 == y4 and y2 == y3
    )


def _squares(bounds: Bounds) -> list[tuple[int, int]]:
    rows = range(math.floor(bounds[1] / _SQUARE), math.floor(bounds[3] / _SQUARE) + 1)
    columns = range(math.floor(bounds[0] / _SQUARE), math.floor(bounds[2] / _SQUARE) + 1)
    return [(column, row) for column in columns for row in rows]


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
    """Return an upright rectangle as a patch, grown by `gap`."""
    x1, y1, x2, y2 = left - gap, top - gap, left + width + gap, top + height + gap
    return ((x1, y1), (x2, y1), (x2, y2), (x1, y2))


def turned_patch(middle: Point, width: float, height: float, turn_deg: float) -> Patch:
    """Return a rectangle about its middle, turned clockwise on the paper."""
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
