"""Tables as CSV and XLSX: the same bytes each time, and no formula that was slipped in."""

import csv
import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from typing import Any

from underfoot.reporting.layout import escape_invisible

# What a spreadsheet takes for the beginning of a formula, also after blanks.
_FORMULA = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_LONGEST_CELL = 32_000
Cell = str | int | float | None


def safe_text(text: str) -> str:
    """Return text that no spreadsheet takes for a formula: an apostrophe stands before it."""
    text = escape_invisible(text)[:_LONGEST_CELL]
    return f"'{text}" if _FORMULA.match(text) else text


def write_table(rows: Sequence[list[Cell]]) -> str:
    """Write rows of cells as CSV."""
    out = io.StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow(row)
    return "\ufeff" + out.getvalue()


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
    """Return the same book with no time of writing in it."""
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
