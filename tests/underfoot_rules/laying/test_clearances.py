"""Exact limits of the distances to walls and fixtures."""

import math

import pytest

from tests.underfoot_rules.laying.rooms import lay
from tests.underfoot_rules.plans import measured


@pytest.mark.parametrize(
    ("away", "severity"),
    [
        # Common practice: at least 50 mm when laid, 58 mm when planned.
        (0, "error"),
        (49.999, "error"),
        (49.9999995, "warning"),  # within 1e-6 of 50 mm meets it
        (50, "warning"),
        (57.999, "warning"),
        (57.9999995, None),
        (58, None),
        (58.001, None),
    ],
)
def test_wall_clearance_at_its_limits(away: float, severity: str | None) -> None:
    found = lay("wall-clearance", {"E1": {"at": [away, 1000]}})
    assert [finding.severity for finding in found] == ([severity] if severity else [])
    if found:
        assert found[0].items == ("E1",)
        assert measured(found[0]) == pytest.approx(away, abs=1e-7)


def test_a_value_just_short_of_the_limit_does_not_read_like_it() -> None:
    (finding,) = lay("wall-clearance", {"E1": {"at": [49.999, 1000]}})
    assert "49.999 mm" in finding.message
    assert "50 mm" in finding.message


@pytest.mark.parametrize(("away", "severity"), [(49.999, "error"), (50.001, "warning"), (58, None)])
def test_wall_clearance_from_a_slanted_wall(away: float, severity: str | None) -> None:
    # The wall from (3000, 0) to (0, 3000) is the line x + y = 3000; a strip turned by 135 degrees
    # lies along it. Its corner `at` is moved off the line by `away`, along (1, 1) / sqrt 2: the
    # width runs a quarter turn further on, towards the wall, so 500 mm are added.
    foot = 2500 + (500 + away) / math.sqrt(2)
    found = lay(
        "wall-clearance",
        {"E1": {"at": [foot, 500 + (500 + away) / math.sqrt(2)], "along": "135 deg"}},
        {"outline": [[3000, 0], [6000, 0], [6000, 6000], [0, 6000], [0, 3000]]},
    )
    assert [finding.severity for finding in found] == ([severity] if severity else [])


def test_wall_clearance_from_the_corner_of_a_recess() -> None:
    # The corner (2000, 2000) stands into an L-shaped room; from the strip's corner (1970, 1960) it
    # is 30 mm across and 40 mm up, so 50 mm away.
    outline = [[0, 0], [6000, 0], [6000, 2000], [2000, 2000], [2000, 6000], [0, 6000]]
    strip = {"E1": {"at": [1470, 960]}}
    (finding,) = lay("wall-clearance", strip, {"outline": outline})
    assert finding.severity == "warning"
    assert measured(finding) == pytest.approx(50)


@pytest.mark.parametrize(
    ("away", "is_found"),
    [(0, True), (49.999, True), (49.9999995, False), (50, False), (50.001, False)],
)
def test_fixture_clearance_at_its_limit(away: float, is_found: bool) -> None:
    # Common practice: 50 mm. The strip's right side lies at x = 1500.
    bench = {"at": [1500 + away, 1000], "size": [600, 600], "kind": "floor-mounted"}
    found = lay("fixture-clearance", {"E1": {"at": [1000, 1000]}}, {"fixtures": {"bench": bench}})
    assert [finding.items for finding in found] == ([("E1", "bench")] if is_found else [])


def test_a_strip_under_a_fixture_lies_at_no_distance() -> None:
    (finding,) = lay(
        "fixture-clearance",
        {"E1": {"at": [1000, 1000]}},
        {"fixtures": {"pipe": {"at": [1200, 1400], "size": [40, 40], "kind": "structure"}}},
    )
    assert measured(finding) == 0
    assert "lies under pipe" in finding.message


def test_fixtures_on_legs_ask_for_no_clearance() -> None:
    sofa = {"at": [1000, 1000], "size": [600, 600], "kind": "on legs", "clear": 120}
    assert not lay("fixture-clearance", {"E1": {"at": [1000, 1000]}}, {"fixtures": {"sofa": sofa}})


