"""Marks for what was found in an exercise: found, nearly, by its place alone, wrong, twice."""

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.marking.answer_lists import fault, key, named
from underfoot.marking.answer_judging import (
    AGAIN,
    FOLLOWS,
    FOUND,
    NEARLY,
    PLACE_ONLY,
    WRONG,
    mark_list,
)
from underfoot.marking.answers import Named, read_answers

pytestmark = pytest.mark.slow

KEY = key(
    fault("wall-clearance", "hall", "A4"),
    fault("rcd", None, "C1"),
    fault("membrane-missing", "hall"),
    follows=(fault("wall-clearance", "hall", "A5"), fault("strip-gap", "hall", "A3", "A4")),
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
        # However it is spelt, it is found.
        ([("wall-clearance", "Hall", "a4")], [FOUND], 2),
        ([("wall-clearance", "hall ", "A 4"), ("rcd", "HALL", "c-1")], [FOUND, FOUND], 4),
        ([("wall-clearance", None, "A4")], [FOUND], 2),
        # Where something is missing, nothing that is named is wrong.
        ([("membrane-missing", "hall", "membrane")], [FOUND], 2),
        # Kind and room alone, or a thing or room nearly right, earn a part, once.
        ([("wall-clearance", "hall", None)], [NEARLY], 1),
        ([("wall-clearance", None, None)], [NEARLY], 1),
        ([("membrane-missing", None, None)], [NEARLY], 1),
        ([("rcd", "hall", None)], [NEARLY], 1),
        ([("wall-clearance", "hall", None), ("wall-clearance", "hall", None)], [NEARLY, AGAIN], 1),
        ([("wall-clearance", "hall", None), ("wall-clearance", "hall", "A4")], [AGAIN, FOUND], 2),
        ([("strip-gap", "hall", None)], [FOLLOWS], 0),
        ([("wall-clearance", "hall", "A03")], [NEARLY], 1),
        ([("wall-clearance", "hal", "A4"), ("rcd", None, "C2")], [NEARLY, NEARLY], 2),
        ([("wall-clearance", "hull-2", "A4"), ("rcd", None, "C9")], [WRONG, WRONG], 0),
        ([("wall-clearance", "halll", "A4")], [NEARLY], 1),
        ([("membrane-missing", "haal", None)], [NEARLY], 1),
        # Once the fault is found, its neighbours are innocent; so are those further off.
        ([("wall-clearance", "hall", "A4"), ("wall-clearance", "hall", "A3")], [FOUND, WRONG], 1),
        ([("wall-clearance", "hall", "A6")], [WRONG], 0),
        ([("wall-clearance", "hall", "B4")], [WRONG], 0),
        ([("cut-length", "hall", "A3")], [WRONG], 0),
        ([("rcd", None, "C1"), ("cut-length", "hall", "A9")], [FOUND, WRONG], 1),
        ([("rcd", None, "C1")] + [("cut-length", "hall", f"B{n}") for n in range(9)],
         [FOUND] + [WRONG] * 9, 0),
    ],
)  # fmt: skip
def test_answers_are_marked(answers: list[Answer], verdicts: list[str], earned: int) -> None:
    marked = mark_list("a", tuple(named(kind, room, item) for kind, room, item in answers), KEY)
    assert [one.verdict for one in marked.judged] == verdicts
    assert marked.earned == earned
    assert len(marked.missed) == 3 - verdicts.count(FOUND)


@pytest.mark.parametrize(
    ("answer", "asked"),
    [
        (("wall-clearance", "hall", "A4"), ""),
        (("wall-clearance", "Hall", "a4"), "`hall`?, `A4`?"),
        (("wall-clearance", "hall", "A3"), "`A4`?"),
        (("wall-clearance", "hall", None), "`A4`?"),
        (("wall-clearance", "halll", "A4"), "`hall`?"),
        (("wall-clearance", "hall", "A5"), ""),  # as wrong as A4, by the same act
        (("membrane-missing", "hall", "membrane"), ""),
    ],
)
def test_what_is_not_told_as_the_plan_tells_it_is_asked_about(answer: Answer, asked: str) -> None:
    assert (
        mark_list("a", (Named(**dict(zip(("kind", "room", "item"), answer, strict=True))),), KEY)
        .judged[0]
        .asked
        == asked
    )


def test_what_kind_and_room_earn_is_in_the_key() -> None:
    by_kind = replace(KEY, kind_only=Fraction(1, 2))
    assert mark_list("a", (named("wall-clearance", "hall", None),), by_kind).earned == Fraction(
        1, 2
    )
    assert mark_list("a", (named("cut-length", "hall", "A4"),), by_kind).earned == 1


def test_a_name_of_any_length_is_compared_in_no_time() -> None:
    answers = [named("wall-clearance", "hall", "0" * 200_000 + "x")] * 3
    assert [one.verdict for one in mark_list("a", answers, KEY).judged] == [WRONG] * 3


def test_a_kind_may_be_written_as_words() -> None:
    answers, _ = read_answers(
        b"answers_format: 1\nfaults: [{room: hall, item: A4, kind: Wall clearance}]\n", "a.yaml"
    )
    assert answers == (named("wall-clearance", "hall", "A4"),)


def test_answers_that_cannot_be_read_are_explained() -> None:
    answers, problems = read_answers(b"answers_format: 1\nfault: []\n", "a.yaml")
    assert answers is None
    assert any("did you mean `faults`" in one.message for one in problems)


def test_an_entry_that_cannot_be_read_is_refused_alone() -> None:
    source = b"""answers_format: 1
faults:
  - {rooom: hall, kind: rcd}
  - {room: hall, kind: wall-clearence}
  - {room: hall, item: 4, kind: rcd}
  - {room: hall, kind: no such thing at all}
  - {room: hall, kind: rcd}
"""
    answers, problems = read_answers(source, "a.yaml", {"rcd", "wall-clearance"})
    assert answers == (named("rcd", "hall", None),)
    assert [one.line for one in problems] == [3, 4, 5, 6]
    assert "did you mean `room`" in problems[0].message
    assert problems[1].message == (
        "the kind `wall-clearence` is no rule; did you mean `wall-clearance`?"
    )
    assert problems[1].column == 18
    assert "`underfoot rules` lists them" in problems[3].message
