"""Writes a damage as its plan would have written it, or finds that it cannot be.

Who looks only at how a plan is written (odd numbers, odd names, keys that stand nowhere else, the
order of things) must not find what is wrong with it. So figures take the plan's own steps and
decimals, added things take names like those that are there, and a damage that needs a key which
the plan does not have, another unit or a figure of another size is not in the plan's style.
"""

import math
import random
from collections.abc import Sequence
from typing import Any

from underfoot.checking.mutation import Data
from underfoot.marking.closing_rows import close_rows
from underfoot.marking.how_written import (
    DATE,
    FIGURE,
    MADE,
    Style,
    form_of,
    list_places,
    number_of,
)
from underfoot.marking.naming import rename_added

# Below a room's `rooms.*` and in the materials, names stand for keys: a thing more is no new key.
COLLECTIONS = frozenset(
    ("fixtures", "joints", "openings", "leads", "rows", "elements", "pieces", "circuits", "rooms",
     "films", "boards", "sheets", "coverings")
)  # fmt: skip
# How much larger or smaller a figure may become, and the longest cable of a house, in metres.
_AT_MOST_TIMES, _LONGEST_M = 2.5, 45.0


def write_in_style(right: Data, before: Data, damaged: Data, rng: random.Random) -> Data | None:
    """Return `damaged` as the plan `right` would have written it; None where that cannot be.

    `before` is the plan as it was before this damage, which may bear other damages.
    """
    closed = close_rows(before, damaged)
    if closed is None:
        return None
    named = rename_added(before, closed, rng)
    if named is None:
        return None
    steps = Style(right)
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


def _settle(new: Any, old: Any, path: tuple[str, ...], steps: Style) -> Any:
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
    form = form_of(new)
    if form is None or (new == old and type(new) is type(old)):
        return new
    key = next(each for each in reversed(path) if each != "[]")
    decimals = steps.decimals(key, form.unit) or 0
    if path[-1] == "[]" and key != "lengths" and path[1:2] == ("rooms",) and form.unit is None:
        step = steps.of_places(path[2], path[3])
    else:
        step = steps.of_key(key, form.unit)
    number = number_of(new)
    if form.unit in MADE:
        number = min(sorted(MADE[form.unit]), key=lambda made: abs(made - number))
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


def _stands_out(new: Any, old: Any, path: tuple[str, ...], steps: Style) -> bool:
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
    new: Sequence[Any], old: Sequence[Any], path: tuple[str, ...], steps: Style
) -> bool:
    if any(isinstance(value, dict) for value in (*new, *old)):
        paired = zip(new, old, strict=False)
        return any(_stands_out(a, b, (*path, "[]"), steps) for a, b in paired) or any(
            not _is_like_one(value, old, (*path, "[]"), steps) for value in new[len(old) :]
        )
    figures, known = list(list_places(list(new))), list(list_places(list(old)))
    if any(isinstance(each, float) for each in figures) > any(isinstance(e, float) for e in known):
        return True
    if path[-1] == "size" and not all(steps.has_size(each) for each in figures):
        return True
    if path[-1] == "route" and not steps.has_route(path[1], path[2], new):
        return True
    least = min((*known, 0))
    return any(each < least for each in figures) or _words(new) > _words(old)


def _words(told: Sequence[Any]) -> int:
    """Count the quantities with units in a list."""
    return sum(isinstance(value, str) and bool(FIGURE.fullmatch(value)) for value in told)


def _scalar_stands_out(new: Any, old: Any, key: str, steps: Style) -> bool:
    if new == old and type(new) is type(old):
        return False
    if isinstance(new, bool) or isinstance(old, bool):
        return type(new) is not type(old) or (new is False and not steps.has_false)
    if isinstance(new, dict | list) or new is None:
        return True
    if _is_date(new) or _is_date(old):
        return not (_is_date(new) and new[:4] in steps.years)
    form, was = form_of(new), form_of(old)
    if form is None or was is None:
        return (form is None) is not (was is None)
    decimals = steps.decimals(key, form.unit)
    if decimals is None or form.decimals > decimals:
        return True
    return not _is_of_size(number_of(new), number_of(old), form.unit)


def _is_of_size(new: float, old: float, unit: str | None) -> bool:
    if unit in MADE and new not in MADE[unit]:
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
    return isinstance(value, str) and bool(DATE.fullmatch(value))


def _is_like_one(new: Any, siblings: Any, path: tuple[str, ...], steps: Style) -> bool:
    """Tell whether a thing that came in is written as one of its kind in the plan."""
    return any(_is_alike(new, one, path, steps) for one in siblings)


def _is_alike(new: Any, one: Any, path: tuple[str, ...], steps: Style) -> bool:
    if isinstance(new, dict):
        return (
            isinstance(one, dict)
            and set(new) == set(one)
            and all(
                _is_alike(value, one[name], (*path, name), steps) for name, value in new.items()
            )
        )
    if isinstance(new, list):
        return isinstance(one, list) and not _list_stands_out(new, one, path, steps)
    if isinstance(new, bool) or isinstance(one, bool):
        return type(new) is type(one)
    form, was = form_of(new), form_of(one)
    if form is None or was is None:
        return (form is None) is (was is None)
    decimals = steps.decimals(path[-1], form.unit)
    if decimals is None or form.decimals > decimals:
        return False
    return _is_of_size(number_of(new), number_of(one), form.unit)
