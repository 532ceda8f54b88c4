"""Mappings that nobody changes: what a plan says, and what follows from it."""

from __future__ import annotations

from typing import NoReturn, TypeVar

from msgspec import Struct
from msgspec.structs import force_setattr

Key = TypeVar("Key")
Value = TypeVar("Value")


class ReadOnly(dict[Key, Value]):
    """A mapping that can be read alone, as quickly as any; `dict(it)` is a copy to be changed."""

    def _refuse(self, *given: object, **named: object) -> NoReturn:
        raise TypeError("nothing of a plan or its facts can be changed: take a copy, dict(...)")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse

    def __reduce__(self) -> tuple[type[ReadOnly[Key, Value]], tuple[dict[Key, Value]]]:
        """Be made anew in one step, on the way to another process and in copies."""
        return type(self), (dict(self),)


def keep_mappings(thing: Struct, *names: str) -> None:
    """Let the mappings of a value that is just made be read alone."""
    for name in names:
        mapping = getattr(thing, name)
        if type(mapping) is dict:
            force_setattr(thing, name, ReadOnly(mapping))
