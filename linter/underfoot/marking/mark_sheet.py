"""The mark sheet as CSV and XLSX: the same bytes each time, and no formula that was slipped in."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from underfoot.marking.awarding import sum_by_topic
from underfoot.marking.figures import measure_rows
from underfoot.marking.marks import NOTHING, as_number
from underfoot.marking.moderation import Marked, find_overruled, say_changes
from underfoot.marking.results import FAILED, NOT_PASSED, PASSED, UNREAD, ClassMarks, Sheet
from underfoot.reporting.layout import escape_invisible

# What a spreadsheet takes for the beginning of a formula, also after blanks.
_FORMULA = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_LONGEST_CELL = 32_000
Cell = str | int | float | None


def safe_text(text: str) -> str:
    """Give text that no spreadsheet takes for a formula: an apostrophe stands before it."""
    text = escape_invisible(text)[:_LONGEST_CELL]
    return f"'{text}" if _FORMULA.match(text) else text


def table_of(marks: ClassMarks) -> list[list[Cell]]:
    """Give the mark sheet as rows of cells, its head first.

    `final mark` and `grade` are what may be taken over elsewhere: a number or a grade stands there
    only where the outcome lets it count.
    """
    scheme = marks.scheme
    topics = [topic.name for topic in scheme.topics]
    head: list[Cell] = ["apprentice", "file", "attempt", "attempts", "attempt that counts"]
    head += [safe_text(f"{t.name} (of {as_number(t.marks)})") for t in scheme.topics]
    head += ["late", "tool's mark", "tool's outcome"]
    for marker in marks.markers:
        head += [
            safe_text(f"{what} by {marker}")
            for what in ("adjusted", "overruled", "mark", "outcome")
        ]
    if len(marks.markers) == 2:
        head.append("difference")
    head += ["sum of marks", f"% of {as_number(scheme.marks)}", "outcome", "final mark"]
    head += ["grade"] if scheme.grades else []
    head += ["settled", "talk", "remarks"]
    return [head, *(_row(marks, sheet, topics) for sheet in marks.sheets)]


def _row(marks: ClassMarks, sheet: Sheet, topics: Sequence[str]) -> list[Cell]:
    counted = sheet.counted
    sums = sum_by_topic(counted.rows)
    row: list[Cell] = [safe_text(sheet.name), safe_text(counted.shown)]
    row += [None, 0, None] if sheet.is_absent else [counted.number, len(sheet.attempts)]
    row += [] if sheet.is_absent else [f"the {marks.scheme.attempt}"]
    if counted.is_read:
        row += [as_number(sums.get(topic, (NOTHING, NOTHING))[0]) for topic in topics]
    else:
        row += [None for _ in topics]
    row += [as_number(-sheet.late), as_number(sheet.mark), sheet.outcome]
    by_marker = {one.marker: one for one in sheet.markers}
    given = [by_marker.get(marker) for marker in marks.markers]
    for one in given:
        row += [None] * 4 if one is None else _marker_cells(one, sheet)
    if len(given) == 2:
        first, second = given
        row.append(as_number(second.mark - first.mark) if first and second else None)
    share = as_number(Fraction(round(100 * sheet.final / marks.scheme.marks, 1)))
    row += [as_number(sheet.final), share, sheet.final_outcome, final_mark(sheet)]
    row += [grade_cell(sheet)] if marks.scheme.grades else []
    settled = sheet.settled
    row.append(safe_text(settled.said or "") if settled else "")
    row.append(safe_text(settled.talk or "") if settled else "")
    row.append(safe_text("; ".join(list_remarks(sheet))))
    return row


def _marker_cells(one: Marked, sheet: Sheet) -> list[Cell]:
    changed = find_overruled(sheet.counted.rows, one.comment)
    overruled = sum((each.marks - row.earned for row, each in changed), NOTHING)
    return [as_number(one.comment.by), as_number(overruled), as_number(one.mark), one.outcome]


def final_mark(sheet: Sheet) -> Cell:
    """Give the mark that may be recorded, or why there is none."""
    if sheet.final_outcome in (PASSED, NOT_PASSED):
        return as_number(sheet.final)
    return failed_word(sheet)


def grade_cell(sheet: Sheet) -> Cell:
    """Give the grade, a number where it is one, or why there is none."""
    if sheet.grade is None:
        return failed_word(sheet)
    is_number = sheet.grade.isascii() and sheet.grade.isdigit()
    return int(sheet.grade) if is_number else safe_text(sheet.grade)


def failed_word(sheet: Sheet) -> Cell:
    """Say what stands in place of a mark or grade: nothing where nothing is decided."""
    if sheet.final_outcome == FAILED:
        return "failed"
    return sheet.final_outcome if sheet.final_outcome in (NOT_PASSED, UNREAD) else None


def list_remarks(sheet: Sheet) -> list[str]:
    """List what a trainer must know beside the mark."""
    counted = sheet.counted
    if sheet.is_absent:
        return []
    said = [f"failed by {one}" for one in counted.failed_by]
    said += [f"to be looked at: {one}" for one in counted.flagged]
    said += [f"brief changed: {one.said}" for one in counted.changes]
    said += [f"not counted: {one}" for one in counted.ignored]
    said += [f"not readable: {one.message}" for one in counted.report.problems[:1]]
    if counted.report.faults:
        said.append("the tool crashed on a rule: mark it by hand")
    for one in sheet.markers:
        said += [f"overruled by {one.marker}: {each}" for each in say_changes(one, counted.rows)]
        said += [f"adjusted by {one.marker}: {each.because}" for each in one.comment.adjust]
    return said


def write_csv(marks: ClassMarks) -> str:
    """Write the mark sheet as CSV, RFC 4180, with a byte order mark for spreadsheets."""
    return write_table(table_of(marks))


def write_table(rows: Sequence[list[Cell]]) -> str:
    """Write rows of cells as CSV."""
    out = io.StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow(row)
    return "\ufeff" + out.getvalue()


def write_xlsx(marks: ClassMarks) -> bytes:
    """Write the mark sheet, every row's reasoning, and how hard each row was, as XLSX."""
    return write_book(
        {
            "Marks": table_of(marks),
            "Reasons": list(_reasons(marks)),
            "Rows": list(_hardness(marks)),
        }
    )


