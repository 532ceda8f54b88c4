"""A plan with other ids, of things, strips, materials, rooms and circuits alike."""

import random
import re
from collections.abc import Callable, Iterator
from typing import Any

Data = dict[str, Any]

_STRIP = re.compile(r"(.+?)([1-9][0-9]*)")
# Where ids stand as values: under these keys, one or a list of them.
_REFERENCES = frozenset(
    {"film", "circuit", "after", "board", "boards", "sheet", "barrier", "covering", "shares",
     "thermostat", "room", "reads", "item", "from", "to"}
)  # fmt: skip
_MATERIALS = ("films", "boards", "sheets", "coverings")
_THINGS = ("fixtures", "joints", "openings", "elements", "rows", "leads")


def list_ids(plan: Data) -> Iterator[str]:
    """List the ids that a plan gives, a row's before those that it stands for."""
    yield from _names(plan, "rooms")
    yield from _names(plan, "circuits")
    for kind in _MATERIALS:
        yield from _names(plan["materials"], kind)
    for room in plan["rooms"].values():
        for kind in _THINGS:
            yield from _names(room, kind)
        for layer in (room.get("insulation") or {}).get("layers") or []:
            yield from _names(layer, "pieces")
        yield from _names(room.get("membrane") or {}, "pieces")


def _names(data: Data, key: str) -> list[str]:
    return [name for name in data.get(key) or {} if name != "note"]


def renaming(plan: Data, rng: random.Random) -> Callable[[str], str]:
    """Draw new names, which sort in another order; what is no id keeps its name."""
    old = list(dict.fromkeys(list_ids(plan)))
    rows = {row for room in plan["rooms"].values() for row in _names(room, "rows")}
    # Letters alone: the number of a strip follows.
    new = [f"z{_spelt(number)}" for number in range(len(old))]
    rng.shuffle(new)
    names = dict(zip(old, new, strict=True))

    def rename(name: str) -> str:
        if name in names:
            return names[name]
        strip = _STRIP.fullmatch(name)
        if strip is not None and strip[1] in rows:
            return names[strip[1]] + strip[2]
        return name

    return rename


def _spelt(number: int) -> str:
    return "".join(chr(ord("a") + int(digit)) for digit in f"{number:03}")


def rename_ids(plan: Data, rename: Callable[[str], str]) -> Data:
    """Return the plan with every id renamed, and whatever names one."""
    renamed: Data = _rename(plan, rename, "")
    for test in renamed.get("tests") or []:
        if test.get("strips"):
            test["strips"] = {rename(name): value for name, value in test["strips"].items()}
    return renamed


def _rename(data: Any, rename: Callable[[str], str], key: str) -> Any:
    if isinstance(data, dict):
        is_named = key in (*_MATERIALS, *_THINGS, "rooms", "circuits", "pieces")
        return {
            (rename(k) if is_named and k != "note" else k): _rename(
                v, rename, "" if is_named else k
            )
            for k, v in data.items()
        }
    if isinstance(data, list):
        # The parts of a room's covering stand in a list, under the word for a map of coverings.
        return [_rename(each, rename, "" if isinstance(each, dict) else key) for each in data]
    if not isinstance(data, str):
        return data
    if key == "route":
        name, dot, end = data.partition(".")
        return rename(name) + dot + end
    return rename(data) if key in _REFERENCES else data
