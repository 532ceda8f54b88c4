"""A plan's report out of plain data: lists, text and numbers, nothing that could be run.

The data may be somebody else's: it is taken apart type by type, and whatever is not as the report's
own types say is refused. Into plain data JSON itself turns a report, whose tuples are its lists.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from underfoot.checking.report import PlanReport

_Take = Callable[[Any], Any]
_PLAIN = (str, int, float, bool, type(None))


class ForeignDataError(ValueError):
    """Data that is no report."""


def report_from_data(data: Any) -> PlanReport:
    """Give the report that JSON holds as lists. ForeignDataError where it is none.

    What it is made from is used up.
    """
    taken: PlanReport = _taker(PlanReport)(data)
    return taken


@cache
def _taker(kind: Any) -> _Take:
    """Give the function that takes a value of this type from plain data."""
    if kind is Any:
        return _take_plain
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _take_either(kind)
    if origin is Literal:
        return _take_word(get_args(kind))
    if origin is tuple:
        return _take_tuple(get_args(kind))
    if origin is not None and issubclass(origin, Mapping):
        return _take_mapping
    if typing.is_typeddict(kind) or not isinstance(kind, type):
        raise TypeError(f"a report holds {kind}, which is not known here")
    if issubclass(kind, tuple):
        return _take_named(kind)
    return _take_scalar((int, float) if kind is float else (kind,))


def _take_scalar(kinds: tuple[type, ...]) -> _Take:
    def take(data: Any) -> Any:
        if data.__class__ not in kinds:
            raise ForeignDataError(f"{data.__class__.__name__} where {kinds[-1].__name__} belongs")
        return data

    return take


def _take_word(words: tuple[Any, ...]) -> _Take:
    def take(data: Any) -> Any:
        if data.__class__ is not str or data not in words:
            raise ForeignDataError("an unknown word")
        return data

    return take


def _take_either(kind: Any) -> _Take:
    (other,) = (each for each in get_args(kind) if each is not type(None))
    inner = _taker(other)
    return lambda data: None if data is None else inner(data)


def _take_tuple(inside: tuple[Any, ...]) -> _Take:
    if inside[-1] is Ellipsis:
        take_one = _taker(inside[0])

        def take_all(data: Any) -> Any:
            if data.__class__ is not list:
                raise ForeignDataError("no list")
            return tuple(map(take_one, data)) if data else ()

        return take_all
    return _take_each(inside, tuple)


def _take_named(kind: type) -> _Take:
    hints = get_type_hints(kind)
    fields: tuple[str, ...] = kind._fields  # type: ignore[attr-defined]
    return _take_each(tuple(hints[name] for name in fields), kind._make)  # type: ignore[attr-defined]


def _take_each(inside: tuple[Any, ...], make: Callable[[Any], Any]) -> _Take:
    takers = tuple(map(_taker, inside))
    flat = tuple(map(_is_flat, inside))
    # By the classes of the values, once they were found right: the places yet to be looked into.
    right: dict[tuple[type, ...], tuple[int, ...]] = {}

    def take(data: Any) -> Any:
        if data.__class__ is not list:
            raise ForeignDataError("no list")
        classes = tuple(map(type, data))
        places = right.get(classes)
        if places is not None:
            for place in places:
                data[place] = takers[place](data[place])
            return make(data)
        if len(data) != len(takers):
            raise ForeignDataError("a list of another length")
        made = make([take_one(value) for take_one, value in zip(takers, data, strict=True)])
        right[classes] = tuple(
            place for place, value in enumerate(data) if value is not None and not flat[place]
        )
        return made

    return take


def _is_flat(kind: Any) -> bool:
    """Tell whether a value of this type is right by its class alone."""
    kinds = get_args(kind) if get_origin(kind) in (Union, types.UnionType) else (kind,)
    return all(each in _PLAIN for each in kinds)


def _take_mapping(data: Any) -> Any:
    if data.__class__ is not dict:
        raise ForeignDataError("no mapping")
    return _take_plain(data)


def _take_plain(data: Any) -> Any:
    """Plain data as it is, but for lists, which are tuples in a report."""
    if data.__class__ is dict:
        return {key: _take_plain(value) for key, value in data.items()}
    if data.__class__ is list:
        return tuple(map(_take_plain, data))
    if data.__class__ not in _PLAIN:
        raise ForeignDataError("no plain data")
    return data
