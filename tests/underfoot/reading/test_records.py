"""The records of a plan: what is left out, what a catalogue shares, and what stands where."""

from datetime import date

import pytest
from msgspec.structs import replace

from tests.underfoot.reading.samples import SMALL, read
from underfoot import plan as model
from underfoot.reading.building.records import merge_methods

OWN = model.MethodStatement(
    path="own", steps={"busbars": "down", "bare_conductor": 6.0}, paths={"busbars": "own.a"}
)
SHARED = model.MethodStatement(
    path="shared",
    steps={"busbars": "up", "floor_cleaned": True},
    paths={"busbars": "shared.a", "floor_cleaned": "shared.b"},
    note="shared note",
)


def plan_of(text: str) -> model.Plan:
    reading = read(SMALL + text)
    assert reading.plan is not None, reading.problems
    return reading.plan


def test_of_two_methods_the_plans_own_step_wins_and_the_rest_is_taken_over() -> None:
    merged = merge_methods(OWN, SHARED)
    assert merged == model.MethodStatement(
        path="own",
        steps={"busbars": "down", "bare_conductor": 6.0, "floor_cleaned": True},
        paths={"busbars": "own.a", "floor_cleaned": "shared.b"},
        note="shared note",
    )


def test_an_own_note_stands_also_where_it_is_empty() -> None:
    merged = merge_methods(replace(OWN, note=""), SHARED)
    assert merged is not None
    assert merged.note == ""


@pytest.mark.parametrize(
    ("own", "shared", "merged"),
    [(OWN, None, OWN), (None, SHARED, SHARED), (None, None, None)],
)
def test_a_method_that_stands_alone_is_taken_as_it_is(
    own: model.MethodStatement | None,
    shared: model.MethodStatement | None,
    merged: model.MethodStatement | None,
) -> None:
    assert merge_methods(own, shared) == merged


def test_a_step_that_says_no_is_kept_and_one_that_says_nothing_is_not() -> None:
    text = "method_statement: {floor_cleaned: false, bare_conductor: 0.6 cm, note: as agreed}\n"
    method = plan_of(text).method_statement
    assert method == model.MethodStatement(
        path="method_statement",
        steps={"floor_cleaned": False, "bare_conductor": 6.0},
        paths={
            "floor_cleaned": "method_statement.floor_cleaned",
            "bare_conductor": "method_statement.bare_conductor",
        },
        note="as agreed",
    )


def test_tests_keep_the_order_and_the_numbers_of_the_file() -> None:
    text = """\
tests:
  - {circuit: C1, stage: made up, date: "2026-09-20", load_resistance: 0.1 kohm}
  - {circuit: C1, stage: laid, insulation_resistance: 500 kohm, ambient: -4 degC}
  - {circuit: C1, stage: covered, strips: {A2: 275 ohm}, rcd_trip_time: 0.024 s}
"""
    made_up, laid, covered = plan_of(text).tests
    assert (made_up.path, made_up.stage, made_up.date) == ("tests.0", "made up", date(2026, 9, 20))
    assert (made_up.load_resistance_ohm, made_up.insulation_resistance_mohm) == (100.0, None)
    assert (laid.path, laid.insulation_resistance_mohm, laid.ambient_c) == ("tests.1", 0.5, -4.0)
    assert laid.strips_ohm is None
    assert (covered.path, covered.strips_ohm) == ("tests.2", {"A2": 275.0})
    assert covered.rcd_trip_time_ms == pytest.approx(24.0)
    assert covered.thermostat_disconnected is None


def test_waivers_and_handover() -> None:
    text = (
        "waivers: [{rule: strip-gap}, {rule: rcd, item: C1, until: '2027-03-01'}]\nhandover: {}\n"
    )
    plan = plan_of(text)
    assert plan.waivers == (
        model.Waiver(path="waivers.0", rule="strip-gap"),
        model.Waiver(path="waivers.1", rule="rcd", item="C1", until=date(2027, 3, 1)),
    )
    assert plan.handover == model.Handover(path="handover")