def write_book(sheets: Mapping[str, list[list[Cell]]]) -> bytes:
    """Write sheets of rows of cells, by their names, as XLSX."""
    from openpyxl import Workbook

    book = Workbook()
    for at, (title, rows) in enumerate(sheets.items()):
        sheet: Any = book.active if at == 0 else book.create_sheet()
        sheet.title = title
        _fill(sheet, rows)
    stream = io.BytesIO()
    book.save(stream)
    return _without_time(stream.getvalue())


def _reasons(marks: ClassMarks) -> Iterator[list[Cell]]:
    yield ["apprentice", "topic", "row", "earned", "of marks", "reasoning"]
    for sheet in marks.sheets:
        for row in sheet.counted.rows:
            yield [
                safe_text(sheet.name),
                safe_text(row.topic),
                safe_text(row.label),
                as_number(row.earned),
                as_number(row.marks),
                safe_text(" ".join(row.reasons)),
            ]


def _hardness(marks: ClassMarks) -> Iterator[list[Cell]]:
    yield ["topic", "row", "marks", "earned, % of marks", "all of it", "nothing", "of readable"]
    for one in measure_rows(marks):
        yield [
            safe_text(one.topic),
            safe_text(one.row),
            as_number(one.marks),
            round(one.percent, 1),
            one.full,
            one.none,
            one.of,
        ]


def _fill(sheet: Any, rows: list[list[Cell]]) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    widths = [8] * len(rows[0])
    for y, row in enumerate(rows, 1):
        for x, value in enumerate(row, 1):
            cell = sheet.cell(row=y, column=x)
            if isinstance(value, str):
                cell.value = _printable(value)
                cell.data_type = "s"  # text, whatever it looks like
                cell.alignment = Alignment(vertical="top", wrap_text=len(value) > 24)
                widths[x - 1] = max(widths[x - 1], min(60 if y > 1 else 16, len(value) + 2))
            else:
                cell.value = value
                cell.alignment = Alignment(vertical="top")
    for cell in sheet[1]:
        cell.font = Font(bold=True)
        cell.fill = PatternFill("solid", fgColor="FFE4E3DF")
        cell.alignment = Alignment(vertical="top", wrap_text=True)
    for x, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(x)].width = width
    sheet.freeze_panes = "B2"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"


def _printable(text: str) -> str:
    # XML 1.0 holds no other control characters; `escape_invisible` has written out most.
    return re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", "?", text)


_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(<)")


def _without_time(book: bytes) -> bytes:
    """Give the same book with no time of writing in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "docProps/core.xml":
                content = _STAMP.sub(rb"\g<1>2000-01-01T00:00:00Z\g<2>", content)
            about = zipfile.ZipInfo(name, (2000, 1, 1, 0, 0, 0))
            about.compress_type = zipfile.ZIP_DEFLATED
            about.external_attr = 0o600 << 16
            new.writestr(about, content)
    return out.getvalue()
