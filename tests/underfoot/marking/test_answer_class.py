"""A class's answers to an exercise: the table as CSV and XLSX, and the trainer's page."""

import csv
import io
import re
from fractions import Fraction
from typing import Any

from openpyxl import load_workbook

from tests.underfoot.marking.answer_lists import fault, key, named
from tests.underfoot.marking.demo import RULES
from tests.underfoot.page.pages import HOSTILE, read_words
from underfoot.checking.caution import CAUTION
from underfoot.marking.answer_judging import AnswerMarks, mark_list
from underfoot.marking.answer_pages import write_answers_class
from underfoot.marking.answer_results import (
    list_accused,
    measure_faults,
    spread,
    table_of,
    write_csv,
    write_xlsx,
)
from underfoot.marking.marks import NOTHING
from underfoot.marking.pages import name_pages
from underfoot.reading.problem import Problem

KEY = key(
    fault("cut-length", "bedroom", "A4", says="It was cut anywhere.", message="A4 is too long."),
    fault("rcd", None, "C1", says="The RCD was saved.", message="There is no RCD."),
    place_only=Fraction(1, 2),
)
ADA = mark_list(
    "ada",
    (named("cut-length", "bedroom", "A4"), named("rcd", None, "C1")),
    KEY,
)
BO = mark_list(
    "bo",
    (named("cut-length", "bedroom", "A3"), named("strip-gap", "bedroom", "A1")),
    KEY,
)
CY = mark_list(
    "cy",
    (named("strip-gap", "bedroom", "A1"), named("rcd", None, "C1")),
    KEY,
)
DI = AnswerMarks(
    name="di",
    judged=(),
    missed=KEY.faults,
    earned=NOTHING,
    problems=(Problem(message="no list of faults", path="", line=2, column=1),),
    is_read=False,
)
CLASS = (ADA, BO, CY, DI)


def test_numbers_are_numbers_and_what_cannot_be_read_has_none() -> None:
    head, *rows = table_of(CLASS, KEY)
    assert head == [
        "apprentice", "attempt", "attempts", "mark", "% of 4", "found, of 2", "found in part",
        "wrong accusations", "outcome", "1 cut-length, bedroom · A4", "2 rcd, C1", "remarks",
    ]  # fmt: skip
    assert rows == [
        ["ada", 1, 1, 4, 100, 2, 0, 0, "marked", 2, 2, ""],
        ["bo", 1, 1, 0, 0, 0, 1, 1, "marked", 0.5, 0, "cut-length: `A4`?"],
        ["cy", 1, 1, 1, 25, 1, 0, 1, "marked", 0, 2, ""],
        ["di", 1, 1, None, None, None, None, None, "not readable", None, None,
         "line 2: no list of faults"],
    ]  # fmt: skip


def test_csv_and_xlsx_hold_the_same_table() -> None:
    read = list(csv.reader(io.StringIO(write_csv(CLASS, KEY).removeprefix("\ufeff"))))
    assert read[1] == ["ada", "1", "1", "4", "100", "2", "0", "0", "marked", "2", "2", ""]
    book = load_workbook(io.BytesIO(write_xlsx(CLASS, KEY)))
    assert book.sheetnames == ["Answers", "Named", "Faults"]

    def values(sheet: str) -> list[list[Any]]:
        return [[cell.value for cell in row] for row in book[sheet].iter_rows()]

    assert values("Answers")[3][:8] == ["cy", 1, 1, 1, 25, 1, 0, 1]
    assert values("Named")[3] == [
        "bo", "cut-length", "bedroom", "A3", 0.5,
        "right kind and room, the thing not told or not quite", "`A4`?",
    ]  # fmt: skip
    # Who could not be read is counted nowhere.
    assert [row[4:] for row in values("Faults")[1:]] == [[1, 1, 1], [2, 0, 1]]
    assert write_xlsx(CLASS, KEY) == write_xlsx(CLASS, KEY)


def test_how_hard_a_fault_was_and_who_was_accused() -> None:
    first, second = measure_faults(CLASS, KEY)
    assert (first.found, first.partly, first.missed) == (("ada",), ("bo",), ("cy",))
    assert (second.found, second.partly, second.missed) == (("ada", "cy"), (), ("bo",))
    assert list_accused(CLASS) == (("strip-gap", "bedroom · A1", ("bo", "cy")),)
    assert spread(CLASS, KEY) == ((0, ("bo",)), (1, ("cy",)), (2, ("ada",)))


def test_the_class_page_says_who_found_what() -> None:
    pages = name_pages([one.name for one in CLASS])
    page = write_answers_class(CLASS, KEY, RULES, pages, "Teasel Court, bedroom")
    words = " ".join(read_words(page).split())
    assert "4 lists of answers · 2 faults, 4 marks · middle mark 1" in words
    assert "ada 4 ✓ ✓ 0" in words
    assert "bo 0 ½ – 1" in words
    assert "cy 1 – ✓ 1" in words
    assert "di not readable –" in words
    assert "1 cut length bedroom · A4 1 1 1 ada" in words
    assert "strip gap bedroom · A1 2 bo, cy" in words
    # What most did not find comes first; what all found would not come at all.
    assert re.search(r"What to teach next cut length not found by 1 .*RCD not found by 1", words)
    assert 'href="pages/ada.html"' in page
    assert CAUTION in words


def test_hostile_answers_stay_text_on_the_class_page_and_in_the_table() -> None:
    marked = [
        mark_list(text, (named("cut-length", text, text),), KEY) for text in (*HOSTILE, "=1+1")
    ]
    pages = name_pages([one.name for one in marked])
    page = write_answers_class(marked, KEY, RULES, pages, HOSTILE[0])
    assert not re.search(r"<script|<img|<svg onload|onerror=\"|onload=\"|\u202e", page)
    assert table_of(marked, KEY)[-1][0] == "'=1+1"


def test_a_class_of_which_nothing_can_be_read_has_its_page() -> None:
    for marked in ((DI,), ()):
        words = " ".join(
            read_words(write_answers_class(marked, KEY, RULES, {"di": "di.html"}, "-")).split()
        )
        assert "2 faults, 4 marks" in words
        assert "middle mark" not in words
