"""One cause, one voice: who falls silent when another speaks, and who must not."""

import dataclasses
import json
from collections.abc import Mapping
from typing import Any

import pytest

from tests.underfoot_rules.plans import A_DAY, BASE, change_plan, check, of_rule, tally_of
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.origin import Origin
from underfoot.checking.report import PlanReport
from underfoot.checking.rule import Suppression
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

ROOM: dict[str, Any] = dict(BASE["rooms"]["room"])
LEAD: dict[str, Any] = dict(ROOM["leads"]["W1"])


def other_room(circuit: str, **change: Any) -> dict[str, Any]:
    """Return the base plan's room once more, its row named B, with no thermostat of its own."""
    room = {key: value for key, value in ROOM.items() if key != "thermostat"}
    row = {**ROOM["rows"]["A"], "circuit": circuit}
    lead = {**LEAD, "circuit": circuit, "route": [*LEAD["route"][:-1], "B"]}
    return {**room, "rows": {"B": row}, "leads": {"W2": lead}, **change}


def test_a_missing_floor_limit_hides_nothing_of_how_hot_a_floor_gets() -> None:
    # 150 W/m2 would pass the oak's 27 degC in both rooms (the page has 28 degC at 100 W/m2).
    subfloor = {"layers": [{"thickness": 60, "resistance": "3 m2 K/W"}]}
    report = check(
        {
            "materials.films.film-80.output": "150 W/m2",
            "rooms.room": {"thermostat": {"floor_limit": None}, "subfloor": subfloor},
            "rooms.other": other_room("C1", subfloor={**ROOM["subfloor"], **subfloor}),
        }
    )
    assert [finding.items for finding in of_rule(report, "floor-limit")] == [("thermostat",)]
    tally = tally_of(report, "floor-temperature")
    assert (tally.checked, tally.found, tally.undecided) == (2, 2, 0)


def test_a_film_for_another_voltage_silences_what_it_feeds_and_no_more() -> None:
    # Circuit C2 shares C1's cable, so cable and breaker carry the wrong film too; C2's own
    # current, 7 x 2.75 m of 500 mm at 300 W/m2 = 2887.5 W, 12.55 A, has nothing to do with it.
    film = BASE["materials"]["films"]["film-80"]
    report = check(
        {
            "materials.films": {
                "film-80": {"voltage": "115 V"},
                "film-300": {**film, "output": "300 W/m2"},
            },
            "rooms.other": other_room(
                "C2",
                rows={"B": {**ROOM["rows"]["A"], "circuit": "C2", "film": "film-300"}},
            ),
            "circuits.C2": {"thermostat": "room", "shares": "C1"},
            "tests": [{"circuit": "C2", "stage": "laid", "load_resistance": "99 ohm"}],
        }
    )
    assert [finding.items for finding in of_rule(report, "film-voltage")] == [("film-80",)]
    (own,) = of_rule(report, "circuit-current")
    assert (own.items, own.measured and round(own.measured.value, 2)) == (("C2",), 12.55)
    (reading,) = of_rule(report, "load-resistance")
    assert reading.items == ("C2", "laid")
    assert tally_of(report, "circuit-current").undecided == 1
    for rule in ("breaker-rating", "voltage-drop"):
        tally = tally_of(report, rule)
        assert (tally.checked, tally.undecided) == (1, 1)
    capacity = tally_of(report, "cable-capacity")
    # The cable, C1's lead and the link that is not given are silent. C2's lead, 1.5 mm2, method A1
    # at 40 degC, carries 14.5 A x 0.87 = 12.615 A, enough.
    assert (capacity.checked, capacity.found, capacity.undecided) == (4, 0, 3)


