"""Leads that bring a second circuit to a strip, from whichever side they come."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

RULE = "circuits-joined"
START = ("junction-box", [30, 1500], [30, 30])
LEAD = BASE["rooms"]["room"]["leads"]["W1"]
OWN = {**BASE["circuits"]["C1"], "shares": None}
ROOM: dict[str, Any] = dict(BASE["rooms"]["room"])


def two_circuits(
    *routes: tuple[str, list[Any]],
    protection: dict[str, Any] | None = None,
    thermostat: str = "room",
) -> dict[str, Any]:
    """Put A6 and A7 on C2, and draw leads W1, W2, ... each on a circuit."""
    lengths = [2750] * 5 + [{"length": 2750, "circuit": "C2"}] * 2
    leads = {
        f"W{number}": {**LEAD, "circuit": circuit, "route": route}
        for number, (circuit, route) in enumerate(routes, 1)
    }
    second = {"shares": "C1", **(protection or {}), "thermostat": thermostat}
    room = {"rows": {"A": {"lengths": lengths}}, "leads": leads}
    return {"rooms": {"room": room}, "circuits": {"C2": second}}


FIRST = ("C1", [*START, "A1", "A2", "A3", "A4", "A5"])
SECOND = ("C2", [*START, "A6", "A7"])


def found(change: dict[str, Any]) -> list[tuple[tuple[str, ...], str]]:
    return [(f.items, f.severity) for f in of_rule(check(change), RULE)]


def test_two_circuits_apart_are_in_order() -> None:
    report = check(two_circuits(FIRST, SECOND))
    assert not of_rule(report, RULE)
    assert tally_of(report, RULE).checked == 2


@pytest.mark.parametrize(
    "third",
    [
        ("C2", [*START, "A5"]),  # from the box to the end that W1 joins
        ("C2", [*START, "A5.end"]),  # to the other end, which its busbars join
        ("C2", ["A5.end", "A6.end"]),  # from strip to strip
        ("C1", ["A5.end", "A6.end"]),  # the same, whichever circuit is written down
        ("C2", ["A5.end", [3310, 2950], "junction-box"]),  # drawn backwards
        ("C1", [*START, "A7"]),
    ],
)
def test_a_lead_that_brings_a_second_circuit(third: tuple[str, list[Any]]) -> None:
    assert found(two_circuits(FIRST, SECOND, third)) == [(("W3",), "error")]


def test_a_lead_that_only_goes_on_within_another_circuit_is_written_wrong() -> None:
    change = two_circuits(FIRST, SECOND, ("C2", ["A4.end", "A5.end"]))
    assert found(change) == [(("W3",), "warning")]
    (finding,) = of_rule(check(change), RULE)
    assert finding.message == (
        "Lead W3 is on circuit C2, but joins strips of circuit C1 only (A4 and A5)."
    )


def test_a_strip_that_nothing_else_feeds_is_told_by_circuit_feed() -> None:
    # A5 hangs on W3 alone, which is on C2: it is fed, but not by its own circuit.
    change = two_circuits(("C1", [*START, "A1", "A2", "A3", "A4"]), SECOND, ("C2", [*START, "A5"]))
    assert found(change) == []
    assert [f.items for f in of_rule(check(change), "circuit-feed")] == [("A5",)]


def test_a_lead_of_a_circuit_without_strips_joins_it_too() -> None:
    change = two_circuits(FIRST, SECOND, ("C3", [*START, "A5.end"]))
    change["circuits"]["C3"] = OWN
    assert found(change) == [(("W3",), "error")]


def test_a_strip_on_no_circuit_is_told_by_circuit_feed() -> None:
    change = two_circuits(FIRST, SECOND)
    change["rooms"]["room"]["rows"]["A"]["lengths"][4] = {"length": 2750, "circuit": "C9"}
    assert found(change) == []


@pytest.mark.parametrize(
    ("protection", "thermostat", "follows"),
    [
        ({}, "room", "what each of them draws can no longer be told apart"),
        (OWN, "room", "with one breaker off, its strips stay live from the other"),
        (
            {},
            "hall",
            "two thermostats (of room room and of room hall) switch its strips: where one has cut "
            "off, the other heats on",
        ),
        (
            OWN,
            "hall",
            "with one breaker off, its strips stay live from the other; two thermostats (of room "
            "room and of room hall) switch its strips: where one has cut off, the other heats on",
        ),
    ],
)
def test_what_follows_is_said(protection: dict[str, Any], thermostat: str, follows: str) -> None:
    change = two_circuits(
        FIRST, SECOND, ("C1", ["A5.end", "A6.end"]), protection=protection, thermostat=thermostat
    )
    change["rooms"]["hall"] = {
        "outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]],
        "thermostat": {"height": 1400, "switches": "16 A", "floor_limit": "27 degC"},
    }
    (finding,) = of_rule(check(change), RULE)
    assert finding.message == f"Lead W3 joins circuits C1 (A5) and C2 (A6): {follows}."


def test_no_plan_may_waive_it() -> None:
    from underfoot_rules import STANDARD

    protecting = {rule.id for rule in STANDARD.rules if rule.protects_life}
    assert {
        RULE,
        "circuit-feed",
        "lead-loose-end",
        "floor-unlimited",
        "sensor-other-strip",
        "strip-length",
    } <= (protecting)


def test_what_to_do_about_it() -> None:
    (finding,) = of_rule(check(two_circuits(FIRST, SECOND, ("C1", ["A5.end", "A6.end"]))), RULE)
    assert finding.remedy == (
        "Give each circuit a lead of its own: leave in the route of W3 the strips of circuit C1 "
        "only; or put all of its strips on one circuit."
    )
    (finding,) = of_rule(check(two_circuits(FIRST, SECOND, ("C2", [*START, "A4", "A5"]))), RULE)
    assert finding.remedy == (
        "Write `circuit: C1` in W3 if it is that circuit's lead; else take A4 and A5 out of its "
        "route."
    )
