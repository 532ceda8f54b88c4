"""Tables that come back: CSV and XLSX read as rows of cells by their column's name."""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from msgspec import Struct

from underfoot.reading.source_text import ReadingEndedError, decode
from underfoot.reading.wording import join_words, show, suggest
from underfoot.reporting.layout import escape_invisible

MOST_ROWS = 20_000
_MOST_COLUMNS = 64
_MOST_UNPACKED_BYTES = 60_000_000
_LONGEST_CELL = 1_000
# As a spreadsheet writes it that divides columns by semicolons.
_DECIMAL_COMMA = re.compile(r"([+-]?[0-9]+),([0-9]+(?:\s*[^\s0-9,][^,]*)?)")

Given = str | float | bool | date
"""What a cell holds: text, a number, yes or no, a day."""


class TableError(Exception):
    """Says what is wrong with a table, and in which row; where in several, `rows` says each."""

    def __init__(self, said: str, rows: Sequence[str] = ()) -> None:
        super().__init__(said)
        self.rows = tuple(rows)


class Row(Struct, frozen=True, kw_only=True):
    """One row with its line in the file; cells that are empty are left out."""

    line: int
    cells: Mapping[str, Given]

    def text(self, key: str) -> str:
        """Return a cell as text, a whole number without its point; empty where there is none."""
        value = self.cells.get(key, "")
        if isinstance(value, float) and value.is_integer():
            return str(int(value))
        return str(value)


def read_rows(
    source: bytes, *, needed: Sequence[str], known: Sequence[str], sheet: str | None = None
) -> list[Row]:
    """Read a table whose first row names its columns; which of the two it is, its bytes say.

    Columns may be divided by commas, semicolons or tabs; where by semicolons or tabs, a number's
    comma is its decimal mark. Of a book the sheet of the given name is read, else the first.
    Columns that are not `known` are refused. TableError.
    """
    lines = _read_book(source, sheet) if source.startswith(b"PK") else _read_text(source)
    if not lines:
        raise TableError(f"it is empty: its first line names the columns {join_words(needed)}")
    head = [escape_invisible(str(cell)).strip().lower() for cell in lines[0]]
    _see_that_head_is_sound(head, needed, known)
    rows = []
    for line, cells in enumerate(lines[1:], 2):
        found = {
            key: value
            for key, cell in zip(head, cells, strict=False)
            if key and (value := _clean(cell, line)) != ""
        }
        if found:
            rows.append(Row(line=line, cells=found))
    return rows


def _see_that_head_is_sound(
    head: Sequence[str], needed: Sequence[str], known: Sequence[str]
) -> None:
    for key in head:
        if key and key not in known:
            near = suggest(key, known) or f": the columns are {join_words(known)}"
            raise TableError(f"there is no column {show(key)}{near}")
    for key in needed:
        if key not in head:
            raise TableError(f"its first line names no column `{key}`")
    named = [key for key in head if key]
    if len(set(named)) < len(named):
        raise TableError("its first line names a column twice")


def _clean(cell: Any, line: int) -> Given:
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, bool | date):
        return cell
    if isinstance(cell, int | float):
        return float(cell)
    text = str(cell if cell is not None else "").strip()
    if len(text) > _LONGEST_CELL:
        raise TableError(f"line {line}: a cell is longer than {_LONGEST_CELL} characters")
    # The apostrophe that keeps text from being a formula is no part of it.
    return text[1:] if text.startswith("'") else text


def _read_text(source: bytes) -> list[list[Any]]:
    try:
        text = decode(source)
    except ReadingEndedError as error:
        raise TableError(f"line {error.problem.line}: {error.problem.message}") from None
    first = text.partition("\n")[0]
    divider = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=divider, strict=True)
    lines: list[list[Any]] = []
    try:
        for line in reader:
            if any("\n" in cell or "\r" in cell for cell in line):
                raise csv.Error
            _see_that_it_fits(len(lines), len(line))
            lines.append(line if divider == "," else [_with_point(cell) for cell in line])
    except csv.Error:
        raise TableError(
            f"line {len(lines) + 1} cannot be read: it is too long, or a quotation mark in it is "
            "not closed"
        ) from None
    return lines


def _with_point(cell: str) -> str:
    found = _DECIMAL_COMMA.fullmatch(cell.strip())
    return f"{found[1]}.{found[2]}" if found else cell


def _see_that_it_fits(rows: int, columns: int) -> None:
    if rows > MOST_ROWS:
        raise TableError(f"it has more than the {MOST_ROWS} rows that are read")
    if columns > _MOST_COLUMNS:
        raise TableError(f"line {rows + 1} has more than the {_MOST_COLUMNS} columns that are read")


def _read_book(source: bytes, sheet: str | None) -> list[list[Any]]:
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise TableError(
            "reading XLSX needs the extra 'schedule': pip install 'underfoot[schedule]'"
        ) from None
    try:
        with zipfile.ZipFile(io.BytesIO(source)) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
        if unpacked > _MOST_UNPACKED_BYTES:
            raise TableError(
                f"it unpacks to more than the {_MOST_UNPACKED_BYTES / 1e6:.0f} MB that are read"
            )
        # Formulas are not followed: what the spreadsheet worked out when it was saved counts.
        worked_out, typed = (
            load_workbook(io.BytesIO(source), read_only=True, data_only=data_only)
            for data_only in (True, False)
        )
        named = sheet if sheet in worked_out.sheetnames else worked_out.sheetnames[0]
        lines = _take_lines(worked_out[named].iter_rows(values_only=True))
        _see_that_formulas_are_worked_out(lines, typed[named].iter_rows(values_only=True))
        return lines
    except (TableError, MemoryError):
        raise
    except Exception as error:  # whatever a damaged book does to its reader
        raise TableError(f"it cannot be read as XLSX: {type(error).__name__}") from None


def _see_that_formulas_are_worked_out(
    lines: Sequence[Sequence[Any]], typed: Iterable[Sequence[Any]]
) -> None:
    """Refuse a formula of which nothing stands in the book: it would be taken for a blank."""
    for number, (cells, as_typed) in enumerate(zip(lines, typed, strict=False), 1):
        for place, cell in enumerate(as_typed):
            is_blank = place >= len(cells) or cells[place] == ""
            if is_blank and isinstance(cell, str) and cell.startswith("="):
                raise TableError(
                    f"line {number}: {show(cell)} is a formula that nothing has worked out: write "
                    "what it comes to, or save the book by the program that reckons it"
                )


def _take_lines(rows: Iterable[Sequence[Any]]) -> list[list[Any]]:
    lines: list[list[Any]] = []
    for row in rows:
        cells = ["" if cell is None else cell for cell in row]
        while cells and cells[-1] == "":
            cells.pop()
        _see_that_it_fits(len(lines), len(cells))
        lines.append(cells)
    return lines
