"""What the rules of how leads run must find in a room.

Step by step along the lead, a rod across it as long as it is wide, to two steps for each time that
it goes in and out. Where the middle of the lead lies, against pyclipper too: no less is found.
"""

from itertools import pairwise

import numpy as np
import shapely

from tests.geometry_oracles.clipping import length_within, unite
from tests.geometry_oracles.raster import distance_between, walk
from tests.geometry_oracles.rooms import Drawn, judge, measured
from underfoot.checking.report import PlanReport

EXACT = 0.05
STEP = 1.0
# All leads here are of 1.5 mm2: two conductors of 3 mm side by side.
HALF = 3.0
# So near to the junction box a lead may touch the wall.
AT_THE_BOX = 300.0


def judge_leads_under_strips(room: Drawn, report: PlanReport) -> None:
    """lead-under-element."""
    found = measured(report, "lead-under-element")
    _judge_within(room, found, room.strips)


def judge_leads_under_fixtures(room: Drawn, report: PlanReport) -> None:
    """lead-under-fixture: fixings, structure, and what stands on the subfloor."""
    barring = {
        name: corners
        for name, (entry, corners) in room.fixtures.items()
        if entry["kind"] in ("fixings", "structure") or entry.get("stands_on") == "subfloor"
    }
    lengths, distances = {}, {}
    for each in report.findings:
        if each.rule == "lead-under-fixture":
            assert each.measured is not None
            (distances if each.measured.value < 50 and "lies" in each.message else lengths)[
                each.items
            ] = each.measured.value
    _judge_within(room, lengths, barring)
    screwed = {
        (lead, name): max(0.0, distance_between(line, _edge(corners)) - HALF)
        for lead, line in room.leads.items()
        for name, corners in barring.items()
        if room.fixtures[name][0]["kind"] == "fixings" and (lead, name) not in lengths
    }
    judge(distances, screwed, 50.0, EXACT, is_least=True)


def _edge(corners: np.ndarray) -> np.ndarray:
    return np.concatenate((corners, corners[:1]))


def judge_leads_near_heat(room: Drawn, report: PlanReport) -> None:
    """lead-near-heat."""
    found = measured(report, "lead-near-heat")
    true = {}
    for lead, line in room.leads.items():
        for name, (entry, corners) in room.fixtures.items():
            if entry["kind"] == "heat source":
                inside = shapely.contains_xy(shapely.Polygon(corners), line).any()
                apart = 0.0 if inside else distance_between(line, _edge(corners))
                true[lead, name] = max(0.0, apart - HALF)
    judge(found, true, 300.0, EXACT, is_least=True)


def _judge_within(
    room: Drawn, found: dict[tuple[str, ...], float], areas: dict[str, np.ndarray]
) -> None:
    walked = {}
    for lead, line in room.leads.items():
        for name, corners in areas.items():
            walked[lead, name] = _walk_within(line, corners)
            middle = length_within(line, unite([corners]))
            assert middle <= found.get((lead, name), 1.0) + EXACT
    parts = max((len(line) for line in room.leads.values()), default=1)
    judge(found, walked, 1.0, 2 * STEP * parts)


def judge_leads_outside(room: Drawn, report: PlanReport) -> None:
    """lead-outside-room."""
    found = measured(report, "lead-outside-room")
    walked = {}
    for lead, line in room.leads.items():
        whole = float(np.hypot(*np.diff(line, axis=0).T).sum())
        middle = whole - length_within(line, unite([room.outline]))
        walked[lead,] = max(middle, _walk_outside(line, room))
        assert middle <= found.get((lead,), 1.0) + EXACT
    # A part may cross the outline at every other wall.
    judge(found, walked, 1.0, 2 * STEP * 4 * len(room.outline))


def _rods(line: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return rods across a line at every step, with their middles and the lengths of the steps."""
    rods, middles, lengths = [], [], []
    for start, end in pairwise(line):
        run = end - start
        size = float(np.hypot(*run))
        if not size:
            continue
        aside = HALF * np.array((-run[1], run[0])) / size
        points, steps = walk(np.stack((start, end)), STEP)
        rods.append(shapely.linestrings(np.stack((points - aside, points + aside), axis=1)))
        middles.append(points)
        lengths.append(steps)
    if not rods:
        return np.array([], dtype=object), np.empty((0, 2)), np.empty(0)
    return np.concatenate(rods), np.concatenate(middles), np.concatenate(lengths)


def _walk_within(line: np.ndarray, corners: np.ndarray) -> float:
    rods, _, lengths = _rods(line)
    return float(lengths[shapely.intersects(rods, shapely.Polygon(corners))].sum())


def _walk_outside(line: np.ndarray, room: Drawn) -> float:
    rods, middles, lengths = _rods(line)
    box = np.asarray(room.data["junction_box"]["at"])
    off = np.hypot(*(middles - box).T) > AT_THE_BOX
    out = ~shapely.covers(shapely.Polygon(room.outline), rods)
    return float(lengths[out & off].sum())
