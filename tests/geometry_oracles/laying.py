"""What the rules of laying must find in a room, by a raster and against pyclipper.

Tolerances: 0.05 mm against pyclipper (its round corners are drawn in chords), 0.1 % of the floor
where areas are compared; against the raster, what its cells and steps allow, said at each.
"""

from itertools import combinations

import numpy as np
import pytest
import shapely

from tests.geometry_oracles.clipping import (
    area_of,
    grow,
    intersect,
    least_width,
    length_within,
    subtract,
    unite,
)
from tests.geometry_oracles.heating import closed_gaps
from tests.geometry_oracles.raster import (
    cells_over,
    closed,
    distance_between,
    distances_to,
    walk,
)
from tests.geometry_oracles.rooms import Drawn, judge, measured
from underfoot.checking.report import PlanReport

EXACT = 0.05
CELL = 20.0


def judge_overlaps(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "element-overlap")
    true = {
        (a, b): least_width(intersect(unite([room.strips[a]]), [room.strips[b]]))
        for a, b in combinations(sorted(room.strips), 2)
    }
    judge(found, true, 1.0, EXACT)
    for a, b in true:
        one, other = room.strips[a], room.strips[b]
        cells = cells_over(np.concatenate((one, other)), CELL)
        shared = cells.within(one) & cells.within(other)
        if (a, b) not in found:
            # A lap of up to 1 mm holds no more cells than lie along its length.
            assert shared.sum() * CELL <= 2700
            continue
        x, y = cells.x[shared], cells.y[shared]
        if len(x):
            # No wider than measured, seen along each side of both.
            width = min(np.ptp(x * u + y * v) for u, v in _normals(one, other))
            assert width <= found[a, b] + 1e-6
        assert abs(shared.sum() * CELL**2 - area_of(intersect(unite([one]), [other]))) <= (
            CELL * 2 * 2700
        )


def _normals(*rectangles: np.ndarray) -> list[np.ndarray]:
    sides = [corners[i + 1] - corners[i] for corners in rectangles for i in (0, 1)]
    return [np.array((-y, x)) / np.hypot(x, y) for x, y in sides]


def judge_outside(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "element-outside-room")
    floor = unite([room.outline])
    walls = closed(room.outline)
    true = {}
    for name, strip in room.strips.items():
        # The farthest point outside lies within a step of one of these.
        cells = cells_over(strip, CELL)
        edge, _ = walk(closed(strip), 2.0)
        inner = np.stack((cells.x.ravel(), cells.y.ravel()), axis=1)
        points = np.concatenate((strip, edge, inner[cells.within(strip).ravel()]))
        outside = points[~_covered(points, room.outline)]
        true[name,] = float(distances_to(outside, walls).max()) if len(outside) else 0.0
    judge(found, true, 1.0, CELL)
    for (name,), value in found.items():
        strip = unite([room.strips[name]])
        assert area_of(subtract(strip, grow(floor, value - EXACT))) > 0
        assert area_of(subtract(strip, grow(floor, value + EXACT))) <= 1e-3
    for name in room.strips:
        if (name,) not in found:
            assert area_of(subtract(unite([room.strips[name]]), grow(floor, 1 + EXACT))) <= 1e-3


def _covered(points: np.ndarray, outline: np.ndarray) -> np.ndarray:
    inside: np.ndarray = shapely.contains_xy(shapely.Polygon(outline), points)
    return inside


def judge_walls(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "wall-clearance")
    outside = measured(report, "element-outside-room")
    floor = unite([room.outline])
    walls = closed(room.outline)
    true = {}
    for name, strip in room.strips.items():
        if (name,) in outside:
            continue
        away = distance_between(closed(strip), walls)
        reach = area_of(subtract(unite([strip]), floor))
        # Up to 1 mm outside is inside: it lies on the wall.
        true[name,] = 0.0 if reach > 0 else away
        points, _ = walk(closed(strip), 5.0)
        assert true[name,] - 1e-6 <= distances_to(points, walls).min() <= away + 2.5
        for at in (away - EXACT, away + EXACT):
            if reach == 0 and at > 0:
                beyond = area_of(subtract(unite([strip]), grow(floor, -at))) > 1e-4
                assert beyond == (at > away), (name, at, away)
    judge(found, true, 58.0, 1e-6, is_least=True)
    for each in report.findings:
        if each.rule == "wall-clearance" and abs(true[each.items] - 50) > 1e-6:
            assert (each.severity == "error") == (true[each.items] < 50)


def judge_fixtures(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "fixture-clearance")
    true = {}
    for name, strip in room.strips.items():
        for fixture, corners in room.standing.items():
            shared = area_of(intersect(unite([strip]), unite([corners])))
            away = 0.0 if shared > 1e-6 else distance_between(closed(strip), closed(corners))
            true[name, fixture] = away
            if away > EXACT:
                for by in (away - EXACT, away + EXACT):
                    meets = area_of(intersect(unite([strip]), grow(unite([corners]), by))) > 1e-4
                    assert meets == (by > away), (name, fixture, by, away)
            cells = cells_over(corners, CELL)
            mine = cells.within(corners)
            if mine.any():
                points = np.stack((cells.x[mine], cells.y[mine]), axis=1)
                least = float(distances_to(points, closed(strip)).min())
                is_under = bool((cells.within(strip) & mine).any())
                assert away <= (0.0 if is_under else least) + 1e-6
    judge(found, true, 50.0, 1e-6, is_least=True)


