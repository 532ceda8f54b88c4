"""Values of two revisions that differ, in the words of the trade: ``breaker: 10 A, was 16 A``."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from underfoot.checking.numbers import format_quantity
from underfoot.comparing.change import SAME

# Fields say their unit in their name; the longest ending goes first.
_ENDINGS = (
    ("_ohm_m", "ohm/m"),
    ("_w_m2k", "W/m2/K"),
    ("_m2k_w", "m2 K/W"),
    ("_kg_m3", "kg/m3"),
    ("_per_h", "1/h"),
    ("_percent", "%"),
    ("_w_mk", "W/m/K"),
    ("_mohm", "Mohm"),
    ("_va", "VA"),
    ("_w_m2", "W/m2"),
    ("_ma_m2", "mA/m2"),
    ("_ma_m", "mA/m"),
    ("_w_m", "W/m"),
    ("_mm2", "mm2"),
    ("_ohm", "ohm"),
    ("_deg", "deg"),
    ("_ma", "mA"),
    ("_m2", "m2"),
    ("_ms", "ms"),
    ("_a", "A"),
    ("_c", "degC"),
    ("_v", "V"),
    ("_w", "W"),
)
# A cable's length is read in metres.
_IN_METRES = 10_000
_NOT_TOLD = frozenset({"path", "paths", "id", "size_text", "conductor_text", "named_end"})


def list_differences(
    old: Any, new: Any, name: str = "", but: Collection[str] = ()
) -> Iterator[tuple[str, str, str]]:
    """Yield name, value then and value now of all that differs below two values; `but` is left out.

    A thing with an id that stands inside another is only named by it.
    """
    if old is None or new is None or type(old) is not type(new):
        if old != new and not (_is_number(old) and _is_number(new) and _near(old, new)):
            yield _named(name), _say(old, name), _say(new, name)
    elif _is_thing(old):
        if name and hasattr(old, "id"):
            if old.id != new.id:
                yield _named(name), old.id, new.id
            return
        for field, then, now in zip(old._fields, old, new, strict=True):
            if field not in _NOT_TOLD and field not in but:
                yield from list_differences(then, now, f"{name}.{field}" if name else field)
    elif isinstance(old, Mapping):
        for key in [*old, *(key for key in new if key not in old)]:
            yield from list_differences(old.get(key), new.get(key), f"{name}.{key}")
    elif isinstance(old, tuple) and any(_is_thing(each) for each in (*old, *new)):
        for place in range(max(len(old), len(new))):
            yield from list_differences(
                old[place] if place < len(old) else None,
                new[place] if place < len(new) else None,
                f"{name} {place + 1}",
            )
    elif old != new and not (_is_number(old) and _near(old, new)):
        yield _named(name), _say(old, name), _say(new, name)


def _is_thing(value: Any) -> bool:
    return hasattr(value, "_fields")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _near(old: float, new: float) -> bool:
    return abs(old - new) <= SAME * max(1.0, abs(old)) * 1e-3


def _ending(name: str) -> tuple[str, str]:
    for ending, unit in _ENDINGS:
        if name.endswith(ending):
            return name.removesuffix(ending), unit
    return name, "mm"


def _named(name: str) -> str:
    return _ending(name)[0].replace(".", " ").replace("_", " ").strip()


def _say(value: Any, name: str) -> str:
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        unit = _ending(name)[1]
        if unit == "mm" and value >= _IN_METRES:
            return format_quantity(value / 1000, "m")
        return format_quantity(value, unit)
    if _is_thing(value):
        named = getattr(value, "id", None)
        return str(named) if named is not None else "given"
    if isinstance(value, tuple):
        if all(isinstance(each, str) for each in value):
            return ", ".join(value) or "none"
        if name.endswith("tolerance"):
            return " to ".join(format_quantity(each, "%") for each in value)
        if all(isinstance(each, float | int) for each in value):
            return " × ".join(format_quantity(each, "mm") for each in value)
        return f"an outline of {len(value)} corners"
    return str(value)
