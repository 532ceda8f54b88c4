"""Readings held against each other: strips against their circuit, stages against stages."""

from datetime import timedelta
from typing import Any

import pytest

from tests.underfoot_rules.plans import A_DAY, limit_of, of_rule, tally_of
from tests.underfoot_rules.records.visits import EVEN, NAMES, found, report, visit


@pytest.mark.parametrize(
    ("ohm", "is_found"),
    [
        (68.714, False),
        (70.0885, False),  # 1.02 x 481 / 7 = 70.08857
        (70.0887, True),
        (67.34, False),  # 0.98 x 481 / 7 = 67.33999...
        (67.339, True),
    ],
)
def test_a_circuit_reads_what_its_strips_make_within_2_percent(ohm: float, is_found: bool) -> None:
    told = found("strip-readings", visit(load_resistance=f"{ohm} ohm"))
    assert told == ([("error", ("C1", "laid"))] if is_found else [])


def dead(strips: dict[str, str], ohm: float) -> str:
    told = report(visit(strips=strips, load_resistance=f"{ohm} ohm"))
    (finding,) = of_rule(told, "strip-readings")
    return finding.message


def test_the_dead_strip_is_named_where_the_readings_tell_it() -> None:
    # Six of 500 ohm and A3 of 300: 0.015333 S; without A3 0.012 S, which is 83.33 ohm; without
    # one of the others 0.013333 S, 75 ohm.
    strips = {**dict.fromkeys(NAMES, "500 ohm"), "A3": "300 ohm"}
    assert "as if A3 were dead" in dead(strips, 83.3)
    assert "as if one of them, any of 6, were dead" in dead(strips, 75)
    # Three of 300 ohm and four of 500: 0.018 S; without one of the four 0.016 S, 62.5 ohm.
    strips = {**strips, "A1": "300 ohm", "A2": "300 ohm"}
    assert "as if one of A4, A5, A6 and A7 were dead" in dead(strips, 62.5)


def test_the_limit_told_is_the_one_that_is_missed() -> None:
    for ohm, least, most in ((73, None, 70.0886), (66, 67.34, None)):
        told = report(visit(load_resistance=f"{ohm} ohm"))
        (finding,) = of_rule(told, "strip-readings")
        assert limit_of(finding).least == (least and pytest.approx(least, abs=1e-3))
        assert limit_of(finding).most == (most and pytest.approx(most, abs=1e-3))


def test_a_reading_that_no_strip_explains_names_none() -> None:
    (finding,) = of_rule(report(visit(load_resistance="73 ohm")), "strip-readings")
    assert "dead" not in finding.message
    (finding,) = of_rule(report(visit(load_resistance="66 ohm")), "strip-readings")
    assert "short" in finding.remedy


@pytest.mark.parametrize(
    ("ohm", "is_found"), [(71.1, False), (71.11, True), (66.87, False), (66.85, True)]
)
def test_strips_not_read_count_with_their_tolerance(ohm: float, is_found: bool) -> None:
    # Six read 481 ohm: 0.0124740 S. A7, of 110 W -10 to +5 %: 0.0018715 to 0.0021834 S.
    # 1.02 / 0.0143455 = 71.103 ohm; 0.98 / 0.0146574 = 66.861 ohm.
    strips = dict.fromkeys(NAMES[:6], "481 ohm")
    told = found("strip-readings", visit(strips=strips, load_resistance=f"{ohm} ohm"))
    assert bool(told) == is_found


def test_strips_read_at_an_earlier_stage_count_with_what_may_drift() -> None:
    made = visit("made up", load_resistance=None, insulation_resistance=None, date="2026-09-18")

    def laid(ohm: float) -> list[tuple[Any, ...]]:
        return found("strip-readings", made, visit(strips=None, load_resistance=f"{ohm} ohm"))

    assert laid(72.1) == []  # 1.05 x 481 / 7 = 72.15
    assert laid(72.2) == [("error", ("C1", "laid"))]


def test_a_later_reading_of_a_strip_replaces_the_earlier_one() -> None:
    made = visit("made up", strips=dict.fromkeys(NAMES, "300 ohm"), load_resistance=None)
    assert found("strip-readings", made, visit()) == []


