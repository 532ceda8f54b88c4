"""Climbing to the point that lies deepest among its neighbours, and proving that it does."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.physics.lines import spans_within
from underfoot.physics.rectangles import SAME, Floats, Ints

# Sides and walls of the hull weighed against each other in one step.
_SIDES, _WALLS = 8, 4
# What a step must gain to be one (mm), and the shortest step tried.
_GAIN, _SHORTEST = 1e-11, 1e-8
# A step that still climbs where the way bends up from level by its square (mm).
_BEND = 0.1


class Place(Struct, frozen=True, kw_only=True):
    """A point from which no step leads deeper, and the weights that prove it.

    `ridge` (2, 2) are the ends of the line of points as deep, in whose middle it lies: both the
    point itself where there is none. For any point
    of the area: depth <= sum of weight x distance to side + sum of pull x room before the wall.
    Each distance and room is a convex function, so the sum is greatest at a corner of a rectangle.
    """

    point: Floats
    distance: float
    ridge: Floats
    sides: Ints
    weights: Floats
    walls: Ints
    pulls: Floats

    @property
    def length(self) -> float:
        return float(np.hypot(*(self.ridge[1] - self.ridge[0])))

    def off(self, points: Floats) -> Floats:
        """Measure how far points (m, 2) lie from the place and its ridge."""
        return _offsets(points, self.ridge[None])[1]

    def bound(self, centres: Floats, halves: Floats, sides: Floats, walls: Floats) -> Floats:
        """Bound the depth within rectangles about centres (m, 2) from above, (m,).

        `halves` (2, 2) lead from a centre to the middles of two sides.
        """
        corners = (centres[:, None] + _CORNERS @ halves).reshape(-1, 2)
        total = np.zeros(len(corners))
        for side, weight in zip(self.sides, self.weights, strict=True):
            total += weight * _offsets(corners, sides[side][None])[1]
        for wall, pull in zip(self.walls, self.pulls, strict=True):
            total += pull * (walls[wall, 0] + corners @ walls[wall, 1:])
        most: Floats = total.reshape(-1, 4).max(axis=1)
        return most


_CORNERS = np.array(((-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)))


def climb(start: Floats, reach: float, area: Any, sides: Floats, walls: Floats) -> Place:
    """Climb from a point of an area to where no step leads farther from all sides (s, 2, 2).

    `walls` (w, 3) are the sides of the area's hull. Each step solves the linear programme of the
    tangents: the distance to a side is convex, so no distance falls below its tangent, and the
    climb never comes down. It goes no farther than twice `reach`, so that only near sides count.
    """
    point = start
    _, distance = _offsets(point, sides)
    local = sides[distance <= distance.min() + 6.0 * reach]
    away, distance = _offsets(point, local)
    step = reach
    while step > _SHORTEST:
        depth = distance.min()
        held = _weigh(point, away, distance, walls, step)
        moves = (held.move,) if held.gain > _GAIN else (held.move, -held.move)
        for tried in (point + move for move in moves):
            away_there, distance_there = _offsets(tried, local)
            if (
                distance_there.min() > depth + _GAIN
                and np.abs(tried - start).max() <= 2.0 * reach
                and _holds(area, tried)
            ):
                point, away, distance = tried, away_there, distance_there
                step = min(2.0 * step, reach)
                break
        else:
            # Nothing to gain along the tangents: only a bend could still lead up.
            step = min(step / 4.0, _BEND) if held.gain <= _GAIN else step / 4.0
    place, held = _stay(point, _SHORTEST, sides, walls)
    ridge = _ridge(point, place.distance, held, sides, walls)
    if (ridge[0] == ridge[1]).all():
        return place
    # In the middle of the ridge only the sides along it lie so near.
    place, _ = _stay(ridge.mean(axis=0), _SHORTEST, sides, walls)
    return replace(place, ridge=ridge)


def reachable(start: Floats, reach: float, sides: Floats, walls: Floats) -> tuple[float, Place]:
    """Return the least depth that a step from a point leads to, and a bound for what lies near."""
    place, held = _stay(start, reach, sides, walls)
    return place.distance + held.gain, place


def _stay(point: Floats, step: float, sides: Floats, walls: Floats) -> tuple[Place, _Held]:
    away, distance = _offsets(point, sides)
    held = _weigh(point, away, distance, walls, step)
    ridge = np.stack((point, point))
    place = Place(
        point=point,
        distance=float(distance.min()),
        ridge=ridge,
        sides=held.sides,
        weights=held.weights,
        walls=held.walls,
        pulls=held.pulls,
    )
    return place, held


class _Held(Struct, frozen=True, kw_only=True):
    """The best move from a point, and what holds it from moving farther."""

    move: Floats
    gain: float
    sides: Ints
    weights: Floats
    slopes: Floats
    walls: Ints
    pulls: Floats


def _weigh(point: Floats, away: Floats, distance: Floats, walls: Floats, step: float) -> _Held:
    """Weigh the sides and walls near a point that hold it within a step."""
    near = np.argsort(distance, kind="stable")[:_SIDES]
    near = near[distance[near] <= distance[near[0]] + 4.0 * step]
    room = walls[:, 0] + walls[:, 1:] @ point
    close = np.argsort(room, kind="stable")[:_WALLS]
    slope = away[near] / np.where(distance[near] > 0.0, distance[near], 1.0)[:, None]
    move, value, weights = _best_move(slope, distance[near], walls[close, 1:], room[close], step)
    weight, pull = weights[: len(near)], weights[len(near) : -4]
    heavy, pulling = weight > 0.0, pull > 0.0
    return _Held(
        move=move,
        gain=value - float(distance[near[0]]),
        sides=near[heavy],
        weights=weight[heavy] / weight.sum(),
        slopes=slope[heavy],
        walls=close[pulling],
        pulls=pull[pulling],
    )


def _holds(area: Any, point: Floats) -> bool:
    return bool(shapely.distance(area, shapely.points(point)) <= 1e-9)


def _offsets(points: Floats, sides: Floats) -> tuple[Floats, Floats]:
    """Return the way from the nearest point of each side to the points, and its length."""
    base = sides[:, 0]
    run = sides[:, 1] - base
    square = np.maximum((run * run).sum(axis=1), 1e-300)
    offset = points - base
    share = np.clip((offset * run).sum(axis=1) / square, 0.0, 1.0)
    away = offset - share[:, None] * run
    return away, np.hypot(away[:, 0], away[:, 1])


def _best_move(
    slope: Floats, distance: Floats, normal: Floats, room: Floats, step: float
) -> tuple[Floats, float, Floats]:
    """Find the move, at most a step in x and in y, to the greatest least distance.

    Returns it, that distance, and the weight of each side and wall. Three of the constraints
    hold the optimum: of all threes with weights of one sign the one with the least distance, by
    duality.
    """
    count = len(distance)
    rows = np.zeros((count + len(room) + 4, 3))
    rows[:count, :2], rows[:count, 2] = -slope, 1.0
    rows[count:-4, :2] = -normal
    rows[-4:, :2] = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
    most = np.concatenate((distance, np.maximum(room, 0.0), np.full(4, step)))
    threes = _threes(len(rows))
    a, b, c = (rows[threes[:, i]] for i in range(3))
    across = np.stack((_cross(b, c), _cross(c, a), _cross(a, b)), axis=1)
    volume = (a * across[:, 0]).sum(axis=1)
    flat = np.abs(volume) < 1e-12
    across /= np.where(flat, 1.0, volume)[:, None, None]
    weight = across[:, :, 2]
    usable = np.flatnonzero(~flat & (weight >= -1e-12).all(axis=1))
    value = (weight[usable] * most[threes[usable]]).sum(axis=1)
    tied = usable[value <= value.min() + 1e-9]
    moves = (across[tied] * most[threes[tied]][:, :, None]).sum(axis=1)
    over = (moves @ rows.T - most).max(axis=1)
    best = int(np.argmin(np.maximum(over, 1e-9)))
    weights = np.zeros(len(rows))
    weights[threes[tied[best]]] = np.where(weight[tied[best]] > 1e-9, weight[tied[best]], 0.0)
    return moves[best, :2], float(moves[best, 2]), weights


@lru_cache(maxsize=64)
def _threes(count: int) -> Ints:
    threes = np.array(list(combinations(range(count), 3)), np.intp)
    threes.flags.writeable = False
    return threes


def _cross(a: Floats, b: Floats) -> Floats:
    return np.stack(
        (
            a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1],
            a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2],
            a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0],
        ),
        axis=1,
    )


def _ridge(point: Floats, depth: float, held: _Held, sides: Floats, walls: Floats) -> Floats:
    """Return the ends of the line of points as deep: the point twice where there is none."""
    alone = np.stack((point, point))
    if len(held.sides) + len(held.walls) != 2 or not len(held.sides):
        return alone
    along = np.array((-held.slopes[0, 1], held.slopes[0, 0]))
    count = len(sides)
    first, last = spans_within(
        np.broadcast_to(point, (count, 2)),
        np.broadcast_to(along, (count, 2)),
        sides,
        depth - 1e-8,
    )
    nearer = first < last
    first, last = first[nearer], last[nearer]
    ahead = first + last > 0.0
    room = walls[:, 0] + walls[:, 1:] @ point
    lean = walls[:, 1:] @ along
    tilted = np.abs(lean) > 1e-9
    stop = -room[tilted] / lean[tilted]
    start = max([*last[~ahead], *stop[lean[tilted] > 0.0]], default=0.0)
    end = min([*first[ahead], *stop[lean[tilted] < 0.0]], default=0.0)
    if end - start <= SAME:
        return alone
    ends: Floats = point + np.array(((start,), (end,))) * along
    return ends
