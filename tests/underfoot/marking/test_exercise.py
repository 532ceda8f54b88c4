"""Exercises made of right plans, and their keys read back."""

import re
from datetime import date
from typing import Any

import pytest
import yaml
from msgspec.structs import replace

from tests.demo_plans import PLANS
from underfoot.api.rules import Damaged, Expected, Mutation
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.settings import default_settings
from underfoot.marking.answer_judging import mark_list
from underfoot.marking.answers import Named, read_answers, read_key
from underfoot.marking.exercise import (
    Exercise,
    ExerciseError,
    make_exercise,
    read_data,
    write_plan,
)
from underfoot.marking.handout import draw_exercise, write_answers, write_brief, write_key
from underfoot_rules import STANDARD

pytestmark = pytest.mark.slow

BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))


DOORS = ("doorway-joint", "hung-in-opening", "thermostat-behind-door", "threshold-fixing")


def made(name: str = "bedroom", faults: int = 3, seed: int = 1) -> Exercise:
    data = read_data((PLANS / f"{name}.yaml").read_bytes(), PLANS)
    return make_exercise(data, STANDARD.mutations, BENCH, faults=faults, seed=seed)


@pytest.mark.parametrize("name", ["bedroom", "living-room"])
@pytest.mark.parametrize("seed", [1, 2])
def test_every_fault_of_the_key_shows_in_the_plan_that_is_handed_out(name: str, seed: int) -> None:
    exercise = made(name, 4, seed)
    report = check_source(write_plan(exercise.data).encode(), BENCH, path="exercise.yaml")
    found = {(one.rule, one.room, one.items) for one in report.findings}
    own = {(one.finding.rule, one.finding.room, one.finding.items) for one in exercise.faults}
    follows = {(one.rule, one.room, one.items) for one in exercise.follows}
    assert len(own) == 4
    assert len({rule for rule, _, _ in own}) == 4
    # The key tells what the check finds in the text handed out, no more and no less.
    assert own | follows == found
    assert not own & follows


def test_a_note_beside_named_things_is_none_of_them() -> None:
    plan = (PLANS / "bedroom.yaml").read_text("utf-8")
    for kind in ("rooms", "circuits", "rows", "leads", "films", "fixtures"):
        plan = re.sub(
            rf"^( *){kind}:\n", rf"\1{kind}:\n\1  note: as agreed on site\n", plan, flags=re.M
        )
    assert plan.count("as agreed on site") >= 4
    data = read_data(plan.encode(), PLANS)
    assert "note" not in data["rooms"]
    assert "note" not in data["circuits"]
    exercise = make_exercise(data, STANDARD.mutations, BENCH, faults=3, seed=1)
    assert [fault.says for fault in exercise.faults] == [fault.says for fault in made().faults]


def test_the_same_seed_gives_the_same_exercise_and_another_another() -> None:
    assert made(seed=7).data == made(seed=7).data
    assert made(seed=7).data != made(seed=8).data


def test_a_seed_damages_each_plan_in_ways_of_its_own() -> None:
    def says(name: str) -> list[str]:
        return [one.says for one in made(name).faults]

    assert len({tuple(says(name)) for name in ("bedroom", "guest-room", "attic", "hall")}) == 4


def test_what_was_only_left_out_is_at_most_every_third_fault() -> None:
    lost = [one for one in STANDARD.mutations if one.name in LOST]
    others = [one for one in STANDARD.mutations if one.name in ("crowds-the-wall", "bell-wire",
              "thick-covering", "started-at-the-skirting", "sensor-on-the-seam")]  # fmt: skip
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)
    exercise = make_exercise(data, [*lost, *others], BENCH, faults=3, seed=1)
    says = {one.says for one in lost}
    assert sum(one.says in says for one in exercise.faults) == 1
    # Where nothing else fits, there are more.
    exercise = make_exercise(data, lost, BENCH, faults=3, seed=1)
    assert sum(one.says in says for one in exercise.faults) == 3


LOST = ("membrane-forgotten", "sensor-forgotten", "limit-not-set", "breaker-forgotten",
        "insulation-forgotten")  # fmt: skip


def test_what_nobody_could_be_asked_to_find_is_not_set() -> None:
    not_set = [one for one in STANDARD.mutations if one.not_set]
    assert {one.rule for one in not_set} >= {"odd-figure"}
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)
    with pytest.raises(ExerciseError, match="only 0 of 1 faults fit"):
        make_exercise(data, not_set, BENCH, faults=1, seed=1)


def test_a_catalogue_is_laid_in() -> None:
    exercise = made("guest-room", 2)
    assert "catalogue" not in exercise.data
    assert "film-72" in exercise.data["materials"]["films"]


def test_the_drawing_gives_nothing_away() -> None:
    exercise = made()
    drawings = draw_exercise(exercise)
    # What finds no room on a sheet stands on a further one.
    assert [name for name in drawings if ".part-" not in name] == [
        "exercise-bedroom.svg",
        "exercise-bedroom-boards.svg",
        "exercise-bedroom-membrane.svg",
    ]
    for name in [name for name in drawings if ".part-" not in name]:
        parts = [svg for part, svg in drawings.items() if part.startswith(name[:-4] + ".")]
        assert sum("What is wrong is for you to find." in svg for svg in parts) == 1, name
    for svg in drawings.values():
        assert "data-finding" not in svg
        assert "Nothing was found" not in svg
        for fault in exercise.faults:
            assert fault.finding.rule not in svg
            assert fault.says not in svg


