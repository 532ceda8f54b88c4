"""What the rules of how leads run must find in a room.

Against pyclipper to 0.05 mm, and step by step along the lead to two steps for each time that it
goes in and out.
"""

from __future__ import annotations

import numpy as np
import shapely

from tests.geometry_oracles.clipping import length_within, unite
from tests.geometry_oracles.raster import walk
from tests.geometry_oracles.rooms import Drawn, judge, measured
from underfoot.checking.report import PlanReport

EXACT = 0.05
STEP = 1.0


def judge_leads_under_strips(room: Drawn, report: PlanReport) -> None:
    """lead-under-element."""
    found = measured(report, "lead-under-element")
    _judge_within(room, found, room.strips)


def judge_leads_under_fixtures(room: Drawn, report: PlanReport) -> None:
    """lead-under-fixture: fixings, structure, and what stands on the subfloor."""
    found = measured(report, "lead-under-fixture")
    areas = {
        name: corners
        for name, (entry, corners) in room.fixtures.items()
        if entry["kind"] in ("fixings", "structure") or entry.get("stands_on") == "subfloor"
    }
    _judge_within(room, found, areas)


def _judge_within(
    room: Drawn, found: dict[tuple[str, ...], float], areas: dict[str, np.ndarray]
) -> None:
    exact, walked = {}, {}
    for lead, line in room.leads.items():
        for name, corners in areas.items():
            exact[lead, name] = length_within(line, unite([corners]))
            walked[lead, name] = _walk_within(line, corners)
    judge(found, exact, 1.0, EXACT)
    parts = max((len(line) for line in room.leads.values()), default=1)
    judge(found, walked, 1.0, 2 * STEP * parts)


def judge_leads_outside(room: Drawn, report: PlanReport) -> None:
    """lead-outside-room."""
    found = measured(report, "lead-outside-room")
    exact, walked = {}, {}
    for lead, line in room.leads.items():
        whole = float(np.hypot(*np.diff(line, axis=0).T).sum())
        exact[lead,] = whole - length_within(line, unite([room.outline]))
        walked[lead,] = whole - _walk_within(line, room.outline)
    judge(found, exact, 1.0, EXACT)
    # A part may cross the outline at every other wall.
    judge(found, walked, 1.0, 2 * STEP * 4 * len(room.outline))


def _walk_within(line: np.ndarray, corners: np.ndarray) -> float:
    points, lengths = walk(line, STEP)
    return float(lengths[shapely.contains_xy(shapely.Polygon(corners), points)].sum())
