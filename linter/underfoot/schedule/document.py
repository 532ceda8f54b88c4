"""The papers as values: parts with tables of cells, the same for every format."""

import math
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.caution import CAUTION

Cell = str | int | float | None
"""What stands in a table: text, a number in its column's unit, or nothing."""


_NOISE = 1e-6
Rounds = Literal["near", "up", "down"]


class Column(Struct, frozen=True, kw_only=True):
    """A column: `key` names it in files, `title` to people.

    `decimals` is how many a number has, None where text stands; what is the least or the most that
    may be `rounds` up or down, so that nothing within it as it is printed is outside. In a `blank`
    column somebody writes by hand what is not there yet. Where it `trims`, no noughts stand at a
    number's end. What is `spoken` is a key in files, and words for people.
    """

    key: str
    title: str
    unit: str | None = None
    decimals: int | None = None
    blank: bool = False
    trims: bool = False
    spoken: bool = False
    rounds: Rounds = "near"

    @property
    def head(self) -> str:
        """Title and unit."""
        return f"{self.title}, {self.unit}" if self.unit else self.title

    @property
    def is_figure(self) -> bool:
        """Whether numbers stand in it."""
        return self.decimals is not None


class Table(Struct, frozen=True, kw_only=True):
    """Rows of cells, one for each column. `says` stands below; `if_empty` in place of no rows.

    `named_by` are the columns that tell one row from another.
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    says: tuple[str, ...] = ()
    if_empty: str = "Nothing in this plan."
    named_by: tuple[str, ...] = ()


class Part(Struct, frozen=True, kw_only=True):
    """One of the papers: what it says first, then its tables."""

    key: str
    title: str
    says: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    closing: tuple[str, ...] = ()


class Head(Struct, frozen=True, kw_only=True):
    """Whose papers they are, and how the check judged the plan.

    `title` and the rest of the job are None where the plan does not say. `warning` is what it
    means for whoever works by the papers that the plan is not in order; empty where it is.
    """

    path: str
    title: str | None
    reference: str | None
    revision: str | None
    date: str | None
    site: str | None
    status: str
    verdict: str
    means: str
    counts: str
    warning: str

    @property
    def job_line(self) -> str:
        """Reference, revision, date, status, as they are known."""
        given = (self.reference, self.revision and f"revision {self.revision}", self.date)
        return " · ".join(part for part in (*given, self.status) if part)

    @property
    def verdict_line(self) -> str:
        """The verdict and what it means for the work."""
        return f"{self.verdict.upper()} {'–' if self.means else ''} {self.means}".strip()


class Papers(Struct, frozen=True, kw_only=True):
    """All that was asked for of one plan."""

    head: Head
    parts: tuple[Part, ...]
    caution: str = CAUTION


def without_empty_columns(table: Table) -> Table:
    """Leave out, for people, the columns in which nothing stands, but those to be written in."""
    kept = [
        place
        for place, column in enumerate(table.columns)
        if column.blank or any(row[place] is not None for row in table.rows)
    ]
    return replace(
        table,
        columns=tuple(table.columns[place] for place in kept),
        rows=tuple(tuple(row[place] for place in kept) for row in table.rows),
    )


def write_number(value: float, decimals: int) -> str:
    """Write a number with as many decimals as its column has, and no minus nought."""
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def write_cell(cell: Cell, column: Column) -> str:
    """Write a cell as people read it."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell.replace("_", " ").replace("rcd", "RCD") if column.spoken else cell
    decimals = column.decimals or 0
    text = write_number(round_to(cell, decimals, column.rounds), decimals)
    return text.rstrip("0").rstrip(".") if column.trims and "." in text else text


def as_number(value: float, column: Column) -> int | float:
    """Return a number as files hold it: the digits that are printed, and one more."""
    decimals = column.decimals or 0
    rounded = round_to(value, decimals + 1, column.rounds)
    # A sum may miss a whole number by its last digit, and on another Python does not.
    return round(rounded) if decimals == 0 and rounded == round(rounded) else rounded


def round_to(value: float, decimals: int, way: Rounds) -> float:
    """Round a number; up or down never past it by less than can be seen."""
    if way == "near" or not math.isfinite(value):
        return round(value, decimals)
    scale = 10.0**decimals
    near = round(value * scale)
    if abs(value * scale - near) < _NOISE:
        return near / scale
    return (math.ceil if way == "up" else math.floor)(value * scale) / scale
