"""A sensor on the seam of two strips, where a place beside it would do."""

import re
from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of
from underfoot.checking.report import ReportedFinding

# The base plan's seven strips begin at x = 60, 560, 1060 ...; its conduit is 12 mm wide.


def seam(**room: Any) -> tuple[ReportedFinding, ...]:
    return of_rule(check({"rooms.room": room}), "sensor-seam")


def sensor(x: float, y: float = 1500, **told: Any) -> dict[str, Any]:
    return {"sensor": {"at": [x, y], "cable": "20 m", **told}}


@pytest.mark.parametrize(
    ("x", "off"),
    [(1060, 0), (1065.9, 5.9), (1054.1, 5.9), (1066, None), (1054, None), (1310, None)],
)
def test_half_the_conduit_beside_the_seam(x: float, off: float | None) -> None:
    found = seam(**sensor(x))
    assert len(found) == (off is not None)
    if found:
        assert found[0].severity == "warning"
        assert measured(found[0]) == pytest.approx(off)
        assert "A2 and A3" in found[0].message
        assert ("lies on the seam" in found[0].message) == (off == 0)


@pytest.mark.parametrize(("width", "is_found"), [(12, True), (9, False)])
def test_the_conduits_width_decides(width: float, is_found: bool) -> None:
    assert bool(seam(**sensor(1065, conduit={"width": width}))) == is_found  # 5 mm off


@pytest.mark.parametrize(("x", "is_found"), [(1065, True), (1066, False)])
def test_12_mm_are_taken_where_no_conduit_is_given(x: float, is_found: bool) -> None:
    assert bool(seam(**sensor(x, conduit=None))) == is_found
    assert bool(seam(**sensor(x, conduit={"width": None}))) == is_found


def test_the_place_that_would_do_is_on_no_seam_and_deep_enough() -> None:
    (found,) = seam(**sensor(1060))
    place = re.search(r"Move it to \[(\d+), (\d+)\]", found.remedy)
    assert place is not None
    report = check({"rooms.room": sensor(float(place[1]), float(place[2]))})
    assert not [f for f in report.findings if f.rule.startswith("sensor-")]


ROW = {"film": "film-80", "at": [60, 60], "along": "y", "circuit": "C1"}


@pytest.mark.parametrize(("spacing", "is_found"), [(0, True), (10, True), (10.01, False)])
def test_a_gap_of_up_to_10_mm_is_a_seam(spacing: float, is_found: bool) -> None:
    # 2 mm inside the second strip, on its side towards the third.
    rows = {"A": {**ROW, "lengths": [2750] * 6, "spacing": spacing}}
    found = seam(rows=rows, **sensor(60 + 500 + spacing + 498))
    assert len(found) == is_found
    if found:
        assert measured(found[0]) == pytest.approx(2)


def test_the_end_of_a_strip_against_another_is_a_seam_too() -> None:
    rows = {
        "A": {**ROW, "lengths": [1500] * 5},
        "B": {**ROW, "at": [60, 1560], "lengths": [1250] * 5},
    }
    (found,) = seam(rows=rows, **sensor(1310, 1558))
    assert "A3 and B3" in found.message


def test_the_long_side_without_a_neighbour_is_no_seam() -> None:
    assert not seam(**sensor(62))


@pytest.mark.parametrize(
    ("strips", "is_found"), [(2, False), (3, True)]
)  # 1000 mm wide, 500 deep at the seam alone; 1500 mm wide, 750 deep in the middle of a strip
def test_where_the_seam_alone_is_deep_enough_it_is_the_best_place(
    strips: int, is_found: bool
) -> None:
    width = 120 + 500 * strips
    outline = [[0, 0], [width, 0], [width, 3000], [0, 3000]]
    rows = {"A": {"lengths": [2750] * strips}}
    assert bool(seam(outline=outline, rows=rows, **sensor(560))) == is_found


def test_a_room_without_a_sensor_is_not_called_in_order() -> None:
    row = tally_of(check({"rooms.room.sensor": None}), "sensor-seam")
    assert (row.found, row.undecided) == (0, 1)
