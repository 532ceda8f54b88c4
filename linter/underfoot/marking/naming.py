"""Names things that a damage adds as the plan names those that it has."""

import json
import random
import re
from collections.abc import Iterator, Mapping
from typing import Any

from underfoot.checking.mutation import Data

# What stands in rooms, by the kinds of the plan, and the narrowest (mm) that it is made.
_FURNITURE: Mapping[str, Mapping[str, int]] = {
    "floor-mounted": {"plant-pot": 150, "bin": 200, "bedside-cabinet": 300, "chest": 350,
                      "cupboard": 350, "bookcase": 240, "sideboard": 350},
    "on legs": {"stool": 200, "chair": 300, "armchair": 500, "sofa": 700, "table": 400,
                "desk": 500},
    "lying flat": {"bath-mat": 300, "doormat": 200, "rug": 400},
    "heat source": {"stove": 240},
    "structure": {"pillar": 100},
    "fixings": {"rail": 50},
    "basin": {"basin": 240},
    "bath": {"bath": 600},
    "shower": {"shower": 600},
}  # fmt: skip
_WIDEST_TIMES = 4
_NUMBERED = re.compile(r"(.*?)(\d+)")


_MATERIALS = ("films", "boards", "sheets", "coverings")


def rename_added(before: Data, damaged: Data, rng: random.Random) -> Data | None:
    """Return a plan whose new things have names of the plan's own sort; None where there is none.

    A material whose name says its size takes a name that says its new one.
    """
    named: dict[str, str] = {}
    for kind, things, known in _added(before, damaged):
        for name in [each for each in things if each in known and kind in _MATERIALS]:
            own = _rename_material(kind, name, things, known)
            if own is None:
                return None
            if own != name:
                named[name] = own
        for name in [each for each in things if each not in known]:
            own = _name(kind, name, things, known, rng)
            if own is None:
                return None
            if own != name:
                named[name] = own
    return damaged if not named else _say_anew(damaged, named)


def _added(before: Data, damaged: Data) -> Iterator[tuple[str, Data, Data]]:
    """Yield each collection of named things, as it is and as it was."""
    places = [(kind, damaged, before) for kind in ("circuits",)]
    for name, room in damaged["rooms"].items():
        was = before["rooms"].get(name) or {}
        places += [
            (kind, room, was) for kind in ("fixtures", "joints", "openings", "leads", "elements")
        ]
    here, there = damaged.get("materials") or {}, before.get("materials") or {}
    places += [(kind, here, there) for kind in _MATERIALS]
    for kind, told, was in places:
        if told.get(kind):
            yield kind, told[kind], was.get(kind) or {}


def _name(kind: str, name: str, things: Data, known: Data, rng: random.Random) -> str | None:
    split = [_NUMBERED.fullmatch(each) for each in known]
    numbered = [(found[1], int(found[2])) for found in split if found is not None]
    if kind in _MATERIALS:
        return _name_material(kind, things[name], things, known)
    if numbered and len(numbered) == len(split):
        stem = numbered[-1][0]
        number = max(each for start, each in numbered if start == stem) + 1
        while f"{stem}{number}" in things:
            number += 1
        return f"{stem}{number}"
    if kind != "fixtures":
        return None
    words = list(_list_fitting(things[name]))
    rng.shuffle(words)
    return next((word for word in words if word not in things), None)


def _list_fitting(fixture: Data) -> Iterator[str]:
    """List what a fixture could be called: of its kind, and neither too narrow nor far too wide."""
    sides = [one for one in fixture.get("size", ()) if isinstance(one, int | float)]
    narrow = min(sides, default=0)
    for word, least in _FURNITURE.get(str(fixture.get("kind")), {}).items():
        if not narrow or least <= narrow <= _WIDEST_TIMES * least:
            yield word


def _name_material(kind: str, told: Data, things: Data, known: Data) -> str | None:
    """A material is named by its kind and its size, as `board-10`."""
    found = re.match(r"\d+", _size(kind, told))
    stems = {each.rpartition("-")[0] for each in known if re.fullmatch(r".+-\d+", each)}
    if found is None or not stems:
        return None
    stem = str(told["kind"]).split()[0] if kind == "coverings" else sorted(stems)[0]
    name = f"{stem}-{found[0]}"
    return None if name in things else name


def _size(kind: str, told: Data) -> str:
    return str(told.get("output") if kind == "films" else told.get("thickness"))


def _rename_material(kind: str, name: str, things: Data, known: Data) -> str | None:
    """Return the name that fits a material as it is now; None where another has it."""
    told, was = things[name], known[name]
    stem, _, number = name.rpartition("-")
    now, before = _size(kind, told).split()[0], _size(kind, was).split()[0]
    if now != before and number == before:
        number = now
    if kind == "coverings" and told.get("kind") != was.get("kind"):
        stem = str(told.get("kind")).split()[0]
    anew = f"{stem}-{number}" if stem else name
    return None if anew != name and anew in things else anew


def _say_anew(plan: Data, named: Mapping[str, str]) -> Data:
    """Write new names wherever the old ones are referred to."""

    def say(told: Any) -> Any:
        if isinstance(told, dict):
            return {named.get(key, key): say(value) for key, value in told.items()}
        if isinstance(told, list):
            return [say(value) for value in told]
        if isinstance(told, str):
            name, dot, rest = told.partition(".")
            return named[name] + dot + rest if name in named else told
        return told

    anew: Data = say(json.loads(json.dumps(plan)))
    return anew
