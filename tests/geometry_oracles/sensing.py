"""What the rules of where a sensor lies and how its cable runs must find in a room.

Against the raster to its cell or step, against pyclipper to 0.05 mm.
"""

from itertools import pairwise

import numpy as np

from tests.geometry_oracles.clipping import (
    area_of,
    close_slits,
    grow,
    grow_line,
    holds,
    intersect,
    length_within,
    unite,
)
from tests.geometry_oracles.heating import closed_gaps
from tests.geometry_oracles.raster import (
    cells_over,
    closed,
    cross,
    distance_between,
    distances_to,
    walk,
)
from tests.geometry_oracles.rooms import Drawn, judge, measured
from tests.underfoot_rules.plans import of_rule
from underfoot.checking.report import PlanReport

EXACT = 0.05
CELL = 20.0


def judge_place(room: Drawn, report: PlanReport) -> None:
    at = room.sensor
    aside = measured(report, "sensor-under-element")
    strips = list(room.strips.values())
    warm = close_slits(unite([*strips, *closed_gaps(strips)]))
    away = min(
        0.0 if holds(unite([strip]), at) else float(distances_to(np.array([at]), closed(strip))[0])
        for strip in strips
    )
    judge(aside, {(): away}, 0.001, 1e-3)
    if aside:
        laid = unite(strips)
        assert not holds(grow(laid, aside[()] - EXACT), at)
        assert holds(grow(laid, aside[()] + EXACT), at)
    shallow = measured(report, "sensor-depth")
    if away > 0.001:
        assert not shallow
        return
    edges = [closed(ring) for ring in warm]
    depth = min(float(distances_to(np.array([at]), edge)[0]) for edge in edges)
    judge(shallow, {(): depth}, 500.0, EXACT, is_least=True)
    # The raster: no cell nearer than this is cold.
    # Its centres lie off the lattice of plans: one on an edge would be in neither of two strips.
    cells = cells_over(np.concatenate(strips), CELL, margin=601.37)
    cold = ~cells.within_any([*strips, *closed_gaps(strips)])
    nearest = float(np.hypot(cells.x[cold] - at[0], cells.y[cold] - at[1]).min())
    assert depth - EXACT <= nearest
    # One that is lies about as near, where what is cold is as wide as a cell.
    if not _is_slit(room, at, depth):
        assert nearest <= depth + 1.5 * CELL
    if shallow:
        deep = area_of(grow(warm, -500 + EXACT)) > 0
        deeper = area_of(grow(warm, -500 - EXACT)) > 0
        (finding,) = of_rule(report, "sensor-depth")
        if deep == deeper:
            assert finding.severity == ("warning" if deep else "note")


def _is_slit(room: Drawn, at: tuple[float, float], depth: float) -> bool:
    """Tell whether what is cold at the edge nearest to the sensor is narrower than two cells."""
    strips = list(room.strips.values())
    warm = unite([*strips, *closed_gaps(strips)])
    around = [(at[0] + x, at[1] + y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    near = grow([np.array(around)], depth + CELL)
    # Closed and opened again, the warm floor keeps no narrow slits.
    widened = grow(grow(warm, CELL), -CELL - EXACT)
    return area_of(intersect(near, widened)) > area_of(intersect(near, warm)) + EXACT


def judge_heat_sources(room: Drawn, report: PlanReport) -> None:
    at = room.sensor
    found = measured(report, "sensor-near-heat")
    true = {}
    for name, (entry, corners) in room.fixtures.items():
        if entry["kind"] == "heat source":
            under = holds(unite([corners]), at)
            away = float(distances_to(np.array([at]), closed(corners))[0])
            true[name,] = 0.0 if under else away
            points, _ = walk(closed(corners), 2.0)
            assert away <= np.hypot(*(points - at).T).min() <= away + 1.0
            if not under and abs(away - 300) > EXACT:
                assert holds(grow(unite([corners]), 300.0), at) == (away < 300)
    judge(found, true, 300.0, 1e-6, is_least=True)


def judge_route(room: Drawn, report: PlanReport) -> None:
    found = measured(report, "sensor-near-lead")
    route = _without_first(room.route, 300.0)
    along, crossing, touching = {}, set(), set()
    for name, lead in room.leads.items():
        if route is None:
            along[name] = 0.0
            continue
        along[name] = length_within(route, grow_line(lead, 50.0))
        if cross(route, lead):
            crossing.add(name)
        elif distance_between(route, lead) < 1e-3:
            touching.add(name)
        points, lengths = walk(route, 1.0)
        near = lengths[distances_to(points, lead) < 50]
        # One step at each end of each part of the route.
        assert abs(float(near.sum()) - along[name]) <= 2.0 * len(route) * len(lead) + EXACT
    for name, length in along.items():
        if name in crossing or length > 300 + EXACT:
            assert (name,) in found
        elif length < 300 - EXACT and name not in touching:
            assert (name,) not in found
        if (name,) in found and found[name,] > 0:
            # At each bend the chords of the round corner may cost a little.
            assert abs(found[name,] - length) <= 2 * EXACT * len(room.leads[name])
    assert set(found) <= {(name,) for name in room.leads}


def _without_first(line: np.ndarray, distance: float) -> np.ndarray | None:
    """Return what is left of a line after its first stretch."""
    for place, (start, end) in enumerate(pairwise(line)):
        length = float(np.hypot(*(end - start)))
        if length > distance:
            first = start + (end - start) * distance / length
            return np.concatenate((first[None], line[place + 1 :]))
        distance -= length
    return None