ORIGIN = Origin(file="underfoot.yaml", line=1, because="made for this test")
HALL = [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]
LAID = {"circuit": "C1", "stage": "laid", "date": "2026-09-20"}
# A plan for each cause: what it changes of the base plan.
CAUSES: dict[str, dict[str, Any]] = {
    "element-outside-room": {"rooms.room.rows.A.at": [-30, 60]},
    "sensor-missing": {"rooms.room.sensor": None},
    "sensor-under-element": {"rooms.room.sensor.at": [3800, 1500]},
    "thermostat-missing": {"rooms.room.thermostat": None},
    "thermostat-rating": {"rooms.room.thermostat.switches": "3 A"},
    "film-voltage": {"materials.films.film-80.voltage": "115 V"},
    "circuit-feed": {"rooms.room.leads": None},
    "rcd": {"circuits": {"C1": {"rcd": None}}, "status": "laid", "tests": [LAID]},
    "insulation-missing": {"rooms.room.insulation": None},
    "membrane-missing": {"rooms.room.membrane": None},
    "test-stages": {"status": "laid"},
    # The room's own thermostat reads its sensor, and that of the hall switches its strips.
    "floor-unlimited": {
        "rooms.hall": {"outline": HALL, "thermostat": {"height": 1400}},
        "circuits.C1.thermostat": "hall",
    },
    "nothing-heated": {
        "rooms.hall": {"outline": HALL, "leads": {"W9": {**LEAD, "route": [[30, 30]]}}}
    },
}
# Where one row of a cause asks for a plan of its own.
ROWS: dict[tuple[str, str], dict[str, Any]] = {
    ("nothing-heated", "thermostat-idle"): {"rooms.room": {"rows": None, "leads": None}},
    ("thermostat-missing", "thermostat-idle"): {"circuits.C1.thermostat": None},
}
TABLE = [each for each in STANDARD.silences if each.cause in CAUSES]


def judged(change: Mapping[str, Any], **changes: Any) -> PlanReport:
    """Check the base plan with a change, under settings of one's own."""
    settings = dataclasses.replace(default_settings(STANDARD.rules), **changes)
    text = json.dumps(change_plan(BASE, change))
    report = check_source(
        text.encode(), make_checker([STANDARD], settings, A_DAY), path="plan.yaml"
    )
    assert not report.problems
    assert not report.faults
    return report


def silent_behind(silence: Suppression, report: PlanReport) -> list[str]:
    """Return the rules that say they are silent for this reason."""
    return [
        row.rule
        for row in report.checks
        if row.rule in silence.silenced
        and any(reason.why == silence.reason for reason in row.reasons)
    ]


@pytest.mark.parametrize("silence", TABLE, ids=lambda each: f"{each.cause} {each.silenced[0]}")
def test_every_row_silences_while_its_cause_is_an_error_that_stands(silence: Suppression) -> None:
    cause = silence.cause
    change = ROWS.get((cause, silence.silenced[0]), CAUSES[cause])
    as_error = {"severities": {cause: ("error", ORIGIN)}}
    report = judged(change, **as_error)
    asked = {row.rule for row in report.checks if row.checked and row.rule in silence.silenced}
    silent = set(silent_behind(silence, report))
    assert silent, "nothing is silent"
    # Others are silent behind a cause of their own, or found what has nothing to do with it.
    found = {finding.rule for finding in report.findings}
    others = {row.rule for row in report.checks if row.undecided and row.rule not in silent}
    assert asked - silent <= found | others
    for what in (
        {"severities": {cause: ("warning", ORIGIN)}},
        {"severities": {cause: ("note", ORIGIN)}},
        {"off": {cause: ORIGIN}},
    ):
        assert silent_behind(silence, judged(change, **what)) == [], what
    waived = {**change, "waivers": [{"rule": cause, "reason": "seen", "agreed_by": "lead"}]}
    leave = {"may_waive": {cause: ORIGIN}}
    assert silent_behind(silence, judged(waived, **as_error, **leave)) == []
    lapsed = {**change, "waivers": [{"rule": cause, "reason": "seen"}]}
    assert set(silent_behind(silence, judged(lapsed, **as_error, **leave))) == silent


