"""A brief of two rooms and two films: each goal is measured in its own room."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from tests.laws.moving import Move
from tests.there import there
from tests.underfoot.marking.demo import RULES, TODAY, judge, plan_of, scheme_from
from tests.underfoot.marking.right_ways import moved
from underfoot.checking.rule_order import order_rules
from underfoot.marking.judging import Attempt, Desk
from underfoot.marking.unmarked import is_grave
from underfoot.reading import read_plan
from underfoot_rules import STANDARD

Data = dict[str, Any]

SCHEME = """scheme_format: 1
title: Two rooms
brief: brief.yaml
pass_mark: 10
fails: [wall-clearance, thermostat-height]
topics:
  strips:
    rules:
      wall-clearance: {marks: 4}
      cut-length: {marks: 4}
  heat:
    asked:
      - {what: output, room: study, least: 300 W, marks: 2}
      - {what: output, least: 900 W, marks: 2}
      - {what: circuits, least: 2, most: 2, marks: 2}
  sensing:
    rules:
      sensor-under-element: {marks: 2}
goals:
  - {what: heated share, least: 60 %, gates: [strips]}
  - {what: heated rooms, gates: [cut-length]}
  - {what: sensor, room: study, gates: [sensing]}
  - {rule: thermostat-missing, room: study, gates: [sensing]}
"""


def two_rooms() -> Data:
    """A right plan: the demo's bedroom, and a study with a film of its own."""
    plan = plan_of("apprentice-01")
    films = plan["materials"]["films"]
    films["film-80"]["longest_strip"] = "9 m"
    films["film-70"] = {**films["film-80"], "output": "70 W/m2"}
    study = copy.deepcopy(plan["rooms"]["bedroom"])
    study["outline"] = [[0, 0], [3000, 0], [3000, 2500], [0, 2500]]
    del study["fixtures"]
    study["heat_loss"] = "300 W"
    study["rows"] = {"B": {"film": "film-70", "at": [60, 60], "along": "y", "circuit": "C2",
                           "lengths": [2250] * 5}}  # fmt: skip
    lead = study["leads"].pop("W1")
    way = ["junction-box", [30, 1500], [30, 30], "B"]
    study["leads"]["W2"] = {**lead, "circuit": "C2", "route": way}
    plan["rooms"]["study"] = study
    plan["circuits"]["C2"] = {**copy.deepcopy(plan["circuits"]["C1"]), "thermostat": "study"}
    return plan


RIGHT = two_rooms()
LAID = ("rows", "leads", "sensor", "thermostat", "junction_box", "insulation", "membrane")


def brief_of(plan: Data) -> Data:
    brief = copy.deepcopy(plan)
    for room in brief["rooms"].values():
        for key in LAID:
            del room[key]
    del brief["circuits"], brief["method_statement"]
    return brief


BRIEF = there(read_plan(json.dumps(brief_of(RIGHT)).encode(), path="brief.yaml").plan)
DESK = Desk(
    scheme=scheme_from(SCHEME),
    brief=BRIEF,
    program=order_rules([STANDARD]),
    today=TODAY,
    draws=False,
)


def lost(attempt: Attempt) -> dict[str, float]:
    found: dict[str, float] = {}
    for row in attempt.rows:
        if not row.is_full:
            found[row.what] = found.get(row.what, 0) + float(row.marks - row.earned)
    return found


def judged(change: Callable[[Data], None]) -> Attempt:
    plan = copy.deepcopy(RIGHT)
    change(plan)
    return judge(plan, DESK)


def test_the_right_one_earns_all() -> None:
    attempt = judged(lambda plan: None)
    assert attempt.report.findings == ()
    assert (lost(attempt), attempt.failed_by) == ({}, ())


def test_a_room_left_cold_is_not_made_up_for_by_another() -> None:
    def leave_cold(plan: Data) -> None:
        for key in ("rows", "leads"):
            del plan["rooms"]["study"][key]
        del plan["circuits"]["C2"]

    attempt = judged(leave_cold)
    # Of the bedroom 80 W/m2 x 0.5 m x 18 m = 720 W alone, less than 900 W; one circuit of two.
    assert lost(attempt) == {
        "wall-clearance": 4, "cut-length": 4, "output": 4, "circuits": 2, "sensor-under-element": 2,
    }  # fmt: skip
    reasons = {reason for row in attempt.rows for reason in row.reasons}
    without = "Counts for nothing without this: "
    assert f"{without}Heated share of study: 0 %; asked for at least 60 %." in reasons
    assert f"{without}Heated rooms of study: none." in reasons


def test_a_room_that_is_not_in_the_plan_counts_as_cold() -> None:
    def leave_out(plan: Data) -> None:
        del plan["rooms"]["study"]
        del plan["circuits"]["C2"]

    attempt = judged(leave_out)
    assert [one.said for one in attempt.changes] == ["the brief's room study is not in the plan"]
    assert {"wall-clearance", "cut-length", "sensor-under-element"} < set(lost(attempt))


def test_a_sensor_in_the_other_room_is_none_in_this_one() -> None:
    def move_sensor(plan: Data) -> None:
        del plan["rooms"]["study"]["sensor"]

    attempt = judged(move_sensor)
    assert lost(attempt) == {"sensor-under-element": 2}
    (row,) = [row for row in attempt.rows if row.what == "sensor-under-element"]
    assert row.reasons[-1] == "Counts for nothing without this: Sensor of study: none."


def test_the_same_open_point_of_several_rooms_is_told_once_and_counted() -> None:
    def drop_sensors(plan: Data) -> None:
        for room in plan["rooms"].values():
            del room["sensor"]

    told = [said for said in judged(drop_sensors).failed_by if said.startswith("floor-unlimited")]
    assert told == [
        "floor-unlimited (not judged, 2 points: there is no floor sensor; carries no marks)"
    ]


