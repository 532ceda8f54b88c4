"""Readings held against those of stages before, what a stage asks for, and when."""

from datetime import date
from typing import Any

import pytest

from tests.underfoot_rules.plans import A_DAY, check, of_rule, tally_of
from tests.underfoot_rules.records.visits import found, report, visit


def drift(*stages: tuple[str, str, float]) -> list[tuple[Any, ...]]:
    tests = [
        visit(stage, date=day, load_resistance=f"{ohm} ohm", strips=None)
        for stage, day, ohm in stages
    ]
    return found("resistance-drift", *tests, status="covered")


def test_drift_is_held_against_the_stage_before_and_the_first() -> None:
    made, laid = ("made up", "2026-09-18", 68.0), ("laid", "2026-09-20", 70.0)
    assert drift(made, laid, ("covered", "2026-09-22", 71.4)) == []  # 2 %, 5 %
    assert drift(made, laid, ("covered", "2026-09-22", 71.5)) == [("warning", ("C1", "covered"))]
    assert drift(laid, ("covered", "2026-09-22", 71.5)) == []
    assert drift(laid, ("covered", "2026-09-22", 66.4)) == [("warning", ("C1", "covered"))]


def test_drift_goes_by_date() -> None:
    # Listed and dated backwards: laid is then the one that came after.
    backwards = (("laid", "2026-09-25", 75.0), ("covered", "2026-09-20", 70.0))
    assert drift(*backwards) == [("warning", ("C1", "laid"))]


def test_strips_made_up_without_a_reading_of_the_circuit_are_no_first_reading() -> None:
    made = visit("made up", load_resistance=None, date="2026-09-18")
    row = tally_of(report(made, visit(), status="laid"), "resistance-drift")
    assert (row.checked, row.undecided) == (0, 0)
    assert tally_of(report(made, visit()), "load-resistance").undecided == 0


def test_without_a_reading_drift_is_not_called_in_order() -> None:
    covered = visit("covered", date="2026-09-22", load_resistance=None)
    row = tally_of(report(visit(), covered, status="covered"), "resistance-drift")
    assert (row.found, row.undecided) == (0, 1)


@pytest.mark.parametrize("missing", ["load_resistance", "insulation_resistance"])
@pytest.mark.parametrize(("status", "severity"), [("covered", "warning"), ("handed over", "error")])
def test_a_test_without_its_readings_is_none(missing: str, status: str, severity: str) -> None:
    covered = visit("covered", date="2026-09-22", **{missing: None})
    (finding,) = of_rule(report(visit(), covered, status=status), "test-stages")
    assert (finding.severity, finding.items) == (severity, ("C1", "covered"))
    assert missing.replace("_", " ") in finding.message


def test_handed_over_without_any_test_is_refused_for_the_last_stage() -> None:
    told = found("test-stages", status="handed over")
    assert sorted(told) == [("error", ("C1", "covered")), ("warning", ("C1", "laid"))]


def test_a_circuit_is_as_far_as_its_tests_say() -> None:
    review = {"status": "for review"}
    assert found("test-stages", visit("made up"), **review) == []
    assert found("test-stages", visit(), **review) == []
    lacking = visit(load_resistance=None)
    assert found("test-stages", lacking, **review) == [("warning", ("C1", "laid"))]
    covered = visit("covered", date="2026-09-22")
    for status in ("draft", "for review", "laid"):
        assert found("test-stages", covered, status=status) == [("warning", ("C1", "laid"))]
    assert found("test-stages", visit(), covered, **review) == []
    # What the plan says of all circuits still holds for one that says less.
    assert found("test-stages", visit(), status="covered") == [("warning", ("C1", "covered"))]
    (finding,) = of_rule(report(covered, **review), "test-stages")
    assert finding.message.startswith("Circuit C1 was tested when 'covered', but no test")


def test_a_missing_reading_silences_no_other() -> None:
    bad = visit(insulation_resistance=None, load_resistance="90 ohm", strips=None)
    assert found("load-resistance", bad) == [("error", ("C1", "laid"))]
    assert found("test-stages", bad) == [("warning", ("C1", "laid"))]