def test_a_thermostat_that_is_there_is_judged_beside_one_that_is_missing() -> None:
    rows = {
        "A": {**ROOM["rows"]["A"], "lengths": [2750] * 3},
        "B": {**ROOM["rows"]["A"], "at": [1560, 60], "lengths": [2750] * 4, "circuit": "C2"},
    }
    change = {
        "rooms.room": {"rows": rows, "thermostat": {"height": 2300, "floor_limit": None}},
        "circuits.C2": {"thermostat": None, "shares": "C1"},
    }
    report = check(change)
    assert [finding.room for finding in of_rule(report, "thermostat-missing")] == ["room"]
    assert of_rule(report, "thermostat-height")
    assert of_rule(report, "floor-limit")


WRONG_FILM = CAUSES["film-voltage"]


@pytest.mark.parametrize(
    ("circuit", "rule", "is_found"),
    [
        ({"breaker": None}, "breaker-rating", True),
        # 40 A is more than 2.5 mm2 carries however it lies; 20 A is a question of the load.
        ({"breaker": "40 A"}, "breaker-rating", True),
        ({"breaker": "20 A"}, "breaker-rating", False),
        ({"cable": {"capacity": "60 A"}}, "cable-capacity", True),
        ({"cable": {"size": "1.5 mm2"}}, "cable-capacity", False),
    ],
)
def test_a_film_for_another_voltage_hides_no_breaker_and_no_cable(
    circuit: dict[str, Any], rule: str, is_found: bool
) -> None:
    report = check({**WRONG_FILM, "circuits": {"C1": circuit}})
    assert of_rule(report, "film-voltage")
    found = [finding for finding in of_rule(report, rule) if finding.room is None]
    assert len(found) == is_found
    if not is_found:
        assert "film-voltage" in (tally_of(report, rule).why or "")


def test_a_film_for_another_voltage_hides_no_reading_of_it() -> None:
    # 7 x 2.75 m x 0.5 m x 80 W/m2 = 770 W at 115 V: 17.2 ohm; a reading of 40 is none of it.
    for ohm, wrong in (("17.2 ohm", 0), ("40 ohm", 1)):
        test = {**LAID, "load_resistance": ohm}
        report = check({**WRONG_FILM, "status": "laid", "tests": [test]})
        found = [f for f in of_rule(report, "load-resistance") if f.severity == "error"]
        assert len(found) == wrong


def test_an_rcd_that_is_not_there_hides_no_time_that_was_too_long() -> None:
    for time, found in (("25 ms", 0), ("400 ms", 1)):
        tests = [{**LAID, "rcd_trip_time": time}]
        report = check({**CAUSES["rcd"], "tests": tests})
        assert of_rule(report, "rcd")
        assert len(of_rule(report, "rcd-trip")) == found
        assert tally_of(report, "rcd-trip").undecided == 1 - found


def test_a_circuit_that_nothing_feeds_hides_no_strip_of_another() -> None:
    rows = {
        "A": {**ROOM["rows"]["A"], "lengths": [2750] * 3},
        "B": {**ROOM["rows"]["A"], "at": [1560, 60], "lengths": [2750] * 4, "circuit": "C2"},
    }
    leads = {"W1": {**LEAD, "route": [*LEAD["route"][:-1], "A1", "A2"]}}
    report = check(
        {
            "rooms.room": {"rows": rows, "leads": leads},
            "circuits.C2": {"thermostat": "room", "shares": "C1"},
        }
    )
    assert [f.items for f in of_rule(report, "circuit-feed")] == [("A3",), ("C2",)]
    assert tally_of(report, "voltage-drop").why == "no lead feeds A3, B1, B2, B3 and B4"


def test_what_cannot_be_judged_counts_as_asked_though_it_is_silenced() -> None:
    report = judged(CAUSES["membrane-missing"], undecided={"membrane-cover": ("error", ORIGIN)})
    (finding,) = of_rule(report, "membrane-cover")
    assert finding.message == ("This could not be judged: there is no membrane (membrane-missing).")
    assert finding.remedy == "Put right what membrane-missing found."


@pytest.mark.parametrize(
    "rule", ["lead-on-lead", "lead-thickness", "covering-bond", "membrane-overlap"]
)
def test_what_bares_live_parts_or_lets_water_in_is_not_waived_by_a_plan(rule: str) -> None:
    assert {each.id: each.protects_life for each in STANDARD.rules}[rule]