def test_a_strip_of_another_circuit_is_told_and_counts_for_nothing() -> None:
    change = {
        "rooms.room.rows.A.lengths": [2750] * 6 + [{"length": 2750, "circuit": "C2"}],
        "circuits.C2": {"thermostat": "room", "shares": "C1"},
    }
    found_ = of_rule(
        report(visit(load_resistance="80.1667 ohm"), status="for review", **change),
        "strip-readings",
    )
    assert [(f.severity, f.items) for f in found_] == [("warning", ("C1", "laid", "A7"))]


def test_without_the_circuits_reading_the_strips_are_not_called_in_order() -> None:
    row = tally_of(report(visit(load_resistance=None)), "strip-readings")
    assert (row.found, row.undecided) == (0, 1)
    row = tally_of(report(visit("made up", load_resistance=None), status="draft"),
                   "strip-readings")  # fmt: skip
    assert row.checked == 0  # not joined yet
    row = tally_of(report(visit(strips={**EVEN, "A1": "0 ohm"})), "strip-readings")
    assert (row.found, row.undecided) == (0, 1)


def test_a_test_of_today_is_right_and_of_tomorrow_is_not() -> None:
    assert found("test-date", visit(date=A_DAY.isoformat())) == []
    tomorrow = (A_DAY + timedelta(days=1)).isoformat()
    assert found("test-date", visit(date=tomorrow)) == [("error", ("C1", "laid"))]


@pytest.mark.parametrize(
    ("covered", "is_found"), [("2026-09-19", True), ("2026-09-20", False), ("2026-09-21", False)]
)
def test_covered_may_follow_laid_on_the_same_day(covered: str, is_found: bool) -> None:
    told = found("test-date", visit(), visit("covered", date=covered), status="covered")
    assert told == ([("error", ("C1", "covered"))] if is_found else [])


def test_made_up_after_laid_is_found_at_the_laid_test() -> None:
    made = visit("made up", date="2026-09-25")
    assert found("test-date", made, visit()) == [("error", ("C1", "laid"))]


def test_the_latest_of_the_stages_before_counts() -> None:
    made, laid = visit("made up", date="2026-09-18"), visit(date="2026-09-25")
    told = of_rule(
        report(made, laid, visit("covered", date="2026-09-20"), status="covered"), "test-date"
    )
    assert [finding.items for finding in told] == [("C1", "covered")]
    assert "'laid', 2026-09-25" in told[0].message


def test_another_circuits_dates_do_not_count() -> None:
    change = {
        "rooms.room.rows.A.lengths": [2750] * 6 + [{"length": 2750, "circuit": "C2"}],
        "circuits.C2": {"thermostat": "room", "shares": "C1"},
    }
    other = visit(circuit="C2", strips=None, date="2026-09-28")
    covered = visit("covered", date="2026-09-22", strips=None)
    assert not of_rule(
        report(visit(strips=None), other, covered, status="draft", **change), "test-date"
    )


def test_a_test_without_a_date_is_told() -> None:
    assert found("test-date", visit(date=None)) == [("warning", ("C1", "laid"))]


def test_several_tests_of_a_stage_are_told_apart() -> None:
    told = found("test-date", visit(date=None), visit())
    assert told == [("warning", ("C1", "laid", "tests.0"))]


@pytest.mark.parametrize("turned", [False, True])
def test_of_several_the_last_by_date_counts_wherever_it_is_listed(turned: bool) -> None:
    bad = visit(date="2026-09-20", insulation_resistance="0.2 Mohm")
    good = visit(date="2026-09-22")
    tests = [good, bad] if turned else [bad, good]
    assert found("insulation-resistance", *tests) == []
    bad["date"] = "2026-09-24"
    assert found("insulation-resistance", *tests) == [("error", ("C1", "laid"))]


def test_a_repeat_of_one_reading_leaves_the_others_as_they_were() -> None:
    low = visit(insulation_resistance="0.2 Mohm")
    again = visit(date="2026-09-22", insulation_resistance=None, strips=None)
    assert found("insulation-resistance", low, again) == [("error", ("C1", "laid"))]
    assert found("test-stages", low, again) == []


def test_a_floor_lay_open_until_it_was_first_tested_covered() -> None:
    again = visit("covered", date="2026-10-01")
    first = visit("covered", date="2026-09-22")
    assert found("covering-delay", visit(), again, first, status="covered") == []
    assert found("covering-delay", visit(), again, status="covered") == [("note", ("C1",))]