def test_boards_and_membrane_are_drawn_whatever_is_wrong() -> None:
    # Where the damage itself took the membrane out there is none to be drawn.
    tried = (made(seed=seed) for seed in range(1, 9))
    drawings = draw_exercise(
        next(each for each in tried if "membrane" in each.data["rooms"]["bedroom"])
    )
    assert 'data-layer="boards"' in drawings["exercise-bedroom-boards.svg"]
    assert 'data-layer="strips"' not in drawings["exercise-bedroom-boards.svg"]
    assert 'data-layer="membrane"' in drawings["exercise-bedroom-membrane.svg"]
    assert 'data-layer="boards"' not in drawings["exercise-bedroom.svg"]
    assert 'data-layer="strips"' in drawings["exercise-bedroom.svg"]


def test_the_brief_tells_what_stands_in_the_room_though_nobody_drew_it() -> None:
    exercise = made()
    room = {**exercise.data["rooms"]["bedroom"]}
    room.pop("heat_loss", None)
    room["fixtures"] = {"bed": room["fixtures"]["bed"]}
    undrawn = replace(exercise, data={**exercise.data, "rooms": {"bedroom": room}})
    brief = write_brief(undrawn, date(2026, 12, 1))
    assert "stands there: wardrobe (floor-mounted, 1800 x 600)" in brief
    assert "stands there: bed (on legs, 1400 x 2000)" in brief
    assert "heat lost on the coldest day: 470 W" in brief
    assert "looked at on 1 December 2026" in brief
    assert "3 faults were put in" in brief
    for fault in exercise.faults:
        assert fault.finding.rule not in brief


def test_a_plan_that_is_not_right_makes_no_exercise() -> None:
    with pytest.raises(
        ExerciseError, match=r"begin with \(element-overlap, .*\): Strips A5 and X1 lie on"
    ):
        made("study")


def test_more_faults_than_fit_are_refused() -> None:
    few = [one for one in STANDARD.mutations if one.rule in ("membrane-missing", "wall-clearance")]
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)
    with pytest.raises(ExerciseError, match="only 2 of 5 faults fit"):
        make_exercise(data, few, BENCH, faults=5, seed=1)


def test_a_damage_that_no_rule_finds_is_no_fault() -> None:
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)
    harmless = Mutation(
        rule="rcd",
        name="harmless",
        says="Nothing was done.",
        apply=lambda plan, _: Damaged(data={**plan}),
    )
    with pytest.raises(ExerciseError, match="only 0 of 1 faults fit"):
        make_exercise(data, [harmless], BENCH, faults=1, seed=1)


def test_the_fault_that_a_damage_was_meant_to_show_is_the_one_asked_for() -> None:
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)

    def cut_short(plan: dict[str, Any], _: object) -> Damaged:
        steps = {key: one for key, one in plan["method_statement"].items() if key not in lost}
        return Damaged(data={**plan, "method_statement": steps}, expected=expected)

    lost = ("busbars", "cut_ends_insulated")
    for named, asked in (((), "busbars"), (lost[1:], "cut_ends_insulated")):
        expected = tuple(
            Expected(rule="method-statement", room=None, items=(step,)) for step in named
        )
        damage = Mutation(
            rule="method-statement", name="cut-short", says="Steps were left out.", apply=cut_short
        )
        (fault,) = make_exercise(data, [damage], BENCH, faults=1, seed=1).faults
        assert fault.finding.items == (asked,)


def test_the_key_is_read_back_and_its_own_answers_earn_all_marks() -> None:
    exercise = made()
    text = write_key(exercise, "bedroom.yaml", 1)
    key, problems = read_key(text.encode(), "key.yaml")
    assert problems == ()
    assert key is not None
    assert key.marks == 6
    answers = tuple(
        Named(kind=one.rule, room=one.room, item=one.items[0] if one.items else None)
        for one in key.faults
    )
    marked = mark_list("a", answers, key)
    assert (marked.earned, marked.missed) == (6, ())
    empty, problems = read_answers(write_answers(exercise).encode(), "answers.yaml")
    assert (empty, problems) == ((), ())
    assert mark_list("a", (), key).earned == 0
    assert re.search(r"^seed: 1$", text, re.MULTILINE)
    assert yaml.safe_load(text)["faults"][0]["remedy"]


@pytest.mark.parametrize("rule", DOORS)
def test_a_door_hung_wrong_is_among_what_is_got_wrong(rule: str) -> None:
    """The plan's own door is hung elsewhere: nothing in how it is written gives it away."""
    data = read_data((PLANS / "bathroom.yaml").read_bytes(), PLANS)
    doors = [each for each in STANDARD.mutations if each.rule == rule]
    exercise = make_exercise(data, doors, BENCH, faults=1, seed=1)
    assert [each.finding.rule for each in exercise.faults] == [rule]
    before, now = (each["rooms"]["bathroom"]["openings"] for each in (data, exercise.data))
    assert set(now) == set(before)
    assert set(now["door"]) <= set(before["door"])
