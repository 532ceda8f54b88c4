"""Marks that nobody means, in schemes, comments and keys: told at their place."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.underfoot.reading.test_any_node import OTHERS
from underfoot.marking.answers import MOST_ANSWERS, read_answers
from underfoot.reading.schema import load_schema

FILES = ("scheme", "comments", "key")


def bare_numbers(part: Any) -> Iterator[dict[str, Any]]:
    if isinstance(part, dict):
        if part.get("type") == "number":
            yield part
        part = list(part.values())
    if isinstance(part, list):
        for each in part:
            yield from bare_numbers(each)


@pytest.mark.parametrize("name", FILES)
def test_every_bare_number_is_bounded_on_both_sides(name: str) -> None:
    found = list(bare_numbers(load_schema(name)))
    assert len(found) >= 3
    for each in found:
        assert each["maximum"] == 10_000, each
        assert each.get("minimum", each.get("exclusiveMinimum")) in (0, -10_000), each


@pytest.mark.parametrize(
    ("name", "was", "becomes", "said"),
    [
        ("comments", "by: 1,", "by: 1e300,", "`by`: `1e+300` is too large: write 10000 or less"),
        ("comments", "by: 1,", "by: -1e15,", "is too small: write -10000 or more"),
        ("comments", "by: 1,", "by: -10000,", None),
        ("comments", "by: 1,", "by: 10000,", None),
        ("key", "found: 2", "found: 10000.5", "`10000.5` is too large: write 10000 or less"),
        ("key", "wrong: 0.5", "wrong: 1e300", "is too large"),
    ],
)
def test_too_many_marks_are_told(name: str, was: str, becomes: str, said: str | None) -> None:
    text, read = OTHERS[name]
    assert text.count(was) == 1
    is_read, problems = read(text.replace(was, becomes).encode())
    assert is_read == (said is None)
    if said is None:
        return
    (problem,) = problems
    assert said in problem.message
    assert problem.line == text[: text.index(was)].count("\n") + 1


@pytest.mark.parametrize("count", [MOST_ANSWERS, MOST_ANSWERS + 1])
def test_more_answers_than_an_exercise_can_have_are_not_read(count: int) -> None:
    text = "answers_format: 1\nfaults:\n" + "  - {kind: strip-gap, item: A1}\n" * count
    answers, problems = read_answers(text.encode(), "a.yaml")
    if count == MOST_ANSWERS:
        assert answers is not None
        assert len(answers) == count
        assert problems == ()
        return
    assert answers is None
    (problem,) = problems
    assert problem.message == "1001 faults are named here; at most 1000 are read"
    assert (problem.file, problem.line) == ("a.yaml", 2)
