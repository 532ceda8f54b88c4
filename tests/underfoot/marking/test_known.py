"""Marking again: the same bytes, and whose mark a change of scheme or of a file changes."""

import json

import pytest

from tests.underfoot.marking.demo import FOLDER, demo_attempts, desk_for, mark_class, scheme_from
from underfoot.marking.judging import judge_attempt
from underfoot.marking.marks_json import EarlierError, compare_marks, write_marks
from underfoot.marking.results import gather_class
from underfoot.marking.submissions import list_submissions

SCHEME = (FOLDER / "scheme.yaml").read_text("utf-8")


def marks_under(text: str) -> str:
    scheme = scheme_from(text)
    desk = desk_for(scheme)
    attempts = [
        judge_attempt(one, desk) for one in list_submissions(FOLDER / "submissions").attempts
    ]
    return write_marks(gather_class(scheme, attempts, []), "1")


def test_marking_again_gives_the_same_bytes() -> None:
    demo_attempts.cache_clear()
    first = write_marks(mark_class(), "1")
    demo_attempts.cache_clear()
    assert write_marks(mark_class(), "1") == first
    assert compare_marks(first, first) == ()
    assert json.loads(first)["marks_format"] == 1


def test_a_change_of_scheme_shows_whose_mark_changes_and_why() -> None:
    earlier = marks_under(SCHEME)
    now = marks_under(SCHEME.replace("wall-clearance: {marks: 7}",
                                     "wall-clearance: {marks: 3.5}"))  # fmt: skip
    moved = {one.name: one for one in compare_marks(earlier, now)}
    # 6 of 7 of 7 marks was 6, of 3.5 it is 3.
    second = moved["apprentice-02"]
    assert (second.before, second.now) == (68, 65)
    assert second.why == (
        "strips / wall-clearance: 3 of 3.5, was 6 of 7; the scheme gives 3.5, not 7",
    )
    # None of its seven strips was right, then as now.
    assert "apprentice-11" not in moved


def test_a_change_of_the_limits_is_named() -> None:
    now = marks_under(SCHEME.replace("{within: 300, because", "{within: 600, because"))
    (moved,) = compare_marks(marks_under(SCHEME), now)
    assert moved.name == "apprentice-05"
    assert moved.why == (
        "the scheme's limits are others",
        "sensor and thermostat / thermostat-height: 1 of 1, was 0 of 1; 1 right, was 0",
    )


def test_a_change_of_the_pass_mark_changes_an_outcome() -> None:
    now = marks_under(SCHEME.replace("pass_mark: 49", "pass_mark: 17"))
    (moved,) = compare_marks(marks_under(SCHEME), now)
    assert moved.why == ("the pass mark is 17, not 49", "passed, where it was not passed")


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"marks_format": 1}', "[" * 10_000])
def test_what_is_no_marks_file_is_refused(text: str) -> None:
    with pytest.raises(EarlierError):
        compare_marks(text, '{"submissions": []}')
