"""Exercises made of right plans, and the marks for what was found in them."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from underfoot.checking.check import check_source, set_up
from underfoot.checking.settings import default_settings
from underfoot.marking.answers import (
    AGAIN,
    FOLLOWS,
    FOUND,
    PLACE_ONLY,
    WRONG,
    AnswerKey,
    KeyFault,
    Named,
    mark_list,
    read_answers,
    read_key,
)
from underfoot.marking.exercise import (
    Exercise,
    ExerciseError,
    draw_exercise,
    make_exercise,
    read_data,
    write_answers,
    write_key,
    write_plan,
)
from underfoot_rules import STANDARD

PLANS = Path(__file__).parents[3] / "plans"
BENCH = set_up([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))


def made(name: str = "bedroom", faults: int = 3, seed: int = 1) -> Exercise:
    data = read_data((PLANS / f"{name}.yaml").read_bytes(), PLANS)
    return make_exercise(data, STANDARD.mutations, BENCH, faults=faults, seed=seed)


@pytest.mark.parametrize("name", ["bedroom", "living-room"])
@pytest.mark.parametrize("seed", [1, 2])
def test_every_fault_of_the_key_shows_in_the_plan_that_is_handed_out(name: str, seed: int) -> None:
    exercise = made(name, 4, seed)
    report = check_source(write_plan(exercise).encode(), BENCH, path="exercise.yaml")
    found = {(one.rule, one.room, one.items) for one in report.findings}
    own = {(one.finding.rule, one.finding.room, one.finding.items) for one in exercise.faults}
    follows = {(one.rule, one.room, one.items) for one in exercise.follows}
    assert len(own) == 4
    assert len({rule for rule, _, _ in own}) == 4
    assert own <= found
    notes = {(one.rule, one.room, one.items) for one in report.findings if one.severity == "note"}
    assert found - own - follows <= notes


def test_the_same_seed_gives_the_same_exercise_and_another_another() -> None:
    assert made(seed=7).data == made(seed=7).data
    assert made(seed=7).data != made(seed=8).data


def test_a_catalogue_is_laid_in() -> None:
    exercise = made("guest-room", 2)
    assert "catalogue" not in exercise.data
    assert "film-80" in exercise.data["materials"]["films"]


def test_the_drawing_gives_nothing_away() -> None:
    exercise = made()
    (svg,) = draw_exercise(exercise).values()
    assert "data-finding" not in svg
    assert "What is wrong is for you to find." in svg
    assert "Nothing was found" not in svg
    for fault in exercise.faults:
        assert fault.finding.rule not in svg
        assert fault.says not in svg


def test_a_plan_that_is_not_right_makes_no_exercise() -> None:
    with pytest.raises(ExerciseError, match="not right to begin with: element-overlap"):
        made("study")


def test_more_faults_than_fit_are_refused() -> None:
    few = [one for one in STANDARD.mutations if one.rule in ("rcd", "wall-clearance")]
    data = read_data((PLANS / "bedroom.yaml").read_bytes(), PLANS)
    with pytest.raises(ExerciseError, match="only 2 of 5 faults fit"):
        make_exercise(data, few, BENCH, faults=5, seed=1)


def test_the_key_is_read_back_and_its_own_answers_earn_all_marks() -> None:
    exercise = made()
    text = write_key(exercise, "bedroom.yaml", 1)
    key, problems = read_key(text.encode(), "key.yaml")
    assert problems == ()
    assert key is not None
    assert key.marks == 6
    answers = tuple(
        Named(one.rule, one.room, one.items[0] if one.items else None) for one in key.faults
    )
    marked = mark_list("a", answers, key)
    assert (marked.earned, marked.missed) == (6, ())
    empty, problems = read_answers(write_answers(exercise).encode(), "answers.yaml")
    assert (empty, problems) == ((), ())
    assert mark_list("a", (), key).earned == 0
    assert re.search(r"^seed: 1$", text, re.MULTILINE)
    assert yaml.safe_load(text)["faults"][0]["remedy"]


KEY = AnswerKey(
    (
        KeyFault("wall-clearance", "hall", ("A4",)),
        KeyFault("rcd", None, ("C1",)),
        KeyFault("membrane-missing", "hall", ()),
    ),
    (KeyFault("wall-clearance", "hall", ("A5",)), KeyFault("strip-gap", "hall", ("A3", "A4"))),
    Fraction(2),
    Fraction(1),
    Fraction(1),
)
Answer = tuple[str, Any, Any]


@pytest.mark.parametrize(
    ("answers", "verdicts", "earned"),
    [
        ([("wall-clearance", "hall", "A4"), ("rcd", None, "C1"),
          ("membrane-missing", "hall", None)],
         [FOUND, FOUND, FOUND], 6),
        ([("wall-clearance", "hall", "A5")], [FOUND], 2),  # the same act shows there too
        ([("wall-clearance", "hall", "A4"), ("wall-clearance", "hall", "A5")], [FOUND, FOLLOWS], 2),
        ([("strip-gap", "hall", "A3")], [FOLLOWS], 0),
        ([("rcd", "hall", "C1")], [FOUND], 2),  # a circuit is in no room, and may be told with one
        ([("cut-length", "hall", "A4")], [PLACE_ONLY], 1),
        ([("cut-length", "hall", "A4"), ("wall-clearance", "hall", "A4")], [WRONG, FOUND], 1),
        ([("wall-clearance", "kitchen", "A4")], [WRONG], 0),  # never less than nothing
        ([("rcd", None, "C1"), ("rcd", None, "C1")], [FOUND, AGAIN], 2),
        ([("rcd", None, "C1"), ("cut-length", "hall", "A9")], [FOUND, WRONG], 1),
        ([("rcd", None, "C1")] + [("cut-length", "hall", f"B{n}") for n in range(9)],
         [FOUND] + [WRONG] * 9, 0),
    ],
)  # fmt: skip
def test_answers_are_marked(answers: list[Answer], verdicts: list[str], earned: int) -> None:
    marked = mark_list("a", tuple(Named(*one) for one in answers), KEY)
    assert [one.verdict for one in marked.judged] == verdicts
    assert marked.earned == earned
    assert len(marked.missed) == 3 - verdicts.count(FOUND)


def test_a_kind_may_be_written_as_words() -> None:
    answers, _ = read_answers(
        b"answers_format: 1\nfaults: [{room: hall, item: A4, kind: Wall clearance}]\n", "a.yaml"
    )
    assert answers == (Named("wall-clearance", "hall", "A4"),)


def test_answers_that_cannot_be_read_are_explained() -> None:
    answers, problems = read_answers(b"answers_format: 1\nfaults: [{rooom: hall}]\n", "a.yaml")
    assert answers is None
    assert any("did you mean `room`" in one.message for one in problems)
