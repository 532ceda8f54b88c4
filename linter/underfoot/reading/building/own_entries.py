"""What a plan writes itself beside its catalogue, and how that differs from the catalogue's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from underfoot.plan import Difference, OwnEntry
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data
from underfoot.reading.paths import locate
from underfoot.reading.quantities import EXAMPLES, QuantityError, read_one_of
from underfoot.reading.syntax import Position

KINDS = {"films": "film", "boards": "board", "sheets": "sheet", "coverings": "covering"}
_METHOD = "method_statement"
# Lists whose order says nothing.
_SETS = ("suits", "boards")


class Written(NamedTuple):
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
                yield OwnEntry(word, name, path)
                continue
            differing = tuple(_differ(entry, hidden, path, own, shared))
            line, _ = locate(path, shared.positions)
            yield OwnEntry(word, name, path, f"{file}:{line}", differing)
    ours = own.data.get(_METHOD)
    told = shared.data.get(_METHOD) if shared is not None else None
    if shared is not None and isinstance(ours, dict) and isinstance(told, dict):
        # What the plan does not say stays as the catalogue has it.
        said = {key: value for key, value in told.items() if key in ours}
        differing = tuple(
            each for each in _differ(ours, said, _METHOD, own, shared) if each.shared is not None
        )
        if differing:
            line, _ = locate(_METHOD, shared.positions)
            yield OwnEntry("method statement", "", _METHOD, f"{file}:{line}", differing)


def _differ(
    ours: Data, theirs: Data, path: str, own: Written, shared: Written
) -> Iterator[Difference]:
    for key in (*ours, *(key for key in theirs if key not in ours)):
        mine, other = ours.get(key), theirs.get(key)
        if key != "note" and _canonical(key, mine) != _canonical(key, other):
            place = f"{path}.{key}"
            yield Difference(
                key,
                None if mine is None else write_value(key, mine),
                None if other is None else write_value(key, other),
                locate(place, own.positions)[0],
                locate(place, shared.positions)[0],
            )


def _canonical(key: str, value: Any) -> Any:
    """The value so that what means the same is the same, in whatever unit it is written."""
    if isinstance(value, list):
        parts = [_canonical(key, each) for each in value]
        return sorted(map(repr, parts)) if key in _SETS else parts
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int | float):
        return (round(float(value), 9), "%" if key == "tolerance" else "mm")
    try:
        number, unit = read_one_of(value, tuple(EXAMPLES))
    except QuantityError:
        return value
    return (round(number, 9), unit)


def write_value(key: str, value: Any) -> str:
    """A value as a reader is told it, with its unit: a bare number is millimetres."""
    if isinstance(value, list):
        return _write_list(key, value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value} {'%' if key == 'tolerance' else 'mm'}"
    return str(value)


def _write_list(key: str, values: Sequence[Any]) -> str:
    written = [write_value(key, value) for value in values]
    if key == "tolerance":
        return " to ".join(written)
    return (" x " if key == "size" else ", ").join(written) or "nothing"
