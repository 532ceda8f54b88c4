"""Readings that come back: a test sheet filled in -> tests as a plan writes them."""

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.facts.visits import STAGES
from underfoot.checking.mend import Edit
from underfoot.reading.quantities import QuantityError
from underfoot.reading.quantities import read as read_quantity
from underfoot.reading.wording import join_words, show, suggest
from underfoot.schedule.table_rows import Row, TableError, read_rows
from underfoot.schedule.test_sheet import COLUMNS, SHEET, STRIP, UNITS

_KEYS = tuple(column.key for column in COLUMNS)
_NEEDED = ("circuit", "stage", "what", "reading")
# As the plan has them, which is also the order in which they are written.
_WORDS: Mapping[str, tuple[str, ...]] = {"against": ("grid", "earth")}
_ORDER = ("date", "load_resistance", "strips", "insulation_resistance", "test_voltage", "against",
          "thermostat_disconnected", "rcd_trip_time", "ambient", "tested_by")  # fmt: skip
_WHAT = (*(key for key in _ORDER if key != "strips"), STRIP)
_YES = {"yes": True, "true": True, "no": False, "false": False}
# More rows than these are counted, not told.
_MOST_TOLD = 12
_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Visit(Struct, frozen=True, kw_only=True):
    """What was read of a circuit at a stage, by the plan's keys and as a plan writes it."""

    circuit: str
    stage: str
    readings: Mapping[str, Any]

    @property
    def data(self) -> dict[str, Any]:
        """The visit as it stands in a plan."""
        return {"circuit": self.circuit, "stage": self.stage, **self.readings}


def read_readings(source: bytes, facts: Facts) -> tuple[Visit, ...]:
    """Read a filled sheet, CSV or XLSX: rows without a reading are left.

    TableError has all rows that cannot be taken, up to a few.
    """
    found: dict[tuple[str, str], dict[str, Any]] = {}
    wrong: list[str] = []
    for row in read_rows(source, needed=_NEEDED, known=_KEYS, sheet=SHEET):
        if "reading" not in row.cells:
            continue
        try:
            _take(row, facts, found)
        except TableError as error:
            wrong.append(f"line {row.line}: {error}")
    if len(wrong) == 1:
        raise TableError(wrong[0])
    if wrong:
        raise TableError(f"{len(wrong)} rows cannot be taken", rows=wrong[:_MOST_TOLD])
    return tuple(
        Visit(
            circuit=circuit,
            stage=stage,
            readings={key: readings[key] for key in _ORDER if key in readings},
        )
        for (circuit, stage), readings in found.items()
    )


def _take(row: Row, facts: Facts, found: dict[tuple[str, str], dict[str, Any]]) -> None:
    circuit, stage, what = (row.text(key) for key in ("circuit", "stage", "what"))
    _see_known("circuit", circuit, facts.circuits)
    _see_known("stage", stage, STAGES)
    _see_known("what", what, _WHAT)
    readings = found.setdefault((circuit, stage), {})
    key, holder = what, readings
    if what == STRIP:
        key = row.text("strip")
        own = [element.id for element in facts.circuits[circuit].elements]
        _see_known("strip", key, own)
        holder = readings.setdefault("strips", {})
    if key in holder:
        raise TableError(f"{show(key)} of circuit {circuit} ({stage}) is read twice")
    holder[key] = _read_value(what, row)


def _see_known(column: str, value: str, known: Iterable[str]) -> None:
    names = tuple(known)
    if value in names:
        return
    listed = f": it is one of {join_words(names)}" if len(names) <= 12 else ""
    near = suggest(value, names) or listed
    raise TableError(f"`{column}` {show(value)} is not known{near}")


def _read_value(what: str, row: Row) -> Any:
    value = row.cells["reading"]
    if what == "date":
        return _read_day(value)
    if what in _WORDS:
        _see_known("reading", str(value).lower(), _WORDS[what])
        return str(value).lower()
    if what == "thermostat_disconnected":
        said = value if isinstance(value, bool) else _YES.get(str(value).lower())
        if said is None:
            raise TableError(f"{show(str(value))} is no answer: write yes or no")
        return said
    if what in UNITS:
        return _read_quantity(row.text("reading") if isinstance(value, str) else value, what)
    return str(value)


def _read_day(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    text = str(value)
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        raise TableError(f"there is no day {show(text)}") from None
    raise TableError(f"{show(text)} is no date: write year-month-day, as in 2026-09-28")


def _read_quantity(value: object, what: str) -> str:
    """Write a reading with its unit; a bare number is in the row's."""
    unit = UNITS[what]
    text = str(value).strip()
    if isinstance(value, float):
        if not math.isfinite(value):
            raise TableError(f"{show(text)} is no reading")
        text = f"{int(value)}" if value.is_integer() and abs(value) < 1e15 else repr(value)
    elif isinstance(value, bool | date):
        raise TableError(f"{show(text)} is no reading: write a number, in {unit}")
    if text.startswith((">", "<")):
        raise TableError(
            f"{show(text)} says that the meter came to its end: write what it reaches, such as "
            f"{text.lstrip('<>= ') or '999'}, and say so in the plan's `note`"
        )
    written = f"{text} {unit}" if _NUMBER.fullmatch(text) else text
    written = written.replace("Ω", "ohm")
    try:
        read = read_quantity(written, unit)
    except QuantityError as error:
        raise TableError(str(error)) from None
    if read < 0 and what != "ambient":
        raise TableError(f"{show(text)} is less than nothing")
    return written


def make_edits(visits: Sequence[Visit], data: Mapping[str, Any]) -> tuple[tuple[Edit, ...], int]:
    """Return the edits that write visits into a plan's data, and how many stood there already.

    What is recorded is never changed: each visit is a test of its own, after the others. One that
    the plan has word for word is left.
    """
    tests = data.get("tests")
    recorded = tests if isinstance(tests, list) else []
    new = [visit.data for visit in visits if visit.data not in recorded]
    stood = len(visits) - len(new)
    if not new:
        return (), stood
    if tests is None:
        return (Edit(op="add", path=("tests",), value=new),), stood
    if not recorded:
        return (Edit(op="replace", path=("tests",), value=new),), stood
    return tuple(Edit(op="add", path=("tests", "-"), value=each) for each in new), stood
