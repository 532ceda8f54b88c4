"""Several markings of a term, joined."""

import csv
import io
import json
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.marking.demo import RULES, demo_attempts, demo_scheme, mark_class
from underfoot.marking.marks_json import write_marks
from underfoot.marking.results import gather_class
from underfoot.marking.term import Habit, Standing, Term, TermError, join_term, read_marking
from underfoot.marking.term_pages import write_course, write_term
from underfoot.marking.term_sheet import write_term_csv, write_term_text


def one_marking(**changes: object) -> str:
    """A marking of two: Ada broke two rules, Bo none; one was shown kept."""
    told = {
        "marks_format": 1,
        "scheme": {"title": "The hall", "marks": 10, "pass_mark": 5, "counts": ["error"]},
        "submissions": [
            {
                "name": "Ada", "counted_attempt": 1, "final_mark": 6, "final_outcome": "passed",
                "grade": "1",
                "attempts": [{
                    "attempt": 1,
                    "findings": [{"rule": "rcd", "severity": "error"}] * 2
                    + [{"rule": "tidy", "severity": "note"}],
                    "shown": ["rcd", "tidy", "walls"], "rows": [],
                }],
            },
            {"name": "Bo", "counted_attempt": None, "final_mark": 0,
             "final_outcome": "nothing handed in", "attempts": []},
        ],
        **changes,
    }  # fmt: skip
    return json.dumps(told)


def test_a_marking_is_read() -> None:
    marking = read_marking(one_marking())
    assert (marking.title, marking.marks, marking.pass_mark) == ("The hall", 10, 5)
    assert marking.standings == {
        "Ada": Standing(
            mark=6,
            outcome="passed",
            grade="1",
            broken={"rcd": 2},
            kept=frozenset({"tidy", "walls"}),
        ),
        "Bo": Standing(
            mark=None, outcome="nothing handed in", grade=None, broken={}, kept=frozenset()
        ),
    }


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", one_marking(marks_format=2), one_marking(scheme={}),
     one_marking(submissions=[{"name": "x"}]), "[" * 100_000],
)  # fmt: skip
def test_what_is_no_marks_file_is_refused(text: str) -> None:
    with pytest.raises(TermError):
        read_marking(text)


def test_wrong_still_is_what_was_wrong_when_last_shown() -> None:
    assert Habit(rule="rcd", times=(1, None, 2)).is_wrong_still
    assert Habit(rule="rcd", times=(1, None, None)).is_wrong_still
    assert not Habit(rule="rcd", times=(1, 0, None)).is_wrong_still
    assert not Habit(rule="rcd", times=(None, None)).is_wrong_still


def term() -> Term:
    """Ada: rcd wrong twice; walls wrong, then right. Cy was there the second time alone."""
    second = json.loads(one_marking())
    second["scheme"]["title"] = "The attic"
    third = json.loads(json.dumps(second["submissions"][0]))
    third["name"] = "Cy"
    third["attempts"][0]["findings"] = [{"rule": "=walls", "severity": "error"}]
    third["final_outcome"] = "failed outright"
    third["grade"] = None
    second["submissions"].append(third)
    first = json.loads(one_marking())
    first["submissions"][0]["attempts"][0]["findings"].append(
        {"rule": "walls", "severity": "error"}
    )
    return join_term([read_marking(json.dumps(one)) for one in (first, second)])


def test_courses_are_joined_by_name() -> None:
    ada, bo, cy = term().courses
    assert [habit.rule for habit in ada.still] == ["rcd"]
    assert [habit.rule for habit in ada.mended] == ["walls"]
    assert ada.habits[0].times == (2, 2)
    assert bo.still == ()
    assert cy.standings[0] is None
    assert term().still == (("=walls", ("Cy",)), ("rcd", ("Ada",)))


def test_text_csv_and_pages_say_it() -> None:
    text = "\n".join(write_term_text(term()))
    assert "Ada  6 1, 6 1; still wrong: rcd (2 times)" in text
    assert "Bo  nothing handed in, nothing handed in; still wrong: nothing" in text
    assert "CAUTION" in text
    head, *rows = list(csv.reader(io.StringIO(write_term_csv(term()).removeprefix("\ufeff"))))
    assert head[1:4] == [
        "1 The hall: mark of 10", "1 The hall: outcome", "1 The hall: grade",
    ]  # fmt: skip
    assert rows[0] == ["Ada", "6", "passed", "1", "6", "passed", "1", "rcd"]
    # A mark of whoever failed outright is no number that could be recorded.
    assert rows[2] == ["Cy", "", "", "", "", "failed outright", "", "'=walls"]
    ada = write_course(term(), term().courses[0], RULES)
    assert "Cy" not in ada
    assert "Put right since" in ada
    assert "1: wrong, 2 × · 2: wrong, 2 ×" in ada
    page = write_term(term(), {"Ada": "Ada.html", "Bo": "Bo.html", "Cy": "Cy.html"})
    assert 'href="pages/Ada.html"' in page
    assert "2 times" in page


def test_real_marks_are_joined() -> None:
    first = read_marking(write_marks(mark_class(), "0"))
    few = [one for one in demo_attempts() if one.name != "apprentice-02"]
    later = gather_class(demo_scheme(), few, (), expected=("apprentice-02",))
    joined = join_term([first, read_marking(write_marks(later, "0"))])
    second = next(one for one in joined.courses if one.name == "apprentice-02")
    # Nothing was handed in since, so that both are wrong still.
    assert {habit.rule for habit in second.still} >= {"wall-clearance", "membrane-overlap"}
    assert "rcd" in first.standings["apprentice-02"].kept
    assert "rcd" not in first.standings["apprentice-05"].kept


def test_the_command_joins_and_refuses(tmp_path: Path, ask: Ask) -> None:
    (tmp_path / "one.json").write_text(one_marking(), "utf-8")
    (tmp_path / "bad.json").write_text("{}", "utf-8")
    one, out = str(tmp_path / "one.json"), tmp_path / "out"
    assert "still wrong: rcd (2 times)" in ask("term", one, one, "--output", str(out)).out
    assert sorted(path.name for path in out.rglob("*.*")) == [
        "Ada.html", "Bo.html", "term.csv", "term.html",
    ]  # fmt: skip
    said = ask("term", one, str(tmp_path / "bad.json"), status=2).err
    assert "bad.json: it holds no marks of marks_format 1" in said
    ask("term", *[one] * 50)
    assert "51 files are more than a term's" in ask("term", *[one] * 51, status=2).err
