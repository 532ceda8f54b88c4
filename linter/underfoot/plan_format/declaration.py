"""What a file's format is declared with: things, their keys, and the kinds of value that keys have.

A kind with a `name` is one definition in the JSON Schema, whoever uses it. `title` is what a
message calls a value of it ("a length"), `says` what it is, in a sentence.
"""

from __future__ import annotations

from typing import Any, Literal, TypeAlias

from msgspec import Struct

Bound = Literal["more than 0", "0 or more", "any"]


class Quantity(Struct, frozen=True):
    """A number with its unit, kept in `unit`; in one of `also` where the text is of that kind.

    `bare` is what a number without a unit means; "" where text with a unit is asked for.
    """

    name: str
    title: str
    unit: str
    bound: Bound
    examples: tuple[Any, ...]
    also: tuple[str, ...] = ()
    bare: Literal["", "millimetres", "percent"] = ""
    says: str = ""


class ConductorSize(Struct, frozen=True):
    """A cross-section with its unit, or an American gauge."""

    name: str
    title: str
    unit: str
    examples: tuple[str, ...]


class WordOr(Struct, frozen=True):
    """One of some `words`, or a quantity of any size, kept in `unit`.

    The quantity is read into the field `number`, where that is not called as the key is.
    """

    name: str
    title: str
    says: str
    words: tuple[str, ...]
    unit: str
    examples: tuple[str, ...]
    number: str = ""


class Text(Struct, frozen=True):
    """Text; of a `pattern` where it has one, and a list in its place where there is `or_list`."""

    name: str = ""
    title: str = ""
    says: str = ""
    examples: tuple[Any, ...] = ()
    pattern: str = ""
    may_be_empty: bool = True
    or_list: ListOf | None = None


class IdOf(Struct, frozen=True):
    """The id of another thing of the plan: one of its `kind`, which must be there."""

    kind: str


class Choice(Struct, frozen=True):
    """One of some words, or of some whole numbers."""

    options: tuple[str | int, ...]
    name: str = ""
    title: str = ""
    says: str = ""


class YesNo(Struct, frozen=True):
    """true or false."""


class Whole(Struct, frozen=True):
    """A whole number, `least` or more, and `most` or less where that is given."""

    least: int
    most: int | None = None


class ListOf(Struct, frozen=True):
    """A list of `least` to `most` values of one kind; named twice they count `once`, where said."""

    of: Kind
    least: int | None = None
    most: int | None = None
    name: str = ""
    title: str = ""
    says: str = ""
    examples: tuple[Any, ...] = ()
    once: bool = False


class ById(Struct, frozen=True):
    """Things of one kind, each by an id of its own."""

    of: Kind
    title: str
    name: str = ""
    says: str = ""
    least: int | None = None
    of_the_plan: bool = True
    """Whether the ids are given here: ids of the plan must not be words that it has a use for."""


class Either(Struct, frozen=True):
    """Keys of which a thing needs the one lot or the other."""

    one: tuple[str, ...]
    other: tuple[str, ...]


class Key(Struct, frozen=True):
    """A key of a thing; `says` what it is, where the kind of its value does not say so already.

    `default` is what the plan is taken to say where the key is left out. `field` is the name in
    the plan's values, where it is another; the unit is added to it (`ENDINGS`).
    """

    name: str
    of: Kind
    says: str = ""
    examples: tuple[Any, ...] = ()
    needed: bool = False
    default: Any = None
    field: str = ""


class Thing(Struct, frozen=True):
    """A mapping with these keys, each of which may be there once; and `note`, as everywhere.

    `makes` is the plan's value that it is read into: its fields, or a mapping `inside`. A quantity
    may stand in its place
    (`or_quantity`), nothing (`or_null`), or a list of `or_list`.
    """

    name: str
    title: str
    says: str
    keys: tuple[Key, ...]
    examples: tuple[Any, ...] = ()
    makes: type | None = None
    inside: str = ""
    needs: tuple[Either, ...] = ()
    or_quantity: Quantity | None = None
    or_null: bool = False
    or_list: Thing | None = None


Kind: TypeAlias = (
    Quantity | ConductorSize | WordOr | Text | IdOf | Choice | YesNo | Whole | ListOf | ById | Thing
)


def list_kinds(root: Kind) -> list[Kind]:
    """All kinds of value that stand in one, it included; what a kind is made of comes before it."""
    found: dict[int, Kind] = {}

    def walk(kind: Kind) -> None:
        if id(kind) in found:
            return
        for inner in _list_parts(kind):
            walk(inner)
        found[id(kind)] = kind

    walk(root)
    return list(found.values())


def _list_parts(kind: Kind) -> list[Kind]:
    if isinstance(kind, Thing):
        others = [kind.or_list] if kind.or_list is not None else []
        return [*(key.of for key in kind.keys), *others]
    if isinstance(kind, ListOf | ById):
        return [kind.of]
    return [kind.or_list] if isinstance(kind, Text) and kind.or_list is not None else []


def say_whole(whole: Whole) -> str:
    """What a whole number may be, in words."""
    if whole.most is None:
        return f"a whole number, {whole.least} or more"
    return f"a whole number from {whole.least} to {whole.most}"


def say_either(either: Either) -> str:
    """The two lots in words: "`lengths`, or `length` with `count`"."""
    lots = [" with ".join(f"`{key}`" for key in lot) for lot in (either.one, either.other)]
    long = len(either.one) + len(either.other) > 2
    return (", or " if long else " or ").join(lots)
