"""Moves and cuts are said in figures only where nothing comes of them: one plan for each trial."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule

ROW = {"film": "film-80", "along": "y", "circuit": "C1"}


def remedies(rule: str, room: dict[str, Any], **more: Any) -> list[str]:
    report = check({"rooms": {"room": room}, **more})
    return [finding.remedy for finding in of_rule(report, rule)]


def row_at(y: float, **room: Any) -> dict[str, Any]:
    """Lay the base plan's row nearer to the lower wall, or farther from it."""
    return {"rows": {"A": {"at": [60, y]}}, **room}


def test_a_row_is_moved_in_figures_where_its_lead_and_its_sensor_stay_in_order() -> None:
    # 20 mm from the lower wall; its lead runs at 10, and would lie beside it still.
    room = row_at(20, leads={"W1": {"route": ["junction-box", [30, 1500], [30, 10], "A"]}})
    assert set(remedies("wall-clearance", room)) == {"Move row A by 38 mm up (+y)."}


def test_the_bends_of_its_lead_go_along_where_the_lead_else_lies_under_it() -> None:
    # Down by 10 mm, to 192: the lead below it, at 198, would lie under it; with its bends, at 188,
    # it does not.
    rows = {"A": {"at": [60, 202]}}
    leads = {"W1": {"route": ["junction-box", [30, 1500], [30, 198], "A"]}}
    assert set(remedies("wall-clearance", {"rows": rows, "leads": leads})) == {
        "Move row A by 10 mm down (-y), and the bends of lead W1 with it."
    }


def test_what_a_move_would_bring_is_named_and_no_figure() -> None:
    # Another lead lies in the border that the row would move into; with a strip cut shorter the
    # floor would give less than the 660 W and a tenth that are asked for.
    leads = {
        "W1": {"route": ["junction-box", [30, 1500], [30, 202], "A"]},
        "W2": {"circuit": "C1", "size": "1.5 mm2", "recessed": True,
               "route": ["junction-box", [20, 1500], [20, 196], [3900, 196]]},
    }  # fmt: skip
    room = {"rows": {"A": {"at": [60, 202]}}, "leads": leads, "heat_loss": "660 W"}
    assert set(remedies("wall-clearance", room)) == {
        "Move row A down (-y), clear of the wall; lay lead W2 anew, so that no strip lies over it."
    }


def test_a_sensor_that_would_come_too_near_to_the_edge_is_named() -> None:
    fixtures = {"post": {"at": [0, 1400], "size": [30, 30], "kind": "structure"}}
    sensor = {"at": [561, 1500]}
    said = set(remedies("fixture-clearance", {"fixtures": fixtures, "sensor": sensor}))
    assert said == {
        "Move row A to the right (+x), clear of post; move the sensor, so that it lies well below "
        "a strip."
    }


@pytest.mark.parametrize("tested", [False, True])
def test_a_strip_of_a_tested_circuit_is_cut_in_words(tested: bool) -> None:
    # 770 W at 230 V may measure 66 ohm; with 40 W less they may not, for all tolerance.
    fixtures = {"post": {"at": [3300, 1880], "size": [60, 60], "kind": "structure"}}
    made_up = {"circuit": "C1", "stage": "made up", "date": "2026-09-20"}
    more = {"tests": [{**made_up, "load_resistance": "66 ohm"}]} if tested else {}
    (said,) = remedies("fixture-clearance", {"fixtures": fixtures}, **more)
    assert said == (
        "Cut A7 shorter at its end, clear of post; test circuit C1 anew."
        if tested
        else "Cut A7 to 1750 mm, 1000 mm shorter, at its end near [3310, 2810]."
    )


def test_in_a_hall_of_very_many_strips_nothing_is_tried() -> None:
    long = {"film": "film-80", "at": [60, 30], "along": "y", "length": 1000, "count": 301,
            "circuit": "C1", "lengths": None}  # fmt: skip
    outline = [[0, 0], [160000, 0], [160000, 3000], [0, 3000]]
    said = remedies("wall-clearance", {"outline": outline, "rows": {"A": long}})
    assert said[0] == (
        "Start A1 later in its row (`from`), clear of the wall; see that no lead then lies under a "
        "strip, and that the sensor lies well below one."
    )
