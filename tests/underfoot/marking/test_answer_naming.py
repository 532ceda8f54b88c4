"""Answers by a roster, in several attempts, and by numbers: as plans have them."""

import re
from fractions import Fraction

from tests.underfoot.marking.answer_lists import named
from tests.underfoot.marking.demo import RULES
from tests.underfoot.marking.test_answer_class import KEY
from tests.underfoot.page.pages import read_words
from underfoot.marking.answer_judging import AnswerMarks, mark_list
from underfoot.marking.answer_naming import (
    choose_counted,
    number_attempts,
    number_by_lot,
    place_by_roster,
)
from underfoot.marking.answer_pages import write_answer_page, write_answers_class
from underfoot.marking.answer_results import measure_faults, table_of
from underfoot.marking.answers import Named
from underfoot.marking.marks import NOTHING
from underfoot.marking.pages import name_pages
from underfoot.marking.roster import place_names, read_roster
from underfoot.reading.problem import Problem

BOTH = (named("cut-length", "bedroom", "A4"), named("rcd", None, "C1"))
ONE, NONE = BOTH[:1], ()


def lists(**found: tuple[Named, ...]) -> tuple[AnswerMarks, ...]:
    """Return lists by file name, in which `_` stands for `-`."""
    return tuple(mark_list(name.replace("_", "-"), each, KEY) for name, each in found.items())


def told(marked: tuple[AnswerMarks, ...]) -> list[tuple[str, Fraction, int, int]]:
    return [(one.name, one.earned, one.attempt, one.attempts) for one in marked]


def test_the_last_or_the_best_of_several_attempts_counts() -> None:
    handed = number_attempts(lists(ada=BOTH, ada_2=ONE, bo_2=ONE, cy=NONE, cy_3=ONE))
    assert told(choose_counted(handed, "last")) == [
        ("ada", 2, 2, 2), ("bo-2", 2, 1, 1), ("cy", 2, 3, 2),
    ]  # fmt: skip
    assert told(choose_counted(handed, "best"))[0] == ("ada", 4, 1, 2)
    # Of two as good the later one; what cannot be read is never the best.
    twice = number_attempts(lists(ada=ONE, ada_2=ONE))
    broken = AnswerMarks(
        name="ada", judged=(), missed=KEY.faults, earned=Fraction(9), is_read=False, attempt=3
    )
    assert told(choose_counted((*twice, broken), "best")) == [("ada", 2, 2, 3)]


def test_two_files_of_one_name_are_two_attempts() -> None:
    handed = number_attempts((*lists(ada=ONE), *lists(ada=BOTH), *lists(ada_2=NONE)))
    assert [(one.name, one.attempt) for one in handed] == [("ada", 1), ("ada", 2), ("ada", 3)]


def placed(roster_text: str, *handed: AnswerMarks) -> tuple[AnswerMarks, ...]:
    roster, numbered = read_roster(roster_text), number_attempts(handed)
    places = place_names(roster, [one.name for one in numbered])
    return choose_counted(place_by_roster(numbered, roster, places, KEY), "last")


def test_a_roster_names_all_and_shows_who_handed_in_nothing() -> None:
    roster = "file,name\na1,Ada Ash\nb2,Bo Beech\nc3,Cy Cedar\n"
    marked = placed(roster, *lists(a1=BOTH, c3_2=ONE, stranger=NONE))
    # c3's first attempt was never handed in.
    assert told(marked) == [
        ("Ada Ash", 4, 1, 1), ("Bo Beech", 0, 0, 0), ("Cy Cedar", 2, 2, 1), ("stranger", 0, 1, 1),
    ]  # fmt: skip
    rows = {row[0]: row[1:] for row in table_of(marked, KEY)[1:]}
    assert rows["Bo Beech"] == [None, 0, *[None] * 5, "nothing handed in", None, None, ""]
    # Who handed in nothing missed no fault.
    assert [one.missed for one in measure_faults(marked, KEY)] == [
        ("stranger",), ("Cy Cedar", "stranger"),
    ]  # fmt: skip
    pages = name_pages([one.name for one in marked if not one.is_absent])
    page = write_answers_class(marked, KEY, RULES, pages, "Teasel Court")
    words = " ".join(read_words(page).split())
    assert "3 lists of answers · nothing from 1 · 2 faults" in words
    assert "Bo Beech nothing handed in –" in words
    assert "not readable" not in words
    assert not re.search(r'href="[^"]*Bo', page)


def test_pages_say_which_attempt_counts() -> None:
    marked = choose_counted(number_attempts(lists(ada=ONE, ada_2=BOTH, bo=ONE)), "last")
    pages = name_pages([one.name for one in marked])
    words = " ".join(read_words(write_answers_class(marked, KEY, RULES, pages, "x")).split())
    assert "of several attempts the last counts" in words
    assert "ada attempt 2 of 2 counts 4" in words
    assert "bo 2" in words
    own = " ".join(read_words(write_answer_page(marked[0], KEY, RULES)).split())
    assert "attempt 2 of 2, the last of them counts" in own
    assert "attempt" not in read_words(write_answer_page(marked[1], KEY, RULES))


def test_with_numbers_no_name_is_left_anywhere() -> None:
    said = named("wall-clearance", "ada", "A1 of Ada Ash")
    broken = AnswerMarks(
        name="ada-2", judged=(), missed=KEY.faults, earned=NOTHING,
        problems=(Problem(message="ada wrote this", path="", line=2, column=1, file="ada-2.yaml"),),
        is_read=False,
    )  # fmt: skip
    handed = (mark_list("ada", (said,), KEY), broken)
    numbers = number_by_lot(number_attempts(handed), {"ada": "S01"})
    by_roster = placed("file,name,number\nada,Ada Ash,S01\nbo,Bo Beech,S02\n", *handed)
    assert "Beech" not in repr(by_roster)
    for marked in (numbers, by_roster):
        assert {one.name for one in marked} <= {"S01", "S02"}
        assert not re.search(r"(?i)\bada\b", repr(marked))
    roster = read_roster("file,name,number\nada,Ada Ash,S01\n")
    places = place_names(roster, ["ada"])
    every = place_by_roster(number_attempts(handed), roster, places, KEY)
    assert not re.search(r"(?i)\bada\b", repr(every))
    assert every[0].judged[0].answer == named("wall-clearance", "S01", "A1 of S01")
