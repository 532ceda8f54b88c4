"""A class's roster: who is expected, under which name or number, and whose file is whose."""

import csv
import io
import re
from collections.abc import Sequence

from msgspec import Struct

from underfoot.reading.wording import join_words, show, suggest
from underfoot.reporting.layout import escape_invisible

COLUMNS = ("file", "name", "number")
_MOST_ROWS = 5000
_ENDING = re.compile(r"\.(yaml|yml|json)$", re.IGNORECASE)
_LATER = re.compile(r"(.+)-([2-9]|[1-9][0-9])")


class RosterError(Exception):
    """Says what is wrong with a roster."""


class Entry(Struct, frozen=True, kw_only=True):
    """One apprentice: how the submission is called, the person's name, and the number."""

    file: str
    name: str
    number: str

    @property
    def shown(self) -> str:
        """How the results call the apprentice: by the number where there is one, else by name."""
        return self.number or self.name or self.file


class Roster(Struct, frozen=True, kw_only=True):
    """All who are expected, in the roster's order."""

    entries: tuple[Entry, ...]

    @property
    def hides_names(self) -> bool:
        """Whether results go by numbers."""
        return any(entry.number for entry in self.entries)

    def names(self) -> dict[str, str]:
        """Return how each is shown, by each way in which a file may name them."""
        found: dict[str, str] = {}
        for entry in self.entries:
            for called in (entry.file, entry.name, entry.number):
                if called:
                    found.setdefault(called, entry.shown)
        return found


def read_roster(text: str) -> Roster:
    """Read a roster: CSV with a head of `file`, `name` and `number`, of which `file` is needed.

    Columns may be divided by commas, semicolons or tabs, as spreadsheets write them.
    """
    text = text.removeprefix("\ufeff")
    first = text.partition("\n")[0]
    divider = max(",;\t", key=first.count)
    rows = _read_rows(text, divider)
    if not rows:
        raise RosterError("it is empty: its first line is `file,name,number`")
    head = [cell.strip().lower() for cell in rows[0]]
    _see_that_head_is_sound(head)
    if len(rows) > _MOST_ROWS:
        raise RosterError(f"it has {len(rows)} lines, more than the {_MOST_ROWS} that are read")
    entries = []
    for line, row in enumerate(rows[1:], 2):
        cells = {key: escape_invisible(cell.strip()) for key, cell in zip(head, row, strict=False)}
        if not any(cells.values()):
            continue
        if not cells.get("file"):
            raise RosterError(f"line {line}: `file` is empty: how the submission is called")
        file, name, number = (cells.get(key, "").removeprefix("'") for key in COLUMNS)
        entries.append(Entry(file=_ENDING.sub("", file), name=name, number=number))
    _see_that_each_is_one(entries)
    return Roster(entries=tuple(entries))


def _read_rows(text: str, divider: str) -> list[list[str]]:
    """Read lines of cells; a line break within quotes would take in whoever stands below it."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=divider, strict=True)
    rows: list[list[str]] = []
    try:
        for row in reader:
            if any("\n" in cell or "\r" in cell for cell in row):
                raise csv.Error
            rows.append(row)
    except csv.Error:
        raise RosterError(
            f"line {len(rows) + 1} cannot be read: it is too long, or a quotation mark in it is "
            "not closed"
        ) from None
    return rows


def _see_that_head_is_sound(head: Sequence[str]) -> None:
    for key in head:
        if key and key not in COLUMNS:
            known = join_words(COLUMNS)
            raise RosterError(
                f"there is no column {show(key)}{suggest(key, COLUMNS)}: the columns are {known}"
            )
    if "file" not in head:
        raise RosterError("its first line names no column `file`: how each submission is called")
    if len(set(head)) < len(head):
        raise RosterError("its first line names a column twice")


def _see_that_each_is_one(entries: Sequence[Entry]) -> None:
    for key in ("file", "shown"):
        taken: set[str] = set()
        for entry in entries:
            value = getattr(entry, key)
            if value.casefold() in taken:
                raise RosterError(f"{show(value)} stands there twice")
            taken.add(value.casefold())
    numbered = [entry for entry in entries if entry.number]
    if numbered and len(numbered) < len(entries):
        lacking = next(entry for entry in entries if not entry.number)
        raise RosterError(
            f"{show(lacking.file)} has no number, though others have: give all of them one, or none"
        )


class Placed(Struct, frozen=True, kw_only=True):
    """How a submission is shown, and which attempt it is where its name alone says so."""

    shown: str
    attempt: int | None = None
    is_expected: bool = True


def place_names(roster: Roster, names: Sequence[str]) -> dict[str, Placed]:
    """Say how each submission is shown, by its name.

    `NAME-2` is NAME's, also where the first attempt was never handed in. Where the roster gives
    numbers, one who is not on it has no name in the results either.
    """
    known = {entry.file.casefold(): entry.shown for entry in roster.entries}
    taken = {entry.shown for entry in roster.entries}
    placed: dict[str, Placed] = {}
    for name in names:
        later = _LATER.fullmatch(name)
        if name.casefold() in known:
            placed[name] = Placed(shown=known[name.casefold()])
        elif later and later[1].casefold() in known:
            placed[name] = Placed(shown=known[later[1].casefold()], attempt=int(later[2]))
        else:
            label = name if not roster.hides_names else "not on the roster"
            free, number = label, 1
            while free in taken:
                number += 1
                free = f"{label} ({number})"
            taken.add(free)
            placed[name] = Placed(shown=free, attempt=None, is_expected=False)
    return placed
