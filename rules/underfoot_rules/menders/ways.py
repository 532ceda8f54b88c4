"""Finds a square way over the floor, in the border and clear of all that bars it."""

import heapq
import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.facts import Place, RoomFacts

# The lanes in the border, from the wall: its middle first, then so many for leads side by side.
_LANES = (30.0, 21.0, 39.0, 12.0, 48.0)
# A lane that is not the middle one, or a line of the old way, counts as so much longer.
_ASIDE = 1.2
# What a bend is worth in length of way.
_BEND = 150.0
# More lines each way are not tried.
_MOST_LINES = 70
# What is drawn lies clear by so much more than it must.
_SPARE = 0.5


Lines = tuple[tuple[float, ...], tuple[float, ...]]


class Ground(Struct, frozen=True, kw_only=True):
    """The floor that the middle of a lead or conduit may take.

    `open` is for all of it, `at_end` for its last piece to a strip that it joins, `between` for a
    piece from one joint to another. `turn` turns the room until its strips lie upright. `lines`
    along y and x are tried for the way; the `middle` ones are better: the border's, the old way's.
    """

    open: Any
    at_end: Any
    between: Any
    turn: np.ndarray
    middle: Lines
    lines: Lines


class End(Struct, frozen=True, kw_only=True):
    """Where a way begins or ends; `outwards` is how a lead leaves the end of a strip."""

    at: Place
    outwards: Place | None = None


def find_turn(room: RoomFacts) -> np.ndarray:
    """Return the matrix that turns a room's strips upright; points stand in rows."""
    angle = math.radians(room.elements[0].angle_deg % 90.0) if room.elements else 0.0
    cosine, sine = math.cos(angle), math.sin(angle)
    return np.array([[cosine, -sine], [sine, cosine]])


def make_ground(
    room: RoomFacts,
    half: float,
    barred: Sequence[Any],
    strips: Any,
    joined: Any,
    old: Iterable[Place] = (),
) -> Ground:
    """Return the floor for something so wide, clear of what is barred, and of strips.

    `strips` are those that it must pass, `joined` those among them that it is joined to. At the
    junction box it comes straight out of the wall. The `old` way's lines are tried, too.
    """
    turn = find_turn(room)
    inner = shapely.buffer(room.outline, -(half + _SPARE), join_style="mitre")
    if room.box is not None:
        near = shapely.intersection(shapely.Point(room.box).buffer(half + _SPARE), room.outline)
        inner = shapely.union(inner, near)
    if len(barred):
        inner = shapely.difference(inner, shapely.union_all(list(barred)))
    wide = _grow(strips, half + _SPARE)
    others = [strip for strip in strips if not any(strip is one for one in joined)]
    spaces = (
        shapely.difference(inner, wide),
        shapely.difference(inner, shapely.union(_grow(others, half + _SPARE), _grow(joined, 0.0))),
        shapely.difference(inner, _grow(strips, 0.0)),
    )
    turned = [shapely.buffer(shapely.transform(one, lambda p: p @ turn), 0.01) for one in spaces]
    for one in turned:
        shapely.prepare(one)
    middle, lines = _list_lines(room, turn, half, strips, barred, old)
    return Ground(
        open=turned[0],
        at_end=turned[1],
        between=turned[2],
        turn=turn,
        middle=middle,
        lines=lines,
    )


def _grow(strips: Any, by: float) -> Any:
    if not len(strips):
        return shapely.Polygon()
    return shapely.union_all(shapely.buffer(list(strips), by or -0.01, join_style="mitre"))