@pytest.mark.parametrize(
    ("volts", "is_found"),
    [(3, True), (499, True), (500, False), (1000, False), (1001, True), (5000, True)],
)
def test_the_voltage_is_enough_and_pierces_nothing(volts: float, is_found: bool) -> None:
    # 500 V: IEC 60364-6:2016, table 6.1; 1000 V: this project's own figure.
    told = found("insulation-resistance", visit(test_voltage=f"{volts} V"))
    assert told == ([("error", ("C1", "laid"))] if is_found else [])


def test_nothing_is_measured_against_a_grid_that_is_not_there() -> None:
    against = visit(against="grid")
    assert found("insulation-resistance", against) == [("error", ("C1", "laid"))]
    grid = {"rooms.room.grid": {"mesh": 25, "earthed": True}}
    assert not of_rule(report(against, **grid), "insulation-resistance")


@pytest.mark.parametrize(
    ("ms", "is_found"), [(0, True), (2.9, True), (3, False), (300, False), (301, True)]
)
def test_an_rcd_trips_neither_too_late_nor_at_once(ms: float, is_found: bool) -> None:
    # 300 ms: IEC 61008-1; 3 ms: this project's own figure.
    told = found("rcd-trip", visit(rcd_trip_time=f"{ms} ms"))
    assert told == ([("error", ("C1", "laid"))] if is_found else [])


def test_the_day_is_that_of_the_run() -> None:
    assert date(2026, 10, 1) == A_DAY


@pytest.mark.parametrize(
    ("left_out", "why"),
    [
        ("test_voltage", "the test voltage is not recorded"),
        (
            "thermostat_disconnected",
            "whether the thermostat was disconnected is not recorded",
        ),
    ],
)
def test_an_insulation_reading_without_its_circumstances_is_not_in_order(
    left_out: str, why: str
) -> None:
    row = tally_of(report(visit(**{left_out: None})), "insulation-resistance")
    assert (row.undecided, row.why) == (1, why)
    assert tally_of(report(visit()), "insulation-resistance").undecided == 0


LAID = {"circuit": "C1", "stage": "laid", "load_resistance": "94 ohm"}
COVERED = {"circuit": "C1", "stage": "covered", "insulation_resistance": "200 Mohm"}
MADE_UP = {"circuit": "C1", "stage": "made up", "load_resistance": "94 ohm"}


@pytest.mark.parametrize(
    ("status", "tests", "lacking"),
    [
        ("draft", [], []),
        ("draft", [MADE_UP], []),
        ("draft", [LAID], ["tested laid: its insulation resistance"]),
        ("draft", [COVERED], ["tested laid: none", "tested covered: its load resistance"]),
        ("laid", [], ["laid: none"]),
        ("laid", [MADE_UP], ["laid: none"]),
        ("laid", [LAID], ["laid: its insulation resistance"]),
        ("laid", [COVERED], ["laid: none", "tested covered: its load resistance"]),
        ("covered", [LAID], ["laid: its insulation resistance", "covered: none"]),
        ("covered", [{"circuit": "C1", "stage": "laid"}],
         ["laid: its load resistance and insulation resistance", "covered: none"]),
        ("handed over", [COVERED], ["laid: none", "refused covered: its load resistance"]),
        ("handed over", [LAID, {**LAID, "load_resistance": None,
                                "insulation_resistance": "200 Mohm"}],
         ["refused covered: none"]),
    ],
)  # fmt: skip
def test_which_tests_are_called_for(
    status: str, tests: list[dict[str, Any]], lacking: list[str]
) -> None:
    report = check({"status": status, "tests": tests})
    said = []
    for one in of_rule(report, "test-stages"):
        assert one.path == ("circuits.C1" if "recorded" in one.message else "tests.0")
        what = one.message.rpartition(" has ")[2] if " has " in one.message else "none"
        tested = "tested " if one.message.startswith("Circuit C1 was tested when '") else ""
        refused = "refused " if one.severity == "error" else ""
        said.append(f"{tested}{refused}{one.items[1]}: {what.rstrip('.')}")
    assert sorted(said) == sorted(lacking)
