"""Exact limits of what lies between two strips: overlaps and gaps, upright and turned."""

import math
from typing import Any

import pytest

from tests.underfoot_rules.laying.rooms import lay
from tests.underfoot_rules.plans import check, measured, tally_of


def pair(angle_deg: float, along: float, across: float) -> dict[str, dict[str, Any]]:
    """Lay two strips of 1000 x 500 mm at an angle, the second moved along and across the first."""
    turn = math.radians(angle_deg)
    x, y = 2500.0, 2500.0
    second = (
        x + along * math.cos(turn) - across * math.sin(turn),
        y + along * math.sin(turn) + across * math.cos(turn),
    )
    way = f"{angle_deg} deg"
    return {"E1": {"at": [x, y], "along": way}, "E2": {"at": list(second), "along": way}}


ANGLES = (0, 17.5, 45, 90, 133.7)


@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize(
    ("over", "is_found"), [(-5, False), (0, False), (1, False), (1.001, True), (20, True)]
)
def test_overlap_at_its_tolerance(angle_deg: float, over: float, is_found: bool) -> None:
    # Own tolerance of the rule: 1 mm.
    found = lay("element-overlap", pair(angle_deg, 0, 500 - over))
    assert [finding.items for finding in found] == ([("E1", "E2")] if is_found else [])
    if is_found:
        assert measured(found[0]) == pytest.approx(over, abs=1e-5)


def test_overlap_measures_the_least_width_of_the_shared_area() -> None:
    # They share 300 mm of length and 80 mm of width.
    (finding,) = lay("element-overlap", pair(0, 700, 420))
    assert measured(finding) == pytest.approx(80)


def test_strips_that_cross_share_a_square() -> None:
    strips = {
        "E1": {"at": [1000, 2000], "along": "x", "length": 3000},
        "E2": {"at": [2000, 1000], "along": "y", "length": 3000},
    }
    (finding,) = lay("element-overlap", strips)
    assert measured(finding) == pytest.approx(500)


def test_overlap_sorts_its_items_and_points_at_the_first() -> None:
    strips = {"E9": {"at": [1000, 1000]}, "E10": {"at": [1400, 1000]}}
    (finding,) = lay("element-overlap", strips)
    assert finding.items == ("E10", "E9")
    assert finding.path == "rooms.room.elements.E10"


def test_every_pair_is_counted() -> None:
    # 7 strips make 7 x 6 / 2 = 21 pairs.
    report = check({})
    assert tally_of(report, "element-overlap").checked == 21
    assert tally_of(report, "strip-gap").checked == 21


@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize(
    ("gap", "is_found"),
    [(0, False), (1, False), (1.001, True), (120, True), (249.999, True), (250, False)],
)
def test_gap_between_its_limits(angle_deg: float, gap: float, is_found: bool) -> None:
    # Common practice: strips butt (1 mm), or the gap is a planned one (250 mm).
    found = lay("strip-gap", pair(angle_deg, 0, 500 + gap))
    assert [finding.items for finding in found] == ([("E1", "E2")] if is_found else [])
    if is_found:
        assert measured(found[0]) == pytest.approx(gap, abs=1e-6)


@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize(("facing", "is_found"), [(99.999, False), (100, True), (100.001, True)])
def test_gap_needs_long_sides_that_face_each_other(
    angle_deg: float, facing: float, is_found: bool
) -> None:
    found = lay("strip-gap", pair(angle_deg, 1000 - facing, 540))
    assert len(found) == is_found


def test_ends_that_face_each_other_leave_no_gap() -> None:
    assert not lay("strip-gap", pair(0, 1040, 0))


def test_strips_at_right_angles_leave_no_gap() -> None:
    strips = {"E1": {"at": [1000, 1000]}, "E2": {"at": [1540, 1000], "along": "x"}}
    assert not lay("strip-gap", strips)


def test_a_gap_with_a_reason_in_it_is_none() -> None:
    strips = pair(0, 0, 700)  # the gap is x 2500 to 3500, y 3000 to 3200
    assert lay("strip-gap", strips)
    joint = {"joints": {"J1": [[2000, 3100], [4000, 3100]]}}
    assert not lay("strip-gap", strips, joint)
    post = {"at": [2800, 3090], "size": [20, 20], "kind": "structure"}
    assert not lay("strip-gap", strips, {"fixtures": {"post": post}})
    third = {**strips, "E3": {"at": [3000, 3010], "along": "x", "film": "film-80"}}
    assert all(finding.items != ("E1", "E2") for finding in lay("strip-gap", third))


def test_a_gap_under_legs_is_one() -> None:
    sofa = {"at": [2500, 2500], "size": [1000, 1500], "kind": "on legs", "clear": 120}
    assert lay("strip-gap", pair(0, 0, 700), {"fixtures": {"sofa": sofa}})


def test_a_joint_along_the_edge_is_not_in_the_gap() -> None:
    joint = {"joints": {"J1": [[2000, 3000], [4000, 3000]]}}
    assert lay("strip-gap", pair(0, 0, 700), joint)


def test_a_gap_with_a_wall_in_it_is_none() -> None:
    # A thin wall stands between the strips: x 2995 to 3095 from the top down to y = 1000.
    outline = [[0, 0], [6000, 0], [6000, 6000], [3095, 6000], [3095, 1000], [2995, 1000],
               [2995, 6000], [0, 6000]]  # fmt: skip
    strips = {"E1": {"at": [2435, 2000]}, "E2": {"at": [3155, 2000]}}  # 220 mm apart
    assert not lay("strip-gap", strips, {"outline": outline})
    assert lay("strip-gap", strips)


def test_the_gap_remedy_moves_what_is_butted_too() -> None:
    strips = {
        "E1": {"at": [1000, 1000]},
        "E2": {"at": [1540, 1000]},
        "E3": {"at": [2040, 1000]},
    }
    (finding,) = lay("strip-gap", strips)
    assert finding.remedy == (
        "Move E2 with the strips butted to it (E3) by 40 mm to the left (-x), so that they butt."
    )