def _list_lines(
    room: RoomFacts,
    turn: np.ndarray,
    half: float,
    strips: Any,
    barred: Sequence[Any],
    old: Iterable[Place],
) -> tuple[Lines, Lines]:
    """List the lines that are better, and all that a way may take."""
    corners = shapely.get_coordinates(room.walls) @ turn
    middle = shapely.transform(room.outline, lambda p: p @ turn)
    best: list[list[float]] = [[], []]
    rest: list[list[float]] = [[], []]
    for here, there in pairwise(corners):
        for axis in (0, 1):
            if abs(here[axis] - there[axis]) > 1.0:
                continue
            beside = (here + there) / 2
            beside[axis] += 1.0
            inwards = 1.0 if shapely.intersects_xy(middle, *beside) else -1.0
            best[axis].append(here[axis] + inwards * _LANES[0])
            rest[axis] += [here[axis] + inwards * lane for lane in _LANES[1:]]
    for place in old:
        x, y = np.array(place) @ turn
        best[0].append(x)
        best[1].append(y)
    heated = shapely.union_all(shapely.buffer(list(strips), 1.0, join_style="mitre"))
    for shape, off in ((heated, half + 3.0), *((one, 2.0) for one in barred)):
        spots = (shapely.get_coordinates(shape) @ turn).round(1)
        for axis in (0, 1):
            # Sides along x or y have two corners in line; those of a round corner have not.
            values, count = np.unique(spots[:, axis], return_counts=True)
            for value in values[count > 1].tolist():
                rest[axis] += [value - off, value + off]
    good, found = (
        [
            tuple(dict.fromkeys(round(float(each), 1) for each in of_axis))[:_MOST_LINES]
            for of_axis in lines
        ]
        for lines in (best, [[*one, *other] for one, other in zip(best, rest, strict=True)])
    )
    return (good[0], good[1]), (found[0], found[1])


def find_bends(ground: Ground, start: End, end: End) -> tuple[Place, ...] | None:
    """Find the bends of a square way from one place to another, None where there is none."""
    turn = ground.turn
    first, last = (np.array(each.at) @ turn for each in (start, end))
    straight = shapely.LineString([first, last])
    joints = (start.outwards is not None) + (end.outwards is not None)
    if shapely.covers((ground.open, ground.at_end, ground.between)[joints], straight):
        return ()
    way = _search(ground, _leave(ground, start), _leave(ground, end), first, last)
    if way is None:
        return None
    return tuple(_write(place @ turn.T) for place in _tidy([first, *way, last])[1:-1])


class _Leave(Struct, frozen=True, kw_only=True):
    """How a way leaves an end: the axis that it must run along, and which way; None for any."""

    axis: int | None
    sign: float


def _leave(ground: Ground, end: End) -> _Leave:
    if end.outwards is None:
        return _Leave(axis=None, sign=0.0)
    x, y = np.array(end.outwards) @ ground.turn
    return _Leave(axis=0, sign=x) if abs(x) > abs(y) else _Leave(axis=1, sign=y)


