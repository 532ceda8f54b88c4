"""What the method statement must say of each step, and how far a conductor may be bared."""

import pytest

from tests.underfoot_rules.plans import check, of_rule

RULE = "method-statement"
RIGHT = {
    "floor_cleaned": "true",
    "busbars": "down",
    "elements_taped": "true",
    "cut_ends_insulated": "true",
    "connector_tool": "ratchet",
    "connectors_insulated": "both sides",
    "connectors_recessed": "true",
    "single_conductor_folded": "true",
    "bare_conductor": "6",
    "conduit_closed": "true",
    "sensor_taped": "true",
}


@pytest.mark.parametrize(("step", "right"), RIGHT.items())
def test_what_is_not_stated_is_told_as_it_is_to_be_written(step: str, right: str) -> None:
    (finding,) = of_rule(check({"method_statement": {step: None}}), RULE)
    assert (finding.items, finding.severity) == ((step,), "warning")
    assert finding.remedy.startswith(f"State `{step}: {right}`; ")


def test_busbars_of_a_film_that_does_not_say_may_lie_either_way() -> None:
    film = {"materials.films.film-80.lies": None}
    (finding,) = of_rule(check({**film, "method_statement": {"busbars": None}}), RULE)
    assert finding.remedy.startswith("State `busbars: down` or `up`; ")


def test_a_plan_without_a_statement_states_nothing() -> None:
    found = of_rule(check({"method_statement": None}), RULE)
    assert {one.items[0] for one in found} == set(RIGHT)


@pytest.mark.parametrize(
    ("bared", "found"), [(4.9, True), (5, False), (6, False), (7, False), (7.1, True)]
)
def test_six_millimetres_are_bared_within_one(bared: float, found: bool) -> None:
    report = check({"method_statement.bare_conductor": bared})
    assert [one.severity for one in of_rule(report, RULE)] == ["error"] * found


@pytest.mark.parametrize(("limit", "found"), [(7, False), (7.1, True), (4.9, True), (5, False)])
def test_another_length_may_be_right(limit: float, found: bool) -> None:
    limits = {RULE: {"bare_conductor": limit}}
    report = check({"method_statement.bare_conductor": 6}, limits=limits)
    assert [one.severity for one in of_rule(report, RULE)] == ["error"] * found
