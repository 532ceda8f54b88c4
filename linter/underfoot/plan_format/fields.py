"""What the fields of the plan's values are called in words, and in which unit they are kept.

A key is read into the field of its name, to which the unit is added: `rcd` of a circuit into
`Circuit.rcd_ma`. What several units fit has a field for each; a conductor's size has one for how
it was written as well.
"""

from collections.abc import Mapping
from functools import cache
from sys import intern
from typing import Any

from msgspec import Struct

from underfoot.plan_format.declaration import (
    ById,
    ConductorSize,
    Key,
    Kind,
    ListOf,
    Quantity,
    Thing,
    WordOr,
    list_kinds,
)
from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.kinds import ENDINGS


class Field(Struct, frozen=True):
    """A field in words, and the unit of the numbers in it; "" where it holds none."""

    words: str
    unit: str = ""


@cache
def fields_made(made: type) -> Mapping[str, Field]:
    """The fields that keys are read into, of one of the plan's values."""
    return {
        name: field
        for thing in list_kinds(DECLARED["plan"])
        if isinstance(thing, Thing) and thing.makes is made
        for key in thing.keys
        for name, field in fields_of(key, thing.inside).items()
    }


def words_of(made: Any, field: str) -> str:
    """A field of one of the plan's values in words, without its unit."""
    about = fields_made(made).get(field)
    return about.words if about is not None else field.replace("_", " ")


def fields_of(key: Key, inside: str = "") -> dict[str, Field]:
    """The fields that a key is read into, by name: of a mapping `inside`, where there is one."""
    # Values are made the quicker by names that are the very ones of their class.
    return {intern(name): field for name, field in _list_fields(key, inside).items()}


def _list_fields(key: Key, inside: str) -> dict[str, Field]:
    stem = key.field or key.name
    words = stem.replace("_", " ")
    if inside:
        return {f"{inside}.{stem}": Field(words=words, unit=_unit_of(key.of))}
    if isinstance(key.of, ConductorSize):
        return {
            f"{stem}_mm2": Field(words=words, unit=key.of.unit),
            f"{stem}_text": Field(words=words),
        }
    if isinstance(key.of, WordOr):
        number = key.of.number or stem
        ending = ENDINGS[key.of.unit]
        return {
            stem: Field(words=words),
            f"{number}{ending}": Field(words=number, unit=key.of.unit),
        }
    if isinstance(key.of, Thing) and key.of.or_quantity is not None:
        parts = {
            f"{stem}_{inner.name}": Field(words=f"{words} {inner.name}")
            for inner in key.of.keys
            if inner.of is not key.of.or_quantity
        }
        return {**_list_fields(Key(key.name, key.of.or_quantity), inside), **parts}
    kind = key.of.of if isinstance(key.of, ById) else key.of
    if isinstance(kind, Quantity):
        units = (kind.unit, *kind.also)
        return {f"{stem}{ENDINGS[unit]}": Field(words=words, unit=unit) for unit in units}
    return {stem: Field(words=words, unit=_unit_of(kind))}


def _unit_of(kind: Kind) -> str:
    """The unit of a number, or of each number in a list."""
    if isinstance(kind, ListOf):
        return _unit_of(kind.of)
    return kind.unit if isinstance(kind, Quantity) else ""
