"""Finds strips, routes and figures where the plan writes them, and writes others as it does."""

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.api.plan import Element
from underfoot.api.rules import Edit, read_quantity

Path = tuple[str | int, ...]


class WrittenStrip(Struct, frozen=True, kw_only=True):
    """Where a plan writes a strip: by itself, or as a place of a row, counted from 0."""

    room: str
    name: str
    place: int | None = None

    @property
    def path(self) -> Path:
        """The path of the strip's or the row's entry."""
        return ("rooms", self.room, "elements" if self.place is None else "rows", self.name)


def find_strip(room: str, element: Element) -> WrittenStrip:
    """Find where a plan writes a strip."""
    if element.row is None:
        return WrittenStrip(room=room, name=element.id)
    place = int(element.id.removeprefix(element.row)) - 1
    return WrittenStrip(room=room, name=element.row, place=place)


def look_up(data: Any, path: Sequence[str | int]) -> Any:
    """Return what stands at a path of the plan's own text; None where nothing does."""
    for part in path:
        if isinstance(data, Mapping):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data


def length_of(value: Any) -> float:
    """Read a length as a plan writes it."""
    return read_quantity(value, "mm")


def write_length(value_mm: float, like: Any = None) -> Any:
    """Write a length as the plan wrote the one before: as a number, or with its unit."""
    if isinstance(like, str):
        unit = like.strip().split(" ")[-1]
        by = {"m": 1000.0, "cm": 10.0, "mm": 1.0}.get(unit)
        if by is not None:
            return f"{_tidy(value_mm / by)} {unit}"
    return _tidy(value_mm)


def write_point(x: float, y: float, like: Any = None) -> list[Any]:
    """Write a place, each part as the plan wrote it before; in tenths of a millimetre at most."""
    old = like if isinstance(like, list) and len(like) == 2 else [None, None]
    return [write_length(part, was) for part, was in zip((x, y), old, strict=True)]


def change(data: Any, path: Path, value: Any) -> Edit:
    """Write a value at a path: in the place of what stands there, or anew."""
    if look_up(data, path) is None:
        return Edit(op="add", path=path, value=value)
    return Edit(op="replace", path=path, value=value)


def change_list(path: Path, old: list[Any], new: list[Any]) -> tuple[Edit, ...]:
    """Turn one list into another: by one place changed, put in or taken out, else whole."""
    first = 0
    while first < min(len(old), len(new)) and old[first] == new[first]:
        first += 1
    last = 0
    while last < min(len(old), len(new)) - first and old[-1 - last] == new[-1 - last]:
        last += 1
    gone, come = old[first : len(old) - last], new[first : len(new) - last]
    if not gone and not come:
        return ()
    if len(gone) == len(come) == 1:
        return (Edit(op="replace", path=(*path, first), value=come[0]),)
    if not gone and len(come) == 1:
        return (Edit(op="add", path=(*path, first), value=come[0]),)
    if not come and len(gone) == 1:
        return (Edit(op="remove", path=(*path, first)),)
    return (Edit(op="replace", path=path, value=new),)


def _tidy(value: float) -> float | int:
    """Write a whole number as one, any other to a thousandth."""
    near = round(value, 3)
    return int(near) if near == int(near) else near
