"""Writes a damage as its plan would have written it, or finds that it cannot be.

Who looks only at how a plan is written (odd numbers, odd names, keys that stand nowhere else, the
order of things) must not find what is wrong with it. So figures take the plan's own steps and
decimals, added things take names like those that are there, and a damage that needs a key which
the plan does not have, another unit or a figure of another size is not in the plan's style.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from underfoot.checking.mutation import Data
from underfoot.marking.closing_rows import close_rows
from underfoot.marking.naming import rename_added

# Below a room's `rooms.*` and in the materials, names stand for keys: a thing more is no new key.
COLLECTIONS = frozenset(
    ("fixtures", "joints", "leads", "rows", "elements", "pieces", "circuits", "rooms",
     "films", "boards", "sheets", "coverings")
)  # fmt: skip
# How much larger or smaller a figure may become, and the longest cable of a house, in metres.
_AT_MOST_TIMES, _LONGEST_M = 2.5, 45.0
# What is made only in certain sizes stands out in any other.
_MADE: Mapping[str | None, frozenset[float]] = {
    " A": frozenset((3, 6, 10, 13, 16, 20, 25, 32, 40, 50, 63)),
    " mA": frozenset((10, 30, 100, 300)),
    " mm2": frozenset((0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10)),
}
_FIGURE = re.compile(r"(-?\d+(?:\.\d+)?)( .+)")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_STEPS_FROM = 50


class _Form(NamedTuple):
    """How a figure is written: its unit (None for a bare number) and its decimals."""

    unit: str | None
    decimals: int


def write_in_style(right: Data, before: Data, damaged: Data, rng: random.Random) -> Data | None:
    """Give `damaged` as the plan `right` would have written it; None where that cannot be.

    `before` is the plan as it was before this damage, which may bear other damages.
    """
    closed = close_rows(before, damaged)
    if closed is None:
        return None
    named = rename_added(before, closed, rng)
    if named is None:
        return None
    steps = _Steps(right)
    settled = _settle(_without_empties(named, before), before, ("",), steps)
    ordered: Data = _order(settled, before, rng, is_named=False)
    return None if _stands_out(ordered, right, (), steps) else ordered


def only_lacks(damaged: Data, before: Data) -> bool:
    """Tell whether a damage did no more than leave things out."""

    def lacks(new: Any, old: Any) -> bool:
        if isinstance(new, dict) and isinstance(old, dict):
            return all(key in old and lacks(value, old[key]) for key, value in new.items())
        if isinstance(new, list) and isinstance(old, list) and len(new) < len(old):
            return all(value in old for value in new)
        return bool(new == old)

    return lacks(damaged, before)


def _without_empties(new: Any, old: Any) -> Any:
    """Leave a key out whose last thing was taken away, as nobody writes an empty one."""
    if not isinstance(new, dict) or not isinstance(old, dict):
        return new
    return {
        key: _without_empties(value, old.get(key))
        for key, value in new.items()
        if not (value in ({}, []) and old.get(key))
    }


class _Steps:
    """How a plan writes: the steps of its places by room and kind, its figures, dates and stops."""

    def __init__(self, plan: Data) -> None:
        self._places = {
            (name, kind): _common_step([abs(each) for each in _places(told)])
            for name, room in plan["rooms"].items()
            for kind, told in ((None, room), *room.items())
            if any(_places(told))
        }
        self._forms: dict[str, set[_Form]] = {}
        self._figures: dict[tuple[str, str | None], list[float]] = {}
        self.has_false = False
        self.years: set[str] = set()
        for key, value in _scalars(plan):
            form = _form(value)
            if form is not None:
                self._forms.setdefault(key, set()).add(form)
                self._figures.setdefault((key, form.unit), []).append(_number(value))
            self.has_false |= value is False
            if isinstance(value, str) and _DATE.fullmatch(value):
                self.years.add(value[:4])
        self.stops = {_stop(each) for key, each in _scalars(plan) if key == "route"}

    def of_places(self, room: str, kind: str | None) -> int:
        """Give the step of a room's places of a kind, in mm."""
        return self._places.get((room, kind), self._places.get((room, None), 10))

    def of_key(self, key: str, unit: str | None) -> int:
        """Give the step of a key's figures; 1 where they have none."""
        figures = self._figures.get((key, unit), [])
        if unit in _MADE or min(figures, default=0.0) < _STEPS_FROM:
            return 1
        return _common_step(figures)

    def decimals(self, key: str, unit: str | None) -> int | None:
        """Give with how many decimals a key's figures in a unit are written; None for never."""
        found = [one.decimals for one in self._forms.get(key, ()) if one.unit == unit]
        return max(found) if found else None

    def has_size(self, figure: float) -> bool:
        """Tell whether things so large are in the plan, or nearly."""
        sizes = self._figures.get(("size", None), [figure])
        return min(sizes) / 2 <= figure <= max(sizes) * 2


