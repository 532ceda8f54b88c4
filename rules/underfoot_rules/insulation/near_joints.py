"""Brickwork: the courses that boards lie in, and how far their end joints lie apart."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.physics import rectangles

Floats = rectangles.Floats
Ints = rectangles.Ints

# Boards whose sides lie within this of each other lie in line (mm): no saw cuts finer.
_IN_LINE = 1.0
# Sides that lie within this of each other meet in a joint, as strips of film do (mm).
_MEETING = 10.0


class Course(Struct, frozen=True, kw_only=True):
    """Boards in line: its sides across, and its end joints in order.

    `joints` (m, 2) are the boards before and after each; `place` (m,) is where they meet along the
    course and `spread` (m,) how far from there their ends lie.
    """

    low: float
    high: float
    joints: Ints
    place: Floats
    spread: Floats


class Courses(Struct, frozen=True, kw_only=True):
    """The courses of one layer, from the low side; `along` and `across` are unit vectors."""

    along: Floats
    across: Floats
    courses: tuple[Course, ...]


class NearJoints(Struct, frozen=True, kw_only=True):
    """Two end joints of neighbouring courses: each two boards, and how far apart they lie.

    `line` runs from one to the other along the side that the courses share.
    """

    first: tuple[int, int]
    second: tuple[int, int]
    offset: float
    line: Any


def find_courses(corners: Floats, along: Floats | None = None) -> Courses | None:
    """Put boards (n, 4, 2) in line along their long sides; None where they do not lie in courses.

    They run as the longest side of any board does, or `along` where that is known. They do not lie
    in courses where one is turned against the others, or lies beside two others that are in line.
    """
    if not len(corners):
        return None
    frame = rectangles.frames(corners)
    if along is None:
        longest = int(np.argmax(np.maximum(frame.length, frame.width)))
        lengthwise = frame.length[longest] >= frame.width[longest]
        along = frame.along[longest] if lengthwise else frame.across[longest]
    turned = np.abs(frame.along[:, 0] * along[1] - frame.along[:, 1] * along[0])
    if not ((turned <= rectangles.PARALLEL) | (turned >= 1.0 - rectangles.PARALLEL)).all():
        return None
    across = np.array((-along[1], along[0]))
    u, v = corners @ along, corners @ across
    low, high = v.min(axis=1), v.max(axis=1)
    groups: list[list[int]] = []
    lows, highs = low.tolist(), high.tolist()
    base = top = -np.inf
    for board in np.lexsort((high, low)).tolist():
        if lows[board] - base <= _IN_LINE and abs(highs[board] - top) <= _IN_LINE:
            groups[-1].append(board)
        elif lows[board] < top - _IN_LINE:
            return None
        else:
            base, top = lows[board], highs[board]
            groups.append([board])
    starts, ends = u.min(axis=1), u.max(axis=1)
    courses = tuple(_course(np.array(group), low, high, starts, ends) for group in groups)
    return Courses(along=along, across=across, courses=courses)


def _course(
    boards: Ints,
    low: Floats,
    high: Floats,
    starts: Floats,
    ends: Floats,
) -> Course:
    ordered = boards[np.argsort(starts[boards], kind="stable")]
    before, after = ordered[:-1], ordered[1:]
    gap = starts[after] - ends[before]
    met = np.abs(gap) <= np.where(gap > 0, _MEETING, np.inf)
    before, after, gap = before[met], after[met], gap[met]
    return Course(
        low=float(low[boards].min()),
        high=float(high[boards].max()),
        joints=np.stack((before, after), axis=1),
        place=(ends[before] + starts[after]) / 2.0,
        spread=np.abs(gap) / 2.0,
    )


def count_neighbours(found: Courses) -> int:
    """Count the pairs of courses that lie side by side."""
    return sum(1 for _ in _side_by_side(found))


def find_near_joints(
    found: Courses, floor: Any, outline: Any, within: float
) -> tuple[tuple[NearJoints, ...], ...]:
    """Find the end joints of neighbouring courses that lie nearer to each other than `within`.

    One tuple for each pair of neighbours that has any, nearest first. Only joints of boards that
    the floor really leaves there count: what ends at a wall or a fixture has no joint, and a sliver
    of less than 1 mm is no board. Joints with a wall between them are not neighbours.
    """
    shapely.prepare(floor)
    result = []
    for lower, upper in _side_by_side(found):
        near = [
            joints
            for one, other, offset in _near(lower, upper, within)
            if (joints := _real(found, lower, upper, one, other, offset, floor, outline))
        ]
        if near:
            result.append(tuple(sorted(near, key=lambda joints: joints.offset)))
    return tuple(result)


def _side_by_side(found: Courses) -> Iterator[tuple[Course, Course]]:
    for lower, upper in zip(found.courses, found.courses[1:], strict=False):
        if upper.low - lower.high <= _MEETING:
            yield lower, upper


def _near(lower: Course, upper: Course, within: float) -> Iterator[tuple[int, int, float]]:
    """Pair the joints of two courses that lie nearer than `within`, by index."""
    if not len(lower.place) or not len(upper.place):
        return
    first = np.searchsorted(upper.place, lower.place - within, side="left")
    last = np.searchsorted(upper.place, lower.place + within, side="right")
    for one in np.flatnonzero(last > first).tolist():
        for other in range(int(first[one]), int(last[one])):
            offset = abs(float(upper.place[other] - lower.place[one]))
            if offset < within:
                yield one, other, offset


def _real(
    found: Courses,
    lower: Course,
    upper: Course,
    one: int,
    other: int,
    offset: float,
    floor: Any,
    outline: Any,
) -> NearJoints | None:
    ends = (
        (lower.place[one], lower.spread[one], lower.high - _IN_LINE, lower.high - _IN_LINE / 10),
        (upper.place[other], upper.spread[other], upper.low + _IN_LINE / 10, upper.low + _IN_LINE),
    )
    for place, spread, low, high in ends:
        reach = spread + _IN_LINE
        box = ((place - reach, low), (place + reach, low), (place + reach, high),
               (place - reach, high))  # fmt: skip
        if not shapely.covers(floor, shapely.Polygon(_in_plane(found, box))):
            return None
    line = shapely.LineString(
        _in_plane(found, ((lower.place[one], lower.high), (upper.place[other], upper.low)))
    )
    if shapely.length(shapely.difference(line, outline)) > _IN_LINE:
        return None
    first, second = lower.joints[one], upper.joints[other]
    return NearJoints(
        first=(int(first[0]), int(first[1])),
        second=(int(second[0]), int(second[1])),
        offset=offset,
        line=line,
    )


def _in_plane(found: Courses, points: tuple[tuple[float, float], ...]) -> Floats:
    placed: Floats = np.array(points) @ np.stack((found.along, found.across))
    return placed
