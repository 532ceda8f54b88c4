"""Writes figures with their units as the plan does, and takes things out of it."""

import re
from collections.abc import Mapping
from typing import Any

from underfoot.api.rules import Edit, read_quantity
from underfoot_rules.menders.written import Path, change, look_up

_WRITTEN = re.compile(r"([+-]?[0-9.]+(?:[eE][+-]?[0-9]+)?)(\s*)(.+)")


def parts_of(data: Any, path: str) -> Path:
    """Divide a dotted path of the plan into keys and places in lists."""
    found: list[str | int] = []
    for part in path.split(".") if path else ():
        is_place = isinstance(look_up(data, found), list) and part.isdecimal()
        found.append(int(part) if is_place else part)
    return tuple(found)


def spell(value: float, unit: str, like: Any = None) -> str | float | int:
    """Write a figure: in the unit of what stood there, as a bare number where that was one."""
    if isinstance(like, int | float) and not isinstance(like, bool):
        return tidy(value)
    told = _WRITTEN.fullmatch(like.strip()) if isinstance(like, str) else None
    if told is not None and unit not in ("degC", "K"):
        number, space, own = told.groups()
        by = read_quantity(like, unit) / float(number) if float(number) else 0.0
        if by > 0.0:
            return f"{tidy(value / by)}{space}{own}"
    return f"{tidy(value)} {unit}"


def put(data: Any, path: Path, value: float, unit: str) -> Edit:
    """Write a figure at a path, spelt as the one that stands there."""
    return change(data, path, spell(value, unit, look_up(data, path)))


def take_out(path: Path) -> Edit:
    """Take out what stands at a path."""
    return Edit(op="remove", path=path)


def stands(data: Any, path: Path) -> bool:
    """Tell whether the plan's own text has something at a path."""
    return look_up(data, path) is not None


def new_name(taken: Mapping[str, Any] | set[str], stem: str) -> str:
    """Return the first of ``C1``, ``C2`` and so on that is not taken."""
    number = 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def tidy(value: float) -> float | int:
    """Write a whole number as one, any other with six digits."""
    near = float(f"{value:.6g}")
    return int(near) if near == int(near) else near
