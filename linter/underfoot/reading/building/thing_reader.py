"""Things read as they are declared: each key into its field, what is wrong with it into the log."""

from collections.abc import Callable, Collection, Mapping
from sys import intern
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
from underfoot.plan_format.kinds import DATE, ENDINGS, FARTHEST, LINE, NOTE, OUTLINE, POINT
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
    lots = [tuple(fields_of(key)) for key in thing.keys if key.needed and key.name not in but]
    needed = {lot[0] for lot in lots if len(lot) == 1}
    one_of = [lot for lot in lots if len(lot) > 1]
    makes: Any = thing.makes

    def make(
        log: ProblemLog, data: Data, path: str, known: Known = NOTHING_KNOWN, **more: Any
    ) -> Any:
        fields = read(log, data, path, known)
        if then is not None:
            then(log, data, path, fields)
        there = fields.keys()
        if not needed <= there or any(map(there.isdisjoint, one_of)):
            return None
        return makes(path=log.prefix + path, **fields, **more)

    return make


def value_reader(kind: Kind) -> Read:
    """What reads a single value of the kind."""
    read = _read_of(kind, ())
    assert read is not None
    return read


def _step(key: Key) -> tuple[str, Read | None]:
    """The field that a key is read into, "" where there are several, and what reads it."""
    fields = tuple(fields_of(key))
    return (fields[0] if len(fields) == 1 else "", _read_of(key.of, fields))


def _read_of(kind: Kind, fields: tuple[str, ...]) -> Read | None:
    """What reads a value of the kind; None where it is kept as it is written."""
    if isinstance(kind, Text | YesNo):
        return _read_date if kind is DATE else None
    if isinstance(kind, Choice | Whole):
        whole = isinstance(kind, Whole) or isinstance(kind.options[0], int)
        return _read_whole if whole else None
    if isinstance(kind, Quantity):
        return _quantity_reader(kind, fields)
    if isinstance(kind, ConductorSize):
        return _conductor_reader(fields)
    if isinstance(kind, WordOr):
        return _word_reader(kind, fields)
    if isinstance(kind, IdOf):
        return _id_reader(kind.kind)
    if isinstance(kind, ListOf):
        return _list_reader(kind)
    if isinstance(kind, ById):
        return _mapping_reader(kind)
    return _thing_reader(kind, fields)


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


def _quantity_reader(kind: Quantity, fields: tuple[str, ...]) -> Read:
    unit, bound = kind.unit, kind.bound
    if kind.also:
        field_of = dict(zip((unit, *kind.also), fields, strict=True))

        def read_several(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
            found = read_number_in(log, value, place, key, tuple(field_of), bound)
            return None if found is None else {field_of[found[1]]: found[0]}

        return read_several
    if unit == "mm":

        def read_mm(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
            if value.__class__ is int and 0 < value <= FARTHEST:
                return float(value)
            return read_length(log, value, place, key, bound)

        return read_mm
    if kind.bare:

        def read_bare(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
            if isinstance(value, str):
                return read_number(log, value, place, key, unit, bound)
            return float(value)

        return read_bare
    return lambda log, value, place, key, known: read_number(log, value, place, key, unit, bound)


def _conductor_reader(fields: tuple[str, ...]) -> Read:
    number_field, text_field = fields

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        size_mm2 = read_conductor(log, value, place, key)
        return None if size_mm2 is None else {number_field: size_mm2, text_field: value}

    return read


def _word_reader(kind: WordOr, fields: tuple[str, ...]) -> Read:
    words, unit = kind.words, kind.unit
    word_field, number_field = fields
    besides = {word_field: kind.number} if kind.number else {}

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if value in words:
            return {word_field: value}
        number = read_number(log, value, place, key, unit, "any")
        return None if number is None else {**besides, number_field: number}

    return read


def _id_reader(named: str) -> Read:
    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        there = known.get(named)
        if there is not None and value not in there:
            log.report_unknown(place, value, there, named)
        return value

    return read


def _list_reader(kind: ListOf) -> Read:
    """What reads a list; what was taken out of it as faulty stands there as None."""
    if kind is POINT:
        return _read_point
    if kind is OUTLINE:
        return _read_outline
    if kind is LINE:
        return _read_line
    inner = _read_of(kind.of, ())
    if inner is None:
        return lambda log, value, place, key, known: tuple(value)
    whole = kind.least is not None and kind.least == kind.most
    once = kind.once

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if whole and (len(value) != kind.least or None in value):
            return None
        found = [
            inner(log, each, f"{place}.{number}", key, known)
            for number, each in enumerate(value)
            if each is not None
        ]
        if whole:
            return None if None in found else tuple(found)
        there = (each for each in found if each is not None)
        return tuple(dict.fromkeys(there) if once else there)

    return read


def _mapping_reader(kind: ById) -> Read:
    inner = _read_of(kind.of, ())
    assert inner is not None

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        found = {
            name: inner(log, entry, f"{place}.{name}", name, known)
            for name, entry in value.items()
            if name != "note"
        }
        return {name: entry for name, entry in found.items() if entry is not None}

    return read


def _thing_reader(kind: Thing, fields: tuple[str, ...]) -> Read:
    if kind.or_quantity is None:
        make = maker_of(kind)
        return lambda log, value, place, key, known: make(log, value, place, known)
    read_number = _quantity_reader(kind.or_quantity, fields)
    read_fields = reader_of(kind)
    stem = fields[0].removesuffix(ENDINGS[kind.or_quantity.unit])
    outer_of = {
        name: fields[0] if key.of is kind.or_quantity else intern(f"{stem}_{name}")
        for key in (*kind.keys, Key("note", NOTE))
        for name in fields_of(key)
    }

    def read(log: ProblemLog, value: Any, place: str, key: str, known: Known) -> Any:
        if isinstance(value, dict):
            told = read_fields(log, value, place, known)
            return {outer_of[name]: part for name, part in told.items()}
        found = read_number(log, value, place, key, known)
        return None if found is None else {fields[0]: found}

    return read