def test_fixture_clearance_takes_the_true_distance_round_a_corner() -> None:
    # From the strip's corner (1500, 2000) to the fixture's (1530, 2040): 50 mm; one less up: 49.2.
    def found(y: float) -> int:
        bench = {"at": [1530, y], "size": [600, 600], "kind": "floor-mounted"}
        return len(
            lay("fixture-clearance", {"E1": {"at": [1000, 1000]}}, {"fixtures": {"bench": bench}})
        )

    assert found(2040) == 0
    assert found(2039) == 1


@pytest.mark.parametrize(
    ("reach", "is_found"),
    [(0, False), (1, False), (1.0000005, False), (1.001, True), (60, True)],
)
def test_outside_the_room_at_its_tolerance(reach: float, is_found: bool) -> None:
    found = lay("element-outside-room", {"E1": {"at": [-reach, 1000]}})
    assert len(found) == is_found
    if is_found:
        assert measured(found[0]) == pytest.approx(reach)


def test_a_strip_that_bridges_a_notch_is_outside_in_its_middle() -> None:
    # A pier 300 mm wide reaches 200 mm into the strip: the farthest point under the strip lies on
    # its edge, 150 mm from both sides of the pier and 200 mm from its head.
    outline = [[0, 0], [6000, 0], [6000, 6000], [1900, 6000], [1900, 2000], [1600, 2000],
               [1600, 6000], [0, 6000]]  # fmt: skip
    (finding,) = lay(
        "element-outside-room",
        {"E1": {"at": [1000, 1700], "along": "x", "length": 2000}},
        {"outline": outline},
    )
    assert measured(finding) == pytest.approx(150)
    assert "bridges a notch" in finding.message


def test_a_strip_beside_a_notch_is_inside() -> None:
    outline = [[0, 0], [6000, 0], [6000, 6000], [1900, 6000], [1900, 2000], [1600, 2000],
               [1600, 6000], [0, 6000]]  # fmt: skip
    strips = {"E1": {"at": [1000, 1440], "along": "x", "length": 2000}}
    assert not lay("element-outside-room", strips, {"outline": outline})
    assert not lay("wall-clearance", strips, {"outline": outline})


def test_outside_silences_the_clearance_of_that_strip_alone() -> None:
    strips = {"E1": {"at": [-60, 1000]}, "E2": {"at": [20, 3000]}}
    assert [finding.items for finding in lay("wall-clearance", strips)] == [("E2",)]


def test_the_remedy_clears_the_finding() -> None:
    (finding,) = lay("wall-clearance", {"E1": {"at": [42.25, 1000]}})
    assert finding.remedy == "Move E1 by 15.8 mm to the right (+x)."
    assert not lay("wall-clearance", {"E1": {"at": [42.25 + 15.8, 1000]}})


def test_no_strip_is_moved_under_furniture_that_is_too_low() -> None:
    strip = {"E1": {"at": [-60, 1000]}}
    low = {"at": [540, 1000], "size": [300, 300], "kind": "on legs", "clear": 40}
    (finding,) = lay("element-outside-room", strip)
    assert finding.remedy == "Move E1 by 118 mm to the right (+x)."
    # There it would reach to 558 mm, 18 mm under the chest.
    (finding,) = lay("element-outside-room", strip, {"fixtures": {"chest": low}})
    assert "118 mm" not in finding.remedy
    # One that it lies under already is covered-floor's to tell, and keeps no move from being said.
    there = {"chest": {**low, "at": [300, 1000]}}
    (finding,) = lay("element-outside-room", strip, {"fixtures": there})
    assert finding.remedy == "Move E1 by 118 mm to the right (+x)."
    # What is high enough is no obstacle.
    (finding,) = lay("element-outside-room", strip, {"fixtures": {"chest": {**low, "clear": 60}}})
    assert finding.remedy == "Move E1 by 118 mm to the right (+x)."