def judge_joints(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "joint-crossing")
    true, walked = {}, {}
    for name, strip in room.strips.items():
        for joint, line in room.joints.items():
            true[name, joint] = length_within(line, unite([strip]))
            points, lengths = walk(line, 1.0)
            walked[name, joint] = float(lengths[_covered(points, strip)].sum())
    judge(found, true, 1.0, EXACT)
    # A part of the line has up to two ends under the strip, each off by less than a step.
    judge(found, walked, 1.0, 4.0)


def judge_gaps(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "strip-gap")
    unclear, true = set(), {}
    for a, b in combinations(sorted(room.strips), 2):
        gap = _gap(room.strips[a], room.strips[b], *(room.runs_up(name) for name in (a, b)))
        if gap is None:
            continue
        width, facing, area = gap
        others = [strip for name, strip in room.strips.items() if name not in (a, b)]
        things = [*others, *room.standing.values()]
        filled = least_width(intersect(unite([area]), unite(things) if things else []))
        wall = least_width(subtract(unite([area]), [room.outline]))
        crossed = max((length_within(j, [area]) for j in room.joints.values()), default=0.0)
        nearest = min((abs(width - at) for at in (1.0, 250.0)), default=1.0)
        marginal = any(0 < each < 0.01 for each in (filled, wall, crossed))
        if nearest < 1e-5 or abs(facing - 100) < 1e-5 or marginal:
            unclear.add((a, b))
        if 1 < width < 250 and facing >= 100 and max(filled, wall, crossed) <= 0.001:
            true[a, b] = width
        cells = cells_over(area, 10.0)
        if (a, b) in found:
            # No cell of the gap is heated, stood on or outside.
            within = cells.within(area)
            assert not (within & cells.within_any(things)).any()
            assert not (within & ~cells.within(room.outline)).any()
    assert set(found) - unclear == set(true) - unclear
    for pair in set(found) & set(true):
        assert found[pair] == pytest.approx(true[pair], abs=1e-6)


def _gap(
    one: np.ndarray, other: np.ndarray, one_up: bool, other_up: bool
) -> tuple[float, float, np.ndarray] | None:
    """Return the gap between two parallel strips' long sides, how long they face, and where."""
    u = one[3] - one[0] if one_up else one[1] - one[0]
    u = u / np.hypot(*u)
    v = np.array((-u[1], u[0]))
    w = other[3] - other[0] if other_up else other[1] - other[0]
    if abs(float(u[0] * w[1] - u[1] * w[0])) > 1e-6 * np.hypot(*w):
        return None
    (a0, a1), (b0, b1) = ((np.min(s @ u), np.max(s @ u)) for s in (one, other))
    (c0, c1), (d0, d1) = ((np.min(s @ v), np.max(s @ v)) for s in (one, other))
    start, end = max(a0, b0), min(a1, b1)
    low, high = (c1, d0) if d0 > c1 else (d1, c0)
    if high - low <= 1e-6 or end - start <= 1e-6:
        return None
    area = np.array([s * u + t * v for s, t in
                     ((start, low), (end, low), (end, high), (start, high))])  # fmt: skip
    return float(high - low), float(end - start), area


def judge_coverage(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "floor-coverage")
    heated = [*room.strips.values(), *closed_gaps(room.strips.values())]
    kept_off = [grow(unite([corners]), 50.0) for corners in room.standing.values()]
    floor = grow(unite([room.outline]), -50.0)
    for rings in (*kept_off, *(unite([corners]) for corners in room.low.values())):
        floor = subtract(floor, rings)
    whole = area_of(floor)
    if whole < 1000:
        return
    share = 100 * area_of(intersect(floor, unite(heated))) / whole
    judge(found, {(): share}, 80.0, 0.1, is_least=True)
    cells = cells_over(room.outline, CELL)
    free = cells.within(room.outline) & (cells.distances(closed(room.outline)) >= 50)
    for corners in room.standing.values():
        free &= ~cells.within(corners) & (cells.distances(closed(corners)) >= 50)
    free &= ~cells.within_any(room.low.values())
    warm = free & cells.within_any(heated)
    # At worst half a cell is wrong all along the edges; it comes to far less.
    edges = sum(np.hypot(*np.diff(closed(each), axis=0).T).sum() for each in heated)
    edges += sum(
        np.hypot(*np.diff(closed(each), axis=0).T).sum()
        for each in (room.outline, *room.low.values())
    )
    allowed = 100 * CELL / 2 * edges / whole
    judge(found, {(): 100 * warm.sum() / max(1, free.sum())}, 80.0, allowed, is_least=True)
    if () in found:
        assert abs(found[()] - 100 * warm.sum() / free.sum()) <= min(allowed, 3.0)
