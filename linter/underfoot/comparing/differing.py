"""Values of two revisions that differ, in the words of the trade: ``breaker: 10 A, was 16 A``."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from msgspec import Struct

from underfoot.checking.numbers import format_quantity
from underfoot.comparing.change import SAME, Became
from underfoot.plan_format.fields import Field, fields_made

Fields = Mapping[str, Field]

# A cable's length is read in metres.
_IN_METRES = 10_000
_NOT_TOLD = frozenset({"path", "paths", "id", "size_text", "conductor_text", "named_end"})


def say_differences(old: Any, new: Any, but: Collection[str] = ()) -> Iterator[Became]:
    """Yield in words all that differs below two values."""
    for name, was, is_now in list_differences(old, new, but=but):
        yield "changed", f"{name}: {is_now}, was {was}", None


def list_differences(
    old: Any, new: Any, name: str = "", but: Collection[str] = (), unit: str = ""
) -> Iterator[tuple[str, str, str]]:
    """Yield name, value then and value now of all that differs below two values; `but` is left out.

    `unit` is that of the numbers. A thing with an id that stands inside another is only named by
    it.
    """
    if old is None or new is None or type(old) is not type(new):
        if old != new and not (_is_number(old) and _is_number(new) and _near(old, new)):
            yield name, _say(old, unit), _say(new, unit)
    elif _is_thing(old):
        if name and hasattr(old, "id"):
            if old.id != new.id:
                yield name, old.id, new.id
            return
        kind: Any = type(old)
        made = fields_made(kind)
        for field in kind.__struct_fields__:
            if field in _NOT_TOLD or field in but:
                continue
            then, now = getattr(old, field), getattr(new, field)
            if isinstance(then, Mapping) or isinstance(now, Mapping):
                yield from _list_entries(then or {}, now or {}, name, field, made)
                continue
            about = made.get(field) or Field(words=field.replace("_", " "))
            yield from list_differences(then, now, f"{name} {about.words}".strip(), (), about.unit)
    elif isinstance(old, tuple) and any(_is_thing(each) for each in (*old, *new)):
        for place in range(max(len(old), len(new))):
            yield from list_differences(
                old[place] if place < len(old) else None,
                new[place] if place < len(new) else None,
                f"{name} {place + 1}",
            )
    elif old != new and not (_is_number(old) and _near(old, new)):
        yield name, _say(old, unit), _say(new, unit)


def _list_entries(
    old: Mapping[str, Any], new: Mapping[str, Any], name: str, field: str, made: Fields
) -> Iterator[tuple[str, str, str]]:
    """Yield what differs between two mappings: each entry is a key of its own, or all are alike."""
    alike = made.get(field)
    for key in [*old, *(key for key in new if key not in old)]:
        about = made.get(f"{field}.{key}")
        words = about.words if about else f"{alike.words if alike else field} {key}"
        unit = about.unit if about else alike.unit if alike else ""
        yield from list_differences(old.get(key), new.get(key), f"{name} {words}".strip(), (), unit)


def _is_thing(value: Any) -> bool:
    return isinstance(value, Struct)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _near(old: float, new: float) -> bool:
    return abs(old - new) <= SAME * max(1.0, abs(old)) * 1e-3


def _say(value: Any, unit: str) -> str:
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if unit == "mm" and value >= _IN_METRES:
            return format_quantity(value / 1000, "m")
        return format_quantity(value, unit)
    if _is_thing(value):
        named = getattr(value, "id", None)
        return str(named) if named is not None else "given"
    if isinstance(value, tuple):
        if all(isinstance(each, str) for each in value):
            return ", ".join(value) or "none"
        if all(isinstance(each, float | int) for each in value):
            between = " to " if unit == "%" else " × "
            return between.join(format_quantity(each, unit) for each in value)
        return f"an outline of {len(value)} corners"
    return str(value)
