"""The mark sheet as CSV and XLSX: the same bytes each time, and no formula that was slipped in."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

from underfoot.marking.awarding import sum_by_topic
from underfoot.marking.marks import NOTHING, as_number
from underfoot.marking.results import ClassMarks, Sheet
from underfoot.reporting.layout import reveal

# What a spreadsheet takes for the beginning of a formula, also after blanks.
_FORMULA = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_LONGEST_CELL = 32_000
Cell = str | int | float | None


def safe_text(text: str) -> str:
    """Give text that no spreadsheet takes for a formula: an apostrophe stands before it."""
    text = reveal(text)[:_LONGEST_CELL]
    return f"'{text}" if _FORMULA.match(text) else text


def table_of(marks: ClassMarks) -> list[list[Cell]]:
    """Give the mark sheet as rows of cells, its head first."""
    scheme = marks.scheme
    topics = [topic.name for topic in scheme.topics]
    head: list[Cell] = ["apprentice", "file", "attempt", "attempts"]
    head += [safe_text(f"{t.name} (of {as_number(t.marks)})") for t in scheme.topics]
    head += ["late", "tool's mark", "outcome"]
    for marker in marks.markers:
        head += [safe_text(f"adjusted by {marker}"), safe_text(f"mark by {marker}")]
    if len(marks.markers) == 2:
        head.append("difference")
    head += ["final mark", f"of {as_number(scheme.marks)}", "final outcome", "remarks"]
    return [head, *(_row(marks, sheet, topics) for sheet in marks.sheets)]


def _row(marks: ClassMarks, sheet: Sheet, topics: Sequence[str]) -> list[Cell]:
    counted = sheet.counted
    sums = sum_by_topic(counted.rows)
    row: list[Cell] = [
        safe_text(sheet.name),
        safe_text(counted.shown),
        counted.number,
        len(sheet.attempts),
    ]
    row += [as_number(sums.get(topic, (NOTHING, NOTHING))[0]) for topic in topics]
    row += [as_number(-sheet.late), as_number(sheet.mark), sheet.outcome]
    by_marker = {one.marker: one for one in sheet.markers}
    given: list[Fraction] = []
    for marker in marks.markers:
        one = by_marker.get(marker)
        given.append(one.mark if one else sheet.mark)
        row += [as_number(one.comment.by) if one else 0, as_number(given[-1])]
    if len(marks.markers) == 2:
        row.append(as_number(given[1] - given[0]))
    share = round(float(100 * sheet.final / marks.scheme.marks), 1)
    row += [as_number(sheet.final), f"{share:g} %", sheet.final_outcome]
    row.append(safe_text("; ".join(list_remarks(sheet))))
    return row


def list_remarks(sheet: Sheet) -> list[str]:
    """List what a trainer must know beside the mark."""
    counted = sheet.counted
    said = [f"failed by {one}" for one in counted.failed_by]
    said += [f"brief changed: {one.said}" for one in counted.changes]
    said += [f"not counted: {one}" for one in counted.ignored]
    said += [f"not readable: {one.message}" for one in counted.report.problems[:1]]
    if counted.report.faults:
        said.append("the tool crashed on a rule: mark it by hand")
    return said


def write_csv(marks: ClassMarks) -> str:
    """Write the mark sheet as CSV, RFC 4180, with a byte order mark for spreadsheets."""
    out = io.StringIO()
    writer = csv.writer(out)
    for row in table_of(marks):
        writer.writerow(row)
    return "\ufeff" + out.getvalue()


def write_xlsx(marks: ClassMarks) -> bytes:
    """Write the mark sheet, and every row's reasoning on a second sheet, as XLSX."""
    from openpyxl import Workbook

    book = Workbook()
    first: Any = book.active
    first.title = "Marks"
    _fill(first, table_of(marks))
    _fill(book.create_sheet("Reasons"), list(_reasons(marks)))
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
                safe_text(row.what),
                as_number(row.earned),
                as_number(row.marks),
                safe_text(" ".join(row.reasons)),
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
    # XML 1.0 holds no other control characters; `reveal` has written out most.
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
