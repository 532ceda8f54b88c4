"""What a plan writes itself beside its catalogue, and how that differs from the catalogue's."""

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from underfoot.plan import Difference, OwnEntry
from underfoot.plan_format.declaration import Key, Kind, ListOf, Quantity
from underfoot.plan_format.fields import fields_of
from underfoot.plan_format.materials import BOARD, COVERING, FILM, SHEET
from underfoot.plan_format.records import METHOD_STATEMENT
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.thing_reader import NOTHING_KNOWN, Fields, reader_of
from underfoot.reading.paths import locate
from underfoot.reading.syntax import Position

KINDS = {"films": "film", "boards": "board", "sheets": "sheet", "coverings": "covering"}
_METHOD = "method_statement"
_THINGS = {
    "films": FILM,
    "boards": BOARD,
    "sheets": SHEET,
    "coverings": COVERING,
    _METHOD: METHOD_STATEMENT,
}
_READERS = {name: reader_of(thing) for name, thing in _THINGS.items()}


class Written(Struct, frozen=True, kw_only=True):
    """A file's data and where in it everything stands."""

    data: Any
    positions: Mapping[str, Position]


def list_own_entries(own: Written, shared: Written | None, file: str) -> Iterator[OwnEntry]:
    """List the plan's own materials, each with what it hides; `file` is the catalogue's name."""
    for kind, word in KINDS.items():
        theirs = {} if shared is None else shared.data.get("materials", {}).get(kind, {})
        for name, entry in entries_of(own.data.get("materials", {}), kind):
            path = f"materials.{kind}.{name}"
            hidden = theirs.get(name)
            if shared is None or not isinstance(hidden, dict):
                yield OwnEntry(kind=word, id=name, path=path)
                continue
            differing = tuple(_differ(kind, entry, hidden, path, own, shared))
            line, _ = locate(path, shared.positions)
            yield OwnEntry(
                kind=word, id=name, path=path, hides=f"{file}:{line}", differences=differing
            )
    ours = own.data.get(_METHOD)
    told = shared.data.get(_METHOD) if shared is not None else None
    if shared is not None and isinstance(ours, dict) and isinstance(told, dict):
        # What the plan does not say stays as the catalogue has it.
        said = {key: value for key, value in told.items() if key in ours}
        differing = tuple(
            each
            for each in _differ(_METHOD, ours, said, _METHOD, own, shared)
            if each.shared is not None
        )
        if differing:
            line, _ = locate(_METHOD, shared.positions)
            yield OwnEntry(
                kind="method statement",
                id="",
                path=_METHOD,
                hides=f"{file}:{line}",
                differences=differing,
            )


def _differ(
    kind: str, ours: Data, theirs: Data, path: str, own: Written, shared: Written
) -> Iterator[Difference]:
    read = _READERS[kind]
    mine = read(ProblemLog(positions=own.positions), ours, path, NOTHING_KNOWN)
    other = read(ProblemLog(positions=shared.positions), theirs, path, NOTHING_KNOWN)
    keys = {key.name: key for key in _THINGS[kind].keys}
    for name in (*ours, *(name for name in theirs if name not in ours)):
        key = keys.get(name)
        if key is None or _is_same(key, mine, other):
            continue
        place = f"{path}.{name}"
        yield Difference(
            key=name,
            own=write_value(key.of, ours[name]) if name in ours else None,
            shared=write_value(key.of, theirs[name]) if name in theirs else None,
            own_line=locate(place, own.positions)[0],
            shared_line=locate(place, shared.positions)[0],
        )


def _is_same(key: Key, mine: Fields, other: Fields) -> bool:
    """Whether two things say the same under a key, in whatever unit it is written."""
    return all(
        _canonical(key.of, mine.get(field)) == _canonical(key.of, other.get(field))
        for field in fields_of(key)
    )


def _canonical(kind: Kind, value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 9)
    if isinstance(value, tuple):
        parts = [_canonical(kind, each) for each in value]
        # The order of numbers says something; that of names does not.
        return parts if _parts_of(kind) else sorted(parts)
    return value


def _parts_of(kind: Kind) -> Quantity | None:
    return kind.of if isinstance(kind, ListOf) and isinstance(kind.of, Quantity) else None


def write_value(kind: Kind, value: Any) -> str:
    """A value as a reader is told it, with its unit where it was written without."""
    if isinstance(value, list):
        parts = _parts_of(kind)
        between = ", " if parts is None else " to " if parts.bare == "percent" else " x "
        return between.join(write_value(parts or kind, each) for each in value) or "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float) and isinstance(kind, Quantity):
        return f"{value} {kind.unit}"
    return str(value)
