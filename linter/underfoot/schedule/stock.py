"""Film at hand: rolls of a length, and offcuts that are listed in a file."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.plan import Film
from underfoot.reading.quantities import QuantityError, is_bare_number, read_typed
from underfoot.reading.syntax import parse
from underfoot.reading.wording import join_words, show, suggest
from underfoot.schedule.table_rows import Row, TableError, read_rows

COLUMNS = ("film", "length", "count", "name", "note")
MOST_OFFCUTS = 200
_MOST_LENGTH = 1_000_000.0
# Nobody lists an offcut of fewer millimetres: the unit was forgotten.
_SHORTEST_BARE = 100.0


class Offcut(Struct, frozen=True, kw_only=True):
    """A piece of film at hand; `length` in mm."""

    name: str
    film: str
    length: float


class Stock(Struct, frozen=True, kw_only=True):
    """What film there is to cut from.

    `rolls` is how long a new roll of a film is, in mm, "" of any film that is not named; of what
    is not said here the film's own `roll` holds, and without that a roll has no end. A rest of
    `keep` mm or more is an offcut, not waste.
    """

    rolls: Mapping[str, float] = {}
    offcuts: tuple[Offcut, ...] = ()
    keep: float = 1000.0

    def roll_of(self, film: Film) -> float | None:
        """Return how long a new roll of a film is."""
        return self.rolls.get(film.id, self.rolls.get("", film.roll))


def read_roll(text: str) -> tuple[str, float]:
    """Read ``50m`` or ``film-80=50m``: the film, "" for any, and the length. TableError."""
    film, mark, length = text.rpartition("=")
    return (film.strip() if mark else "", read_length(length.strip(), "a roll"))


def read_length(text: str, what: str) -> float:
    """Read a length with its unit, in mm: a bare 50 may be metres. TableError says how to write it.

    It is more than nothing.
    """
    if is_bare_number(text):
        raise TableError(f"{show(text)} has no unit: write for example {show(f'{text} m')}")
    return _read_length(text, what)


def _read_length(value: object, what: str) -> float:
    try:
        length = read_typed(value, "mm")
    except QuantityError as error:
        raise TableError(str(error)) from None
    if not 0 < length <= _MOST_LENGTH:
        raise TableError(f"{what} is more than 0 and at most 1 km long: write for example `50 m`")
    return length


def read_stock(source: bytes, ending: str) -> tuple[Offcut, ...]:
    """Read a list of offcuts: YAML by its ending, else CSV or XLSX. TableError.

    Columns, or keys: `film`, `length`, and, where given, `count` (1) and `name`. A length without
    a unit is millimetres.
    """
    rows = (
        _read_yaml(source)
        if ending in ("yaml", "yml")
        else read_rows(source, needed=("film", "length"), known=COLUMNS)
    )
    found = tuple(_list_offcuts(rows))
    if len(found) > MOST_OFFCUTS:
        raise TableError(f"it lists more than the {MOST_OFFCUTS} offcuts that are read")
    names = [each.name for each in found]
    for name in names:
        if names.count(name) > 1:
            raise TableError(f"two offcuts are called {show(name)}")
    return found


def _list_offcuts(rows: Sequence[Row]) -> Iterator[Offcut]:
    number = 0
    for row in rows:
        where = f"line {row.line}"
        film = row.text("film")
        if not film:
            raise TableError(f"{where}: `film` is empty: which film it is, by its id")
        if "length" not in row.cells:
            raise TableError(f"{where}: `length` is empty: write for example `4.5 m`")
        length = _length_of(row.cells["length"], where)
        count = _count_of(row, where)
        name = row.text("name")
        for each in range(1, count + 1):
            number += 1
            called = name if count == 1 else f"{name} ({each})"
            yield Offcut(name=called if name else f"offcut {number}", film=film, length=length)


def _length_of(value: object, where: str) -> float:
    try:
        length = _read_length(value, "an offcut")
    except TableError as error:
        raise TableError(f"{where}: {error}") from None
    bare = is_bare_number(str(value))
    if bare and length < _SHORTEST_BARE:
        raise TableError(
            f"{where}: {show(f'{length:g}')} has no unit, and would be millimetres: write for "
            f"example {show(f'{length:g} m')}"
        )
    return length


def _count_of(row: Row, where: str) -> int:
    text = row.text("count") or "1"
    if not (text.isdecimal() and len(text) < 4 and 1 <= int(text) <= MOST_OFFCUTS):
        raise TableError(
            f"{where}: `count` {show(text)} is no number of pieces: write for example 2"
        )
    return int(text)


def _read_yaml(source: bytes) -> list[Row]:
    parsed = parse(source)
    if parsed.problems:
        first = parsed.problems[0]
        raise TableError(f"line {first.line}: {first.message}")
    listed = parsed.data
    if isinstance(listed, dict) and set(listed) == {"stock"}:
        listed = listed["stock"]
    if not isinstance(listed, list):
        raise TableError("it is no list: write each offcut as `- {film: film-80, length: 4.5 m}`")
    prefix = "stock." if isinstance(parsed.data, dict) else ""
    rows = []
    for place, entry in enumerate(listed):
        line = parsed.positions.get(f"{prefix}{place}", (1, 1))[0]
        rows.append(Row(line=line, cells=_see_entry(entry, line)))
    return rows


def _see_entry(entry: Any, line: int) -> Mapping[str, Any]:
    if not isinstance(entry, dict):
        raise TableError(f"line {line}: write each offcut as `- {{film: film-80, length: 4.5 m}}`")
    for key in entry:
        if key not in COLUMNS:
            near = suggest(key, COLUMNS) or f": the keys are {join_words(COLUMNS)}"
            raise TableError(f"line {line}: there is no key {show(key)}{near}")
    for key, value in entry.items():
        if not isinstance(value, str | int | float) or isinstance(value, bool):
            raise TableError(f"line {line}: `{key}` is neither text nor a number")
    return {key: value for key, value in entry.items() if value != ""}
