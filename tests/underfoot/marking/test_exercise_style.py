"""A fault is found by knowing floors, and not by how the damaged plan is written."""

import re
from collections import Counter
from datetime import date
from functools import cache
from typing import Any

import pytest
import yaml

from tests.demo_plans import PLANS
from tests.underfoot.marking.style_detective import Detective, keys_in_order, rough_figures
from tests.underfoot.marking.test_exercise_handout import told_in
from underfoot.checking.check import make_checker
from underfoot.checking.settings import default_settings
from underfoot.marking.exercise import Exercise, make_exercise, read_data, write_plan
from underfoot_rules import STANDARD

pytestmark = pytest.mark.slow

BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))
RIGHT = ("attic", "bathroom", "bedroom", "cloakroom", "conservatory", "flat", "guest-bath",
         "guest-room", "hall", "living-room", "office", "annexe/day-room")  # fmt: skip


def read(name: str) -> dict[str, Any]:
    place = PLANS / f"{name}.yaml"
    return read_data(place.read_bytes(), place.parent)


OFFICE = {name: read(name) for name in RIGHT}
DETECTIVE = Detective([yaml.safe_load(write_plan(each)) for each in OFFICE.values()])


def look(name: str, seed: int) -> Exercise:
    """Make an exercise and have the detective look at it."""
    right = OFFICE[name]
    exercise = make_exercise(right, STANDARD.mutations, BENCH, faults=3, seed=seed)
    text = write_plan(exercise.data)
    noted = DETECTIVE.notes(yaml.safe_load(text), text) - DETECTIVE.notes(right, write_plan(right))
    # A figure of the right plan's own may be alone of its kind now: it is not what is wrong.
    noted -= rough_figures(right)
    assert noted == set(), [one.says for one in exercise.faults]
    # What stood in the plan before stands in the order that it had.
    orders = {frozenset(each): each for each in keys_in_order(right)}
    for keys in keys_in_order(exercise.data):
        assert orders.get(frozenset(keys), keys) == keys
    assert yaml.safe_load(text) == exercise.data
    return exercise


@pytest.mark.parametrize("name", ["attic", "bedroom", "cloakroom", "guest-room"])
def test_a_style_detective_finds_nothing(name: str) -> None:
    look(name, 1)


@pytest.mark.parametrize(
    ("name", "mutation"),
    [
        ("bedroom", "row-begun-at-the-wall"),
        ("conservatory", "row-counted-backwards"),
        ("annexe/day-room", "row-up-to-the-fixture"),
        ("living-room", "row-begun-over-another"),
    ],
)
def test_a_whole_row_is_set_out_wrong_in_the_style_of_the_plan(name: str, mutation: str) -> None:
    right = OFFICE[name]
    one = [each for each in STANDARD.mutations if each.name == mutation]
    exercise = make_exercise(right, one, BENCH, faults=1, seed=1)
    before, after = (plan["rooms"] for plan in (right, exercise.data))
    (room,) = [each for each in before if before[each] != after[each]]
    assert {key for key in before[room] if before[room][key] != after[room][key]} == {"rows"}
    text = write_plan(exercise.data)
    noted = DETECTIVE.notes(yaml.safe_load(text), text)
    assert noted <= DETECTIVE.notes(right, write_plan(right))


def test_a_row_whose_strips_are_on_two_circuits_is_closed_as_it_was() -> None:
    right = OFFICE["living-room"]
    one = [each for each in STANDARD.mutations if each.name == "sensor-in-the-border"]
    exercise = make_exercise(right, one, BENCH, faults=1, seed=1)
    room, before = (plan["rooms"]["living-room"] for plan in (exercise.data, right))
    assert {key for key in before if before[key] != room[key]} == {"sensor"}
    assert any(isinstance(each, dict) for each in room["rows"]["A"]["lengths"])


TEN = range(1, 11)


@cache
def said_in(name: str, seed: int) -> tuple[str, ...]:
    """Have an exercise looked at for style and for what cannot be found in it; give its faults."""
    exercise = look(name, seed)
    told, right = told_in(exercise), write_plan(exercise.right)
    for fault in exercise.faults:
        lost = [item for item in fault.finding.items if item not in told]
        # What was left out stands in no file: its rule is about what is missing.
        assert all(re.search(rf"\b{re.escape(item)}\b", right) for item in lost), (fault, lost)
    return tuple(fault.says for fault in exercise.faults)


@pytest.mark.long
@pytest.mark.parametrize("name", RIGHT)
def test_a_style_detective_finds_nothing_in_ten_exercises_of_each_plan(name: str) -> None:
    said = [said_in(name, seed) for seed in TEN]
    assert len(set(said)) == len(said)
    # Whoever has done nine of them has not seen the tenth: no fault is in nearly all.
    often = Counter(each for one in said for each in one)
    assert max(often.values()) <= 7, often.most_common(3)


@pytest.mark.long
@pytest.mark.parametrize("seed", TEN)
def test_one_seed_gives_different_plans_different_faults(seed: int) -> None:
    said = [said_in(name, seed) for name in RIGHT]
    assert len(set(said)) == len(said)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("rooms", "bedroom", "fixtures", "bed", "size"), [1400, 2236.0]),
        (("rooms", "bedroom", "fixtures", "bed", "at"), [1903, 1100]),
        (("circuits", "C1", "cable", "length"), "312 m"),
        (("circuits", "C1", "cable", "length"), 14),
        (("circuits", "C1", "cable", "length"), "14000 mm"),
        (("rooms", "bedroom", "heat_loss"), "470.25 W"),
        (("rooms", "bedroom", "heat_loss"), "4.7 W"),
        (("rooms", "bedroom", "sensor", "under_hand"), 5),
        (("rooms", "bedroom", "leads"), {}),
        (("rooms", "bedroom", "leads", "lead-added-1"), {"route": ["junction-box"]}),
        (("rooms", "bedroom", "fixtures", "thing-2"), {"kind": "on legs"}),
        (("rooms", "bedroom", "elements"), {"A1": {"film": "film-80", "at": [60, 60]}}),
        (("rooms", "bedroom", "leads", "W1", "route"), ["junction-box", "A1.end"]),
        (("rooms", "bedroom", "leads", "W1", "route"), ["junction-box", [30, 30], [30, 30], "A"]),
        (("rooms", "bedroom", "leads", "W2"), {"route": [[30, 30], "A"]}),
        (("rooms", "bedroom", "leads", "W1", "route"), ["junction-box", [30, 30], "junction-box"]),
        (("supply", "voltage"), "280 V"),
        (
            ("rooms", "bedroom", "fixtures", "rug"),
            {"at": [600, 600], "size": [200, 1200], "kind": "lying flat"},
        ),
    ],
)
def test_the_detective_has_eyes(place: tuple[str, ...], value: Any) -> None:
    plan = yaml.safe_load(write_plan(OFFICE["bedroom"]))
    told = plan
    for key in place[:-1]:
        told = told[key]
    told[place[-1]] = value
    right = DETECTIVE.notes(OFFICE["bedroom"], write_plan(OFFICE["bedroom"]))
    assert DETECTIVE.notes(plan, write_plan(plan)) - right


def test_the_detective_reads_comments() -> None:
    text = write_plan(OFFICE["bedroom"])
    assert DETECTIVE.notes(OFFICE["bedroom"], f"{text}# once 60 mm off the walls\n")