def _search(
    ground: Ground, leave: _Leave, arrive: _Leave, first: np.ndarray, last: np.ndarray
) -> list[np.ndarray] | None:
    lines = [
        np.array(sorted({*ground.lines[axis], round(first[axis], 4), round(last[axis], 4)}))
        for axis in (0, 1)
    ]
    xs, ys = lines
    grid_x, grid_y = np.meshgrid(xs, ys, indexing="ij")
    inside = shapely.intersects_xy(ground.open, grid_x, grid_y)
    points = np.stack((grid_x, grid_y), axis=-1)
    steps = (
        _open_steps(ground.open, points, inside, 0),
        _open_steps(ground.open, points, inside, 1),
    )
    starts = _doors(ground, leave, first, points, inside)
    ends = _doors(ground, arrive, last, points, inside)
    if not starts or not ends:
        return None
    weigh = [
        np.where(np.isin(lines[axis].round(1), ground.middle[axis]), 1.0, _ASIDE).tolist()
        for axis in (0, 1)
    ]
    at = [lines[axis].tolist() for axis in (0, 1)]
    goal = last.tolist()
    open_steps = [step.tolist() for step in steps]

    def guess(i: int, j: int) -> float:
        return float(abs(at[0][i] - goal[0]) + abs(at[1][j] - goal[1]))

    waiting = [
        (cost + guess(*node), cost, node, way, (-1, -1, -1)) for node, (cost, way) in starts.items()
    ]
    heapq.heapify(waiting)
    before: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    best: tuple[float, tuple[int, int, int]] | None = None
    while waiting:
        least, cost, (i, j), way, came = heapq.heappop(waiting)
        state = (i, j, way)
        if state in before:
            continue
        before[state] = came
        if best is not None and least >= best[0]:
            break
        if (i, j) in ends:
            more, needed = ends[(i, j)]
            whole = cost + more + (_BEND if needed not in (way, -1) else 0.0)
            if best is None or whole < best[0]:
                best = whole, state
        for axis, k, m in ((0, i - 1, j), (0, i + 1, j), (1, i, j - 1), (1, i, j + 1)):
            if (k, m, axis) in before or not (0 <= k < len(xs) and 0 <= m < len(ys)):
                continue
            if not open_steps[axis][min(i, k)][min(j, m)]:
                continue
            long = abs(at[0][k] - at[0][i]) if axis == 0 else abs(at[1][m] - at[1][j])
            on = weigh[1][j] if axis == 0 else weigh[0][i]
            onward = cost + long * on + (_BEND if way not in (axis, -1) else 0.0)
            heapq.heappush(waiting, (onward + guess(k, m), onward, (k, m), axis, state))
    if best is None:
        return None
    nodes, state = [], best[1]
    while state[0] >= 0:
        nodes.append(points[state[0], state[1]])
        state = before[state]
    return nodes[::-1]


def _open_steps(floor: Any, points: np.ndarray, inside: np.ndarray, axis: int) -> np.ndarray:
    """Tell which steps from each line to the next lie on the floor."""
    here, there = (points[:-1], points[1:]) if axis == 0 else (points[:, :-1], points[:, 1:])
    both = inside[:-1] & inside[1:] if axis == 0 else inside[:, :-1] & inside[:, 1:]
    pieces = shapely.linestrings(np.stack((here[both], there[both]), axis=1))
    both[both] = shapely.covers(floor, pieces)
    found: np.ndarray = both
    return found


def _doors(
    ground: Ground, leave: _Leave, at: np.ndarray, points: np.ndarray, inside: np.ndarray
) -> dict[tuple[int, int], tuple[float, int]]:
    """Find where a way may come onto the lines from its end: cost and axis of the piece there."""
    found: dict[tuple[int, int], tuple[float, int]] = {}
    floor = ground.open if leave.axis is None else ground.at_end
    for axis in (0, 1) if leave.axis is None else (leave.axis,):
        off = points - at
        on_line = inside & (np.abs(off[..., 1 - axis]) < 1e-3)
        if leave.axis is not None:
            on_line &= off[..., axis] * leave.sign > 0
        nodes = np.argwhere(on_line)
        away = np.abs(off[on_line][:, axis])
        for which in np.argsort(away, kind="stable")[:8]:
            i, j = nodes[which].tolist()
            piece = shapely.LineString([at, points[i, j]])
            cost = float(away[which])
            if cost < 1e-3 or shapely.covers(floor, piece):
                found.setdefault((i, j), (cost, axis if cost > 1e-3 else -1))
    return found


def _tidy(way: list[np.ndarray]) -> list[np.ndarray]:
    """Leave out places twice named, and those on a straight way."""
    kept: list[np.ndarray] = []
    for place in way:
        if kept and np.hypot(*(place - kept[-1])) < 1e-3:
            continue
        if len(kept) > 1:
            (ax, ay), (bx, by) = kept[-1] - kept[-2], place - kept[-1]
            if abs(ax * by - ay * bx) < 1e-3 * math.hypot(ax, ay):
                kept.pop()
        kept.append(place)
    return kept


def _write(place: np.ndarray) -> Place:
    x, y = (round(float(part), 1) for part in place)
    return x, y