def test_a_rule_to_be_kept_is_looked_at_in_its_own_room() -> None:
    def unhook(room: str) -> Callable[[Data], None]:
        def change(plan: Data) -> None:
            del plan["rooms"][room]["thermostat"]
            del plan["circuits"]["C1" if room == "bedroom" else "C2"]["thermostat"]

        return change

    assert "sensor-under-element" in lost(judged(unhook("study")))
    assert "sensor-under-element" not in lost(judged(unhook("bedroom")))


def test_rooms_that_exchange_their_names_are_told_apart_by_their_shape() -> None:
    plan = copy.deepcopy(RIGHT)
    rooms = plan["rooms"]
    rooms["bedroom"], rooms["study"] = rooms["study"], rooms["bedroom"]
    plan["circuits"]["C1"]["thermostat"] = "study"
    plan["circuits"]["C2"]["thermostat"] = "bedroom"
    attempt = judge(moved(plan, Move(turn_deg=90, mirrored=True)), DESK)
    assert (lost(attempt), attempt.changes, attempt.failed_by) == ({}, (), ())
    assert set(attempt.remarks) == {
        "The room bedroom is called study in the plan; that changes no mark.",
        "The room study is called bedroom in the plan; that changes no mark.",
    }


def alter(film: str, name: str | None = None) -> Callable[[Data], None]:
    def change(plan: Data) -> None:
        films = plan["materials"]["films"]
        altered = {**films.pop(film), "output": "140 W/m2", "cut_every": 10}
        films[name or film] = altered
        for room in plan["rooms"].values():
            for row in room["rows"].values():
                if row["film"] == film:
                    row["film"] = name or film
        # Fewer strips would do with it, and a length that the brief's film has no mark for.
        plan["rooms"]["study"]["rows"]["B"]["lengths"] = [2240] * 5

    return change


@pytest.mark.parametrize("name", [None, "best"])
@pytest.mark.parametrize("film", ["film-80", "film-70"])
def test_of_two_films_neither_may_be_altered(film: str, name: str | None) -> None:
    attempt = judged(alter(film, name))
    said = f"the film {name or film} is n"
    assert [one.said.startswith(said) for one in attempt.changes] == [True]
    # 5 of 12 strips are on no line of the brief's film.
    assert round(lost(attempt)["cut-length"], 2) == round(4 * 5 / 12, 2)


def test_only_errors_fail_and_warnings_where_a_rule_finds_no_errors() -> None:
    def near(plan: Data) -> None:  # between 50 and the 58 that should be planned: a warning
        plan["rooms"]["study"]["rows"]["B"]["at"] = [55, 60]

    assert judged(near).failed_by == ()

    def too_near(plan: Data) -> None:
        plan["rooms"]["study"]["rows"]["B"]["at"] = [40, 60]

    assert [one.split()[0] for one in judged(too_near).failed_by] == ["wall-clearance"]

    def high(plan: Data) -> None:
        plan["rooms"]["study"]["thermostat"]["height"] = 1900

    assert [one.split()[0] for one in judged(high).failed_by] == ["thermostat-height"]
    assert set(RULES["thermostat-height"].severities) == {"warning"}
    grave = is_grave(RULES)
    found = judged(high).report.findings
    assert {one.rule: grave(one) for one in found} == {"thermostat-height": True}


FIXED: dict[str, tuple[Callable[[Data], None], Callable[[Data], None], str]] = {
    "cable": (
        lambda brief: brief.update(
            circuits={"C1": {"cable": {"method": "C", "length": "14 m", "ambient": "30 degC"}}}
        ),
        lambda plan: plan["circuits"]["C2"]["cable"].update(length="2 m", ambient="10 degC"),
        "circuit C2, cable: length, ambient temperature not as the brief gives",
    ),
    "protection": (
        lambda brief: brief.update(circuits={"C1": {"breaker": "10 A"}}),
        lambda plan: plan["circuits"]["C1"].update(breaker="16 A"),
        "circuit C1: breaker not as the brief gives",
    ),
    "method": (
        lambda brief: brief.update(method_statement={"connector_tool": "ratchet"}),
        lambda plan: plan["method_statement"].update(connector_tool="pliers"),
        "method statement: connector_tool not as the brief gives",
    ),
    "insulation": (
        lambda brief: brief["rooms"]["study"].update(insulation={"board": "board-10"}),
        lambda plan: (
            plan["materials"]["boards"].update(
                thin={"size": [1200, 600], "thickness": 3, "conductivity": "0.033 W/m/K"}
            ),
            plan["rooms"]["study"]["insulation"].update(board="thin"),
        )[0],
        "the board thin is none of the brief's; board-10 was taken for it",
    ),
    "thermostat": (
        lambda brief: brief["rooms"]["study"].update(thermostat={"switches": "16 A"}),
        lambda plan: plan["rooms"]["study"]["thermostat"].update(switches="30 A"),
        "study: the thermostat is not the brief's (switches)",
    ),
}


@pytest.mark.parametrize("part", FIXED)
def test_everything_that_the_brief_gives_is_put_back(part: str) -> None:
    give, change, said = FIXED[part]
    brief = brief_of(RIGHT)
    give(brief)
    given = there(read_plan(json.dumps(brief).encode(), path="brief.yaml").plan)
    plan = copy.deepcopy(RIGHT)
    change(plan)
    attempt = judge(plan, replace(DESK, brief=given))
    assert [one.said for one in attempt.changes] == [said]
    assert (lost(attempt), attempt.report.findings) == ({}, ())
