"""Things read as they are declared: each key into its field, what is wrong with it into the log."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any, TypeAlias

from underfoot.plan_format.declaration import (
    ById,
    Choice,
    ConductorSize,
    IdOf,
    Key,
    Kind,
    ListOf,
    Quantity,
    Text,
    Thing,
    Whole,
    WordOr,
    YesNo,
)
from underfoot.plan_format.fields import fields_of
from underfoot.plan_format.kinds import DATE, ENDINGS, LINE, OUTLINE, POINT
from underfoot.reading.building.outlines import read_corners, read_outline
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_conductor,
    read_date,
    read_length,
    read_number,
    read_number_in,
    read_pair,
)

# The ids that there are, by the word for what they name ("film"); of other kinds nothing is asked.
Known: TypeAlias = Mapping[str, Collection[str]]
Fields: TypeAlias = dict[str, Any]
# (log, value, its place, its key, ids) -> what the value is kept as, None where it is faulty.
Read: TypeAlias = Callable[[ProblemLog, Any, str, str, Known], Any]
ReadFields: TypeAlias = Callable[[ProblemLog, Data, str, Known], Fields]
Make: TypeAlias = Callable[..., Any]
Then: TypeAlias = Callable[[ProblemLog, Data, str, Fields], None]

NOTHING_KNOWN: Known = {}


def reader_of(thing: Thing, but: Collection[str] = ()) -> ReadFields:
    """What reads the thing's keys, `but` some, into the fields of the plan's value.

    A field is left out where its key is not there, or faulty.
    """
    keys = [key for key in thing.keys if key.name not in but]
    steps = {key.name: _step(key) for key in keys}
    steps["note"] = ("note", None)
    defaults = {
        field: float(key.default) if isinstance(key.of, Quantity) else key.default
        for key in keys
        if key.default is not None
        for field in fields_of(key)
    }

    def read_fields(log: ProblemLog, data: Data, path: str, known: Known) -> Fields:
        fields = defaults.copy()
        for key, value in data.items():
            step = steps.get(key)
            if step is None:
                continue
            field, read = step
            if read is None:
                fields[field] = value
                continue
            found = read(log, value, f"{path}.{key}", key, known)
            if found is None:
                continue
            if field:
                fields[field] = found
            else:
                fields.update(found)
        return fields

    return read_fields


def maker_of(thing: Thing, but: Collection[str] = (), then: Then | None = None) -> Make:
    """What makes the thing's value of its keys, `but` some; None where one that it needs is faulty.

    `then` looks at what was read, and may put it right, before it is judged whether it is enough.
    """
    read = reader_of(thing, but)
    needed = [tuple(fields_of(key)) for key in thing.keys if key.needed and key.name not in but]
    makes: Any = thing.makes

    def make(
        log: ProblemLog, data: Data, path: str, known: Known = NOTHING_KNOWN, **more: Any
    ) -> Any:
        fields = read(log, data, path, known)
        if then is not None:
            then(log, data, path, fields)
        for several in needed:
            if fields.keys().isdisjoint(several):
                return None
        return makes(path=log.prefix + path, **fields, **more)

    return make


def value_reader(kind: Kind) -> Read:
    """What reads a single value of the kind."""
    read = _read_of(kind, "")
    assert read is not None
    return read


def _step(key: Key) -> tuple[str, Read | None]:
    """The field that a key is read into, "" where there are several, and what reads it."""
    fields = tuple(fields_of(key))
    return (fields[0] if len(fields) == 1 else "", _read_of(key.of, key.field or key.name))


def _read_of(kind: Kind, stem: str) -> Read | None:
    """What reads a value of the kind; None where it is kept as it is written."""
    if isinstance(kind, Text | YesNo):
        return _read_date if kind is DATE else None
    if isinstance(kind, Choice | Whole):
        whole = isinstance(kind, Whole) or isinstance(kind.options[0], int)
        return _read_whole if whole else None
    if isinstance(kind, Quantity):
        return _quantity_reader(kind, stem)
    if isinstance(kind, ConductorSize):
        return _conductor_reader(stem)
    if isinstance(kind, WordOr):
        return _word_reader(kind, stem)
    if isinstance(kind, IdOf):
        return _id_reader(kind.kind)
    if isinstance(kind, ListOf):
        return _list_reader(kind, stem)
    if isinstance(kind, ById):
        return _mapping_reader(kind, stem)
    return _thing_reader(kind, stem)


def _read_date(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
    return read_date(log, value, place, key)


def _read_whole(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> int:
    return int(value)


def _read_point(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
    return read_pair(log, value, place)


def _read_outline(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
    return read_outline(log, value, place, key)


def _read_line(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
    return read_corners(log, value, place)


def _quantity_reader(kind: Quantity, stem: str) -> Read:
    unit, bound = kind.unit, kind.bound
    if kind.also:
        fields = {each: f"{stem}{ENDINGS[each]}" for each in (unit, *kind.also)}

        def read_several(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
            found = read_number_in(log, value, place, key, tuple(fields), bound)
            return None if found is None else {fields[found[1]]: found[0]}

        return read_several
    if unit == "mm":
        return lambda log, value, place, key, known: read_length(log, value, place, key, bound)
    bare = bool(kind.bare)

    def read_one(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if bare and not isinstance(value, str):
            return float(value)
        return read_number(log, value, place, key, unit, bound)

    return read_one


def _conductor_reader(stem: str) -> Read:
    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        size_mm2 = read_conductor(log, value, place, key)
        return None if size_mm2 is None else {f"{stem}_mm2": size_mm2, f"{stem}_text": value}

    return read


def _word_reader(kind: WordOr, stem: str) -> Read:
    words, unit = kind.words, kind.unit
    field = f"{kind.number or stem}{ENDINGS[unit]}"
    besides = {stem: kind.number} if kind.number else {}

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if value in words:
            return {stem: value}
        number = read_number(log, value, place, key, unit, "any")
        return None if number is None else {**besides, field: number}

    return read


def _id_reader(named: str) -> Read:
    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        there = known.get(named)
        if there is not None and value not in there:
            log.report_unknown(place, value, there, named)
        return value

    return read


def _list_reader(kind: ListOf, stem: str) -> Read:
    """What reads a list; what was taken out of it as faulty stands there as None."""
    if kind is POINT:
        return _read_point
    if kind is OUTLINE:
        return _read_outline
    if kind is LINE:
        return _read_line
    inner = _read_of(kind.of, stem)
    whole = kind.least is not None and kind.least == kind.most
    once = kind.once

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if whole and (len(value) != kind.least or None in value):
            return None
        found = [
            each if inner is None else inner(log, each, f"{place}.{number}", key, known)
            for number, each in enumerate(value)
            if each is not None
        ]
        if whole:
            return None if None in found else tuple(found)
        there = (each for each in found if each is not None)
        return tuple(dict.fromkeys(there) if once else there)

    return read


def _mapping_reader(kind: ById, stem: str) -> Read:
    inner = _read_of(kind.of, stem)
    assert inner is not None

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        found = {
            name: inner(log, entry, f"{place}.{name}", name, known)
            for name, entry in value.items()
            if name != "note"
        }
        return {name: entry for name, entry in found.items() if entry is not None}

    return read


def _thing_reader(kind: Thing, stem: str) -> Read:
    if kind.or_quantity is None:
        make = maker_of(kind)
        return lambda log, value, place, key, known: make(log, value, place, known)
    read_quantity = _quantity_reader(kind.or_quantity, stem)
    read_fields = reader_of(kind)
    field = f"{stem}{ENDINGS[kind.or_quantity.unit]}"
    (number,) = (inner.name for inner in kind.keys if inner.of is kind.or_quantity)
    number_field = f"{number}{ENDINGS[kind.or_quantity.unit]}"

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if not isinstance(value, dict):
            found = read_quantity(log, value, place, key, known)
            return None if found is None else {field: found}
        told = read_fields(log, value, place, known)
        return {
            field if name == number_field else f"{stem}_{name}": part for name, part in told.items()
        }

    return read
