"""Rooms of a real hospital, and buildings of a real town as large as rooms: filled, then damaged.

Filled by the test's own arithmetic, a room has no geometric finding but what its shape brings: too
small a share heated, or no place deep enough for the sensor. Each damage must be found, with its
measure. Every day each outline is damaged in three of the twelve ways, in turn.
"""

from typing import Any

import numpy as np
import pytest

from tests.effort import IS_LONG
from tests.geometry_oracles.rooms import measured
from tests.real_outlines.damages import DAMAGES
from tests.real_outlines.filling import COVERED, DEEP, Filled, fill
from tests.real_outlines.outlines import all_outlines, buildings, hospital_floors
from tests.underfoot_rules.plans import check, of_rule
from underfoot.checking.page import merge_patch
from underfoot.checking.report import PlanReport

pytestmark = pytest.mark.oracle

GEOMETRIC = (
    "element-overlap", "element-outside-room", "wall-clearance", "fixture-clearance",
    "joint-crossing", "strip-gap", "cut-length", "strip-length", "floor-coverage",
    "sensor-under-element", "sensor-depth", "lead-under-element", "lead-outside-room",
    "insulation-cover", "insulation-overlap", "insulation-bond", "membrane-cover",
    "membrane-overlap",
)  # fmt: skip
NARROW = {
    "width": 400, "output": "80 W/m2", "voltage": "230 V", "cut_every": 250, "longest_strip": "9 m",
}  # fmt: skip
EACH_DAY = 3
# Those too small for a strip 500 mm wide are left out; how many remain is tested.
FILLED: dict[str, Filled] = {
    name: filled
    for name, outline in all_outlines().items()
    if (filled := fill(outline)) is not None
}


def _check(filled: Filled, change: dict[str, Any]) -> PlanReport:
    room = merge_patch(filled.room, change)
    # What is null is told to the base plan, whose rows, lead, place and runs are not to stay.
    for key in ("rows", "leads", "thermostat", "membrane"):
        if key in filled.room or key in change:
            room[key] = change.get(key, filled.room.get(key))
    return check({"materials": {"films": {"film-narrow": NARROW}}, "rooms": {"room": room}})


def test_the_files_hold_what_they_did() -> None:
    """What the outlines measured when they were chosen."""
    floors = [floor.area for floor in hospital_floors()]
    assert len(floors) == 55
    assert min(floors) == pytest.approx(13.9, abs=0.05)
    assert max(floors) == pytest.approx(3739, abs=0.5)
    # By hand: an L of 6.096 x 22.86 and 13.716 x 9.144.
    assert any(area == pytest.approx(264.77, abs=0.01) for area in floors)
    areas = [building.area for building in buildings()]
    assert len(areas) == 144
    assert min(areas) == pytest.approx(20.7, abs=0.05)
    assert max(areas) == pytest.approx(4616, abs=0.5)
    assert np.median(areas) == pytest.approx(261, abs=0.5)
    assert sum(len(building.interiors) for building in buildings()) == 1


def test_most_outlines_take_strips() -> None:
    assert sum(name.startswith("hospital") for name in FILLED) == 8
    assert sum(name.startswith("building") for name in FILLED) == 114


@pytest.mark.parametrize("name", FILLED)
def test_filled_it_is_clean(name: str) -> None:
    filled = FILLED[name]
    report = _check(filled, {})
    assert not report.faults, report.faults
    found = {each.rule for each in report.findings if each.rule in GEOMETRIC}
    share, depth = filled.share, filled.depth
    if abs(share - COVERED) > 0.1:
        assert ("floor-coverage" in found) == (share < COVERED)
    if abs(depth - DEEP) > 0.1:
        assert ("sensor-depth" in found) == (depth < DEEP)
    assert found <= {"floor-coverage", "sensor-depth"}, found
    if share < COVERED - 0.1:
        assert measured(report, "floor-coverage")[()] == pytest.approx(share, abs=0.1)
    if depth < DEEP - 0.1:
        assert measured(report, "sensor-depth")[()] == pytest.approx(depth, abs=0.05)


@pytest.mark.parametrize("name", FILLED)
def test_damaged_it_is_found_out(name: str) -> None:
    filled = FILLED[name]
    turn = list(FILLED).index(name)
    ways = DAMAGES if IS_LONG else [DAMAGES[(turn + 4 * n) % len(DAMAGES)] for n in range(EACH_DAY)]
    damages = [(way, damage) for way in ways if (damage := way(filled)) is not None]
    assert damages
    for way, damage in damages:
        report = _check(filled, damage.change)
        found = {each.items: each for each in of_rule(report, damage.rule)}
        assert damage.items in found, (way.__name__, set(found))
        finding = found[damage.items]
        assert finding.severity == damage.severity, way.__name__
        assert finding.measured is not None
        measure = finding.measured.value
        assert measure == pytest.approx(damage.measured, abs=damage.within), way.__name__