def _stop(word: Any) -> str | None:
    """Give the form of a stop of a route: a row's name, a strip's, a strip's end."""
    return re.sub("[A-Z]+", "A", re.sub(r"\d+", "9", word)) if isinstance(word, str) else None


def _common_step(figures: Sequence[float]) -> int:
    for step in (10, 5):
        if all(abs(each / step - round(each / step)) < 1e-9 for each in figures):
            return step
    return 1


def _places(told: Any) -> Iterator[float]:
    """Give the numbers of all lists in a thing."""
    if isinstance(told, dict):
        for value in told.values():
            yield from _places(value)
    elif isinstance(told, list):
        for value in told:
            if _is_number(value):
                yield value
            else:
                yield from _places(value)


def _scalars(told: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(told, dict):
        for name, value in told.items():
            yield from _scalars(value, name)
    elif isinstance(told, list):
        for value in told:
            yield from _scalars(value, key)
    else:
        yield key, told


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _form(value: Any) -> _Form | None:
    """Tell how a figure is written; None for a word."""
    if _is_number(value):
        return _Form(None, len(repr(value).partition(".")[2]) if isinstance(value, float) else 0)
    found = _FIGURE.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        return None
    return _Form(found[2], len(found[1].partition(".")[2]))


def _number(value: Any) -> float:
    return float(value if _is_number(value) else value.partition(" ")[0])


def _settle(new: Any, old: Any, path: tuple[str, ...], steps: _Steps) -> Any:
    """Write every figure that changed in the step and with the decimals of its kind."""
    if isinstance(new, dict):
        told = old if isinstance(old, dict) else {}
        return {
            key: _settle(value, told.get(key), (*path, key), steps) for key, value in new.items()
        }
    if isinstance(new, list):
        listed = old if isinstance(old, list) else []
        return [
            _settle(value, listed[at] if at < len(listed) else None, (*path, "[]"), steps)
            for at, value in enumerate(new)
        ]
    form = _form(new)
    if form is None or (new == old and type(new) is type(old)):
        return new
    key = next(each for each in reversed(path) if each != "[]")
    decimals = steps.decimals(key, form.unit) or 0
    if path[-1] == "[]" and key != "lengths" and path[1:2] == ("rooms",) and form.unit is None:
        step = steps.of_places(path[2], path[3])
    else:
        step = steps.of_key(key, form.unit)
    number = _number(new)
    if step > 1:
        number = round(number / step) * step
    if form.unit is None:
        number = round(number, decimals)
        return round(number) if number == round(number) else number
    return f"{number:.{decimals}f}{form.unit}"


def _order(new: Any, old: Any, rng: random.Random, *, is_named: bool) -> Any:
    """Put a plan's keys in the order that they had; named things that came in stand anywhere."""
    if isinstance(new, list):
        listed = old if isinstance(old, list) else []
        return [
            _order(value, listed[at] if at < len(listed) else None, rng, is_named=False)
            for at, value in enumerate(new)
        ]
    if not isinstance(new, dict):
        return new
    told = old if isinstance(old, dict) else {}
    keys = [key for key in told if key in new]
    for key in (key for key in new if key not in told):
        at = rng.randint(0, len(keys)) if is_named and not key[-1:].isdigit() else len(keys)
        keys.insert(at, key)
    return {key: _order(new[key], told.get(key), rng, is_named=key in COLLECTIONS) for key in keys}


def _stands_out(new: Any, old: Any, path: tuple[str, ...], steps: _Steps) -> bool:
    """Tell whether something is written as the plan writes nothing."""
    if isinstance(old, dict):
        if not isinstance(new, dict):
            return True
        named = bool(path) and path[-1] in COLLECTIONS
        return any(
            _stands_out(value, old[key], (*path, key), steps)
            if key in old
            else not (named and _is_like_one(value, old.values(), (*path, key), steps))
            for key, value in new.items()
        )
    if isinstance(old, list):
        return not isinstance(new, list) or _list_stands_out(new, old, path, steps)
    return _scalar_stands_out(new, old, path[-1], steps)


def _list_stands_out(
    new: Sequence[Any], old: Sequence[Any], path: tuple[str, ...], steps: _Steps
) -> bool:
    if any(isinstance(value, dict) for value in (*new, *old)):
        paired = zip(new, old, strict=False)
        return any(_stands_out(a, b, (*path, "[]"), steps) for a, b in paired) or any(
            not _is_like_one(value, old, (*path, "[]"), steps) for value in new[len(old) :]
        )
    figures, known = list(_places(list(new))), list(_places(list(old)))
    if any(isinstance(each, float) for each in figures) > any(isinstance(e, float) for e in known):
        return True
    if path[-1] == "size" and not all(steps.has_size(each) for each in figures):
        return True
    if path[-1] == "route" and not {_stop(each) for each in new} <= steps.stops:
        return True
    least = min((*known, 0))
    return any(each < least for each in figures) or _words(new) > _words(old)


def _words(told: Sequence[Any]) -> int:
    """Count the quantities with units in a list."""
    return sum(isinstance(value, str) and bool(_FIGURE.fullmatch(value)) for value in told)


def _scalar_stands_out(new: Any, old: Any, key: str, steps: _Steps) -> bool:
    if new == old and type(new) is type(old):
        return False
    if isinstance(new, bool) or isinstance(old, bool):
        return type(new) is not type(old) or (new is False and not steps.has_false)
    if isinstance(new, dict | list) or new is None:
        return True
    if _is_date(new) or _is_date(old):
        return not (_is_date(new) and new[:4] in steps.years)
    form, was = _form(new), _form(old)
    if form is None or was is None:
        return (form is None) is not (was is None)
    decimals = steps.decimals(key, form.unit)
    if decimals is None or form.decimals > decimals:
        return True
    return not _is_of_size(_number(new), _number(old), form.unit)


def _is_of_size(new: float, old: float, unit: str | None) -> bool:
    if unit in _MADE and new not in _MADE[unit]:
        return False
    if unit == " mA":
        return True
    if unit == " m" and new > max(old, _LONGEST_M):
        return False
    if not new or not old:
        return new == old
    times = new / old
    return times > 0 and abs(math.log(times)) <= math.log(_AT_MOST_TIMES) + 1e-9


def _is_date(value: Any) -> bool:
    return isinstance(value, str) and bool(_DATE.fullmatch(value))


def _is_like_one(new: Any, siblings: Any, path: tuple[str, ...], steps: _Steps) -> bool:
    """Tell whether a thing that came in is written as one of its kind in the plan."""
    return any(_is_alike(new, one, steps, path[-1]) for one in siblings)


def _is_alike(new: Any, one: Any, steps: _Steps, key: str) -> bool:
    if isinstance(new, dict):
        return (
            isinstance(one, dict)
            and set(new) == set(one)
            and all(_is_alike(value, one[name], steps, name) for name, value in new.items())
        )
    if isinstance(new, list):
        return isinstance(one, list) and not _list_stands_out(new, one, (key,), steps)
    if isinstance(new, bool) or isinstance(one, bool):
        return type(new) is type(one)
    form, was = _form(new), _form(one)
    if form is None or was is None:
        return (form is None) is (was is None)
    decimals = steps.decimals(key, form.unit)
    if decimals is None or form.decimals > decimals:
        return False
    return _is_of_size(_number(new), _number(one), form.unit)
