"""Outlines: corners that bound a simple polygon with area."""

import re
from fractions import Fraction
from typing import Any

from underfoot.reading.building.problem_log import Corners, Point, ProblemLog, read_pair

MOST_CORNERS = 10_000
# Up to here, looking at each pair of sides is quicker than loading a geometry library.
_FEW_CORNERS = 48
# Products of coordinates within 1 km are exact to better than this.
_UNSURE = 1e-2
_PLACE = re.compile(r"\[(-?[0-9.e+-]+) (-?[0-9.e+-]+)\]")


def read_outline(log: ProblemLog, value: list[Any], place: str, key: str) -> Corners | None:
    """The simple polygon at `place`; None, and a problem, where it is none."""
    if len(value) > MOST_CORNERS:
        log.report(place, f"this outline has {len(value):,} corners; at most 10,000 are read")
        return None
    corners = read_corners(log, value, place)
    if corners is None or len(corners) < 3:
        return None
    fault = find_fault(corners)
    if fault is not None:
        corner, message = fault
        log.report(f"{place}.{corner}", f"`{key}`: {message}")
        return None
    return corners


def read_corners(log: ProblemLog, value: list[Any], place: str) -> Corners | None:
    """All points of a list, or None where one cannot be read."""
    corners = [read_pair(log, pair, f"{place}.{number}") for number, pair in enumerate(value)]
    whole = tuple(corner for corner in corners if corner is not None)
    return whole if len(whole) == len(corners) else None


def find_fault(corners: Corners) -> tuple[int, str] | None:
    """What keeps corners from bounding a simple polygon: at which corner, counted from 0."""
    count = len(corners)
    if corners[0] == corners[-1]:
        return count - 1, "the first corner is repeated at the end: delete the last one"
    for number in range(1, count):
        if corners[number] == corners[number - 1]:
            return number, f"corner {number + 1} is the same as the one before it: delete one"
    if all(_turn(corners[0], corners[1], corner) == 0 for corner in corners[2:]):
        return 0, "all corners lie on one line, so that the outline has no area"
    for number in range(count):
        before, here, after = corners[number - 1], corners[number], corners[(number + 1) % count]
        if _turn(before, here, after) == 0 and _looks_back(before, here, after):
            return number, f"at corner {number + 1} the outline runs back over itself"
    if count <= _FEW_CORNERS:
        return _find_crossing(corners)
    return _find_crossing_in_many(corners)


def _find_crossing(corners: Corners) -> tuple[int, str] | None:
    count = len(corners)
    sides = [(corners[number], corners[(number + 1) % count]) for number in range(count)]
    for first in range(count - 2):
        a, b = sides[first]
        low_x, high_x = (a[0], b[0]) if a[0] <= b[0] else (b[0], a[0])
        low_y, high_y = (a[1], b[1]) if a[1] <= b[1] else (b[1], a[1])
        for second in range(first + 2, count - (first == 0)):
            c, d = sides[second]
            if (c[0] < low_x and d[0] < low_x) or (c[0] > high_x and d[0] > high_x):
                continue
            if (c[1] < low_y and d[1] < low_y) or (c[1] > high_y and d[1] > high_y):
                continue
            if _meet(a, b, c, d):
                return second, _word_crossing(first, second, count)
    return None


def _word_crossing(first: int, second: int, count: int) -> str:
    return (
        f"the outline crosses or touches itself: the side from corner {second + 1} to "
        f"{(second + 1) % count + 1} meets the side from corner {first + 1} to {first + 2}"
    )


def _find_crossing_in_many(corners: Corners) -> tuple[int, str] | None:
    from shapely import Polygon, is_valid_reason

    reason = str(is_valid_reason(Polygon(corners)))
    if reason == "Valid Geometry":
        return None
    found = _PLACE.search(reason)
    if found is None:
        return 0, "the outline crosses or touches itself"
    x, y = float(found.group(1)), float(found.group(2))
    nearest = min(
        range(len(corners)),
        key=lambda number: (corners[number][0] - x) ** 2 + (corners[number][1] - y) ** 2,
    )
    return nearest, f"the outline crosses or touches itself near [{x:g}, {y:g}]"


def _turn(a: Point, b: Point, c: Point) -> int:
    """1 where c lies left of the line from a to b, -1 right, 0 on it; exactly."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    if area > _UNSURE:
        return 1
    if area < -_UNSURE:
        return -1
    ax, ay = Fraction(a[0]), Fraction(a[1])
    exact = (Fraction(b[0]) - ax) * (Fraction(c[1]) - ay) - (Fraction(b[1]) - ay) * (
        Fraction(c[0]) - ax
    )
    return (exact > 0) - (exact < 0)


def _looks_back(before: Point, here: Point, after: Point) -> bool:
    return (before[0] - here[0]) * (after[0] - here[0]) + (before[1] - here[1]) * (
        after[1] - here[1]
    ) > 0


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two sides whose boxes meet have a point in common."""
    turns = (_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b))
    if turns[0] != turns[1] and turns[2] != turns[3]:
        return True
    return turns == (0, 0, 0, 0)  # on one line, and their boxes meet
