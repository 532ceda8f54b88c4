"""A brief of two rooms and two films: each goal is measured in its own room."""

import copy
import json
from typing import Any

import pytest
from msgspec.structs import replace

from tests.laws.moving import Move
from tests.there import there
from tests.underfoot.marking.demo import RULES, TODAY, judge, plan_of, scheme_from
from tests.underfoot.marking.right_ways import moved
from tests.underfoot_rules.plans import change_plan
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


def judged(change: Data) -> Attempt:
    return judge(change_plan(RIGHT, change), DESK)


def test_the_right_one_earns_all() -> None:
    attempt = judged({})
    assert attempt.report.findings == ()
    assert (lost(attempt), attempt.failed_by) == ({}, ())


def test_a_room_left_cold_is_not_made_up_for_by_another() -> None:
    attempt = judged(dict.fromkeys(("rooms.study.rows", "rooms.study.leads", "circuits.C2")))
    # Of the bedroom 80 W/m2 x 0.5 m x 18 m = 720 W alone, less than 900 W; one circuit of two.
    assert lost(attempt) == {
        "wall-clearance": 4, "cut-length": 4, "output": 4, "circuits": 2, "sensor-under-element": 2,
    }  # fmt: skip
    reasons = {reason for row in attempt.rows for reason in row.reasons}
    without = "Counts for nothing without this: "
    assert f"{without}Heated share of study: 0 %; asked for at least 60 %." in reasons
    assert f"{without}Heated rooms of study: none." in reasons


def test_a_room_that_is_not_in_the_plan_counts_as_cold() -> None:
    attempt = judged({"rooms.study": None, "circuits.C2": None})
    assert [one.said for one in attempt.changes] == ["the brief's room study is not in the plan"]
    assert {"wall-clearance", "cut-length", "sensor-under-element"} < set(lost(attempt))


def test_a_sensor_in_the_other_room_is_none_in_this_one() -> None:
    attempt = judged({"rooms.study.sensor": None})
    assert lost(attempt) == {"sensor-under-element": 2}
    (row,) = [row for row in attempt.rows if row.what == "sensor-under-element"]
    assert row.reasons[-1] == "Counts for nothing without this: Sensor of study: none."


def test_the_same_open_point_of_several_rooms_is_told_once_and_counted() -> None:
    attempt = judged({"rooms.bedroom.sensor": None, "rooms.study.sensor": None})
    assert [said for said in attempt.failed_by if said.startswith("floor-unlimited")] == [
        "floor-unlimited (not judged, 2 points: there is no floor sensor; carries no marks)"
    ]


def test_a_rule_to_be_kept_is_looked_at_in_its_own_room() -> None:
    study = judged({"rooms.study.thermostat": None, "circuits.C2.thermostat": None})
    assert "sensor-under-element" in lost(study)
    bedroom = judged({"rooms.bedroom.thermostat": None, "circuits.C1.thermostat": None})
    assert "sensor-under-element" not in lost(bedroom)


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


def alter(film: str, name: str) -> Data:
    """Lay the study's row of fewer metres, with one film altered and perhaps called otherwise."""
    altered = {**RIGHT["materials"]["films"][film], "output": "140 W/m2", "cut_every": 10}
    room, row = {"film-80": ("bedroom", "A"), "film-70": ("study", "B")}[film]
    change = {
        "materials.films": {film: None} | {name: altered},
        # Fewer strips would do with it, and a length that the brief's film has no mark for.
        "rooms.study.rows.B.lengths": [2240] * 5,
    }
    return change | {f"rooms.{room}.rows.{row}.film": name}


@pytest.mark.parametrize("name", [None, "best"])
@pytest.mark.parametrize("film", ["film-80", "film-70"])
def test_of_two_films_neither_may_be_altered(film: str, name: str | None) -> None:
    attempt = judged(alter(film, name or film))
    said = f"the film {name or film} is n"
    assert [one.said.startswith(said) for one in attempt.changes] == [True]
    # 5 of 12 strips are on no line of the brief's film.
    assert round(lost(attempt)["cut-length"], 2) == round(4 * 5 / 12, 2)


def test_only_errors_fail_and_warnings_where_a_rule_finds_no_errors() -> None:
    # Between 50 and the 58 that should be planned: a warning.
    assert judged({"rooms.study.rows.B.at": [55, 60]}).failed_by == ()
    too_near = judged({"rooms.study.rows.B.at": [40, 60]})
    assert [one.split()[0] for one in too_near.failed_by] == ["wall-clearance"]
    high = judged({"rooms.study.thermostat.height": 1900})
    assert [one.split()[0] for one in high.failed_by] == ["thermostat-height"]
    assert set(RULES["thermostat-height"].severities) == {"warning"}
    grave = is_grave(RULES)
    found = high.report.findings
    assert {one.rule: grave(one) for one in found} == {"thermostat-height": True}


# Of each part: what the brief gives, what the plan has, and what is said of it.
FIXED: dict[str, tuple[Data, Data, str]] = {
    "cable": (
        {"circuits.C1.cable": {"method": "C", "length": "14 m", "ambient": "30 degC"}},
        {"circuits.C2.cable": {"length": "2 m", "ambient": "10 degC"}},
        "circuit C2, cable: length, ambient temperature not as the brief gives",
    ),
    "protection": (
        {"circuits.C1.breaker": "10 A"},
        {"circuits.C1.breaker": "16 A"},
        "circuit C1: breaker not as the brief gives",
    ),
    "method": (
        {"method_statement.connector_tool": "ratchet"},
        {"method_statement.connector_tool": "pliers"},
        "method statement: connector_tool not as the brief gives",
    ),
    "insulation": (
        {"rooms.study.insulation.board": "board-10"},
        {
            "materials.boards.thin": {
                "size": [1200, 600], "thickness": 3, "conductivity": "0.033 W/m/K",
            },
            "rooms.study.insulation.board": "thin",
        },
        "the board thin is none of the brief's; board-10 was taken for it",
    ),
    "thermostat": (
        {"rooms.study.thermostat.switches": "16 A"},
        {"rooms.study.thermostat.switches": "30 A"},
        "study: the thermostat is not the brief's (switches)",
    ),
}  # fmt: skip


@pytest.mark.parametrize("part", FIXED)
def test_everything_that_the_brief_gives_is_put_back(part: str) -> None:
    give, change, said = FIXED[part]
    brief = json.dumps(change_plan(brief_of(RIGHT), give))
    given = there(read_plan(brief.encode(), path="brief.yaml").plan)
    attempt = judge(change_plan(RIGHT, change), replace(DESK, brief=given))
    assert [one.said for one in attempt.changes] == [said]
    assert (lost(attempt), attempt.report.findings) == ({}, ())
