"""The mark sheet as CSV and XLSX, read back."""

import csv
import io
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from openpyxl import load_workbook

from tests.underfoot.marking.demo import FOLDER, mark_class
from underfoot.marking.mark_sheet import table_of, write_csv, write_xlsx
from underfoot.marking.results import ClassMarks
from underfoot.reporting.spreadsheet import safe_text

COMMENTS = (FOLDER / "comments.yaml").read_text("utf-8")
HOSTILE = [
    '=HYPERLINK("http://example.invalid","open")',
    "+1+1", "-2", "@SUM(A1)", "\t=1", " =1", "\uff1d1",
]  # fmt: skip


def named(marks: ClassMarks, name: str) -> ClassMarks:
    sheets = (replace(marks.sheets[0], name=name), *marks.sheets[1:])
    return replace(marks, sheets=sheets)


def cells(book: bytes, sheet: str = "Marks") -> list[list[Any]]:
    read = load_workbook(io.BytesIO(book))
    return [[cell.value for cell in row] for row in read[sheet].iter_rows()]


def test_csv_and_xlsx_hold_the_same_marks() -> None:
    marks = mark_class(COMMENTS)
    rows = list(csv.reader(io.StringIO(write_csv(marks).removeprefix("\ufeff"))))
    book = cells(write_xlsx(marks))
    assert len(rows) == len(book) == 13
    assert rows == [["" if cell is None else str(cell) for cell in row] for row in book]
    head, twelfth = book[0], book[12]
    by_head = dict(zip(head, twelfth, strict=True))
    assert by_head["apprentice"] == "apprentice-12"
    assert by_head["tool's mark"] == by_head["final mark"] == 55
    assert by_head["late"] == -4
    assert by_head["method (of 10)"] == 4
    assert (
        sum(value for key, value in by_head.items() if " (of " in str(key)) + by_head["late"] == 55
    )


def test_the_second_sheet_gives_every_reason() -> None:
    marks = mark_class()
    reasons = cells(write_xlsx(marks), "Reasons")
    assert len(reasons) == 1 + sum(len(sheet.counted.rows) for sheet in marks.sheets)
    assert ["apprentice-02", "strips", "wall-clearance", 6, 7,
            "6 of 7 right. Wrong: A1 (finding 1). 6/7 × 7 = 6."] in reasons  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_never_a_formula(name: str) -> None:
    marks = named(mark_class(), name)
    book = load_workbook(io.BytesIO(write_xlsx(marks)))
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
    assert str(book["Marks"]["A2"].value).startswith("'")
    rows = list(csv.reader(io.StringIO(write_csv(marks).removeprefix("\ufeff"))))
    assert rows[1][0].startswith("'")


@given(st.text(max_size=40))
def test_no_text_begins_a_formula(text: str) -> None:
    safe = safe_text(text)
    assert not safe.lstrip().startswith(("=", "+", "-", "@"))


def test_the_same_bytes_each_time() -> None:
    marks = mark_class(COMMENTS)
    assert write_xlsx(marks) == write_xlsx(marks)
    assert write_csv(marks) == write_csv(marks)


def test_two_markers_stand_side_by_side() -> None:
    second = """comments_format: 1
marker: second marker
submissions:
  apprentice-04: {adjust: [{by: -2, because: nothing was explained}]}
  apprentice-06: {adjust: [{by: 500, because: a slip of the pen}]}
  nobody: {comment: who is this}
"""
    marks = mark_class(COMMENTS, second)
    head, *rows = table_of(marks)
    by_name = {row[0]: dict(zip(head, row, strict=True)) for row in rows}
    fourth = by_name["apprentice-04"]
    assert (fourth["mark by the trainer"], fourth["mark by second marker"]) == (65, 62)
    assert fourth["difference"] == -3
    # Nobody gets more than the scheme's marks.
    assert by_name["apprentice-06"]["mark by second marker"] == 70
    assert marks.strangers == ("nobody",)
