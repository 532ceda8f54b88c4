"""Any value of the project as lines of text, a figure or word a line, and kept texts of such lines.

Figures are written to six digits, shapes by area and length to five and by their middle, so that
what another version of a library does to the last digit, or to the order of corners, does not show.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import shapely

HEAD = "## "


def lines_of(value: Any, at: str = "") -> Iterator[tuple[str, str]]:
    """Yield each figure and word within a value, with the way to it."""
    names = getattr(value, "__struct_fields__", None) or getattr(value, "_fields", None)
    if names is None and is_dataclass(value):
        names = tuple(field.name for field in fields(value))
    if isinstance(value, shapely.Geometry):
        yield at, shape_words(value)
    elif isinstance(value, np.ndarray):
        yield from lines_of(value.tolist(), at)
    elif names is not None:
        for name in names:
            yield from lines_of(getattr(value, name), f"{at}.{name}".lstrip("."))
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from lines_of(inner, f"{at}.{key}".lstrip("."))
    elif isinstance(value, frozenset | set):
        yield from lines_of(sorted(value), at)
    elif isinstance(value, list | tuple):
        if all(isinstance(each, int | float | str | None) for each in value):
            yield at, "[" + ", ".join(_word(each) for each in value) + "]"
            return
        for place, inner in enumerate(value):
            yield from lines_of(inner, f"{at}.{place}")
    else:
        yield at, _word(value)


def figure(value: float, digits: str = ".6g") -> str:
    """Write a figure; nought but for the last digits is nought, and what ends in 5 goes up."""
    if abs(value) < 1e-6:
        return "0"
    return f"{value + (1e-6 if digits[-1] == 'f' else 1e-8 * abs(value)):{digits}}"


def _word(value: object) -> str:
    return figure(value) if isinstance(value, float) else str(value)


def shape_words(shape: shapely.Geometry) -> str:
    """Say of a shape its kind, how large and long it is, and where its middle lies."""
    if shape.is_empty:
        return "empty"
    x, y = shape.centroid.coords[0]
    size = f"{shape.geom_type} {figure(shape.area, '.5g')} {figure(shape.length, '.5g')}"
    return f"{size} at {figure(x, '.1f')} {figure(y, '.1f')}"


def write_out(value: Any) -> dict[str, str]:
    """Return the figures and words within a value by the way to them."""
    return dict(lines_of(value))


def ways_in(data: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the way to each entry of plain data, an outer one before those within it."""
    if isinstance(data, dict | list):
        for key in data if isinstance(data, dict) else range(len(data)):
            yield (*way, key)
            yield from ways_in(data[key], (*way, key))


def differences(before: Mapping[str, str], after: Mapping[str, str]) -> list[str]:
    """Say what differs between two values written out."""
    return [
        f"{name}: {before.get(name, '(none)')} -> {after.get(name, '(none)')}"
        for name in dict.fromkeys((*before, *after))
        if before.get(name) != after.get(name)
    ]


@cache
def kept_in(file: Path) -> dict[str, str]:
    """Return what is kept in a file, by name."""
    parts = (part.partition("\n") for part in f"\n{file.read_text('utf-8')}".split(f"\n{HEAD}")[1:])
    return {name: said.strip("\n") for name, _, said in parts}


def keep(file: Path, said: Mapping[str, str]) -> None:
    """Write down what is to be kept."""
    file.write_text("\n".join(f"{HEAD}{name}\n{text}\n" for name, text in said.items()), "utf-8")
