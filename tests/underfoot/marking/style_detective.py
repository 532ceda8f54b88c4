"""Somebody who knows nothing of floors, and looks only at how a plan is written.

It has the damaged plan and other plans of the same office, and notes whatever looks odd: a figure
written otherwise than its like, one larger or smaller than any, a key or a word that stands
nowhere else, a thing in pieces, an empty thing, a comment. What it would note of the right plan
too says nothing.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

Told = tuple[tuple[str, ...], Any]
_NAMED = frozenset(
    ("rooms", "fixtures", "joints", "leads", "rows", "elements", "pieces", "circuits", "films",
     "boards", "sheets", "coverings")
)  # fmt: skip
_FIGURE = re.compile(r"(-?\d+(?:\.\d+)?)(?: (.+))?")
_LEEWAY = 2.5
# The sizes that the shelf has are no odder than one another to who knows no floors.
_ON_THE_SHELF = frozenset(("10 mA", "30 mA", "100 mA", "300 mA"))
# What supplies, films and testers are known to have.
_VOLTS = frozenset((12, 24, 36, 48, 110, 120, 200, 220, 230, 240, 250, 400, 500, 1000))
# Narrower (mm) than this nothing stands in a room by such a name.
_NARROWEST = {"rug": 400, "sofa": 700, "armchair": 500, "desk": 500, "table": 400, "cupboard": 350,
              "chest": 350, "sideboard": 350}  # fmt: skip


def leaves(told: Any, path: tuple[str, ...] = ()) -> Iterator[Told]:
    """Yield every value with the keys that lead to it; the names of things are left out."""
    if isinstance(told, dict):
        named = bool(path) and path[-1] in _NAMED
        if not told:
            yield path, "empty"
        for key, value in told.items():
            yield from leaves(value, (*path, "*" if named else key))
    elif isinstance(told, list):
        if not told:
            yield path, "empty"
        for value in told:
            yield from leaves(value, path)
    else:
        yield path, told


def figure(value: Any) -> tuple[float, str, int] | None:
    """Return a figure's value, its unit and its decimals."""
    if isinstance(value, bool):
        return None
    text = repr(value) if isinstance(value, int | float) else str(value)
    found = _FIGURE.fullmatch(text)
    if found is None:
        return None
    unit = found[2] or ("bare" if isinstance(value, int | float) else "in quotes")
    return float(found[1]), unit, len(found[1].partition(".")[2])


def kind_of(path: tuple[str, ...]) -> str:
    """Return what a figure is of; a place is a place, whatever stands there."""
    return "place" if path[-1] in ("at", "route", "outline") else path[-1]


def form_of(name: str) -> str:
    """Return the form of a name: `W1` is written as `W2`, and not as `lead-added-1`."""
    return re.sub("[A-Z]", "A", re.sub(r"\d+", "9", name))


class Detective:
    """What an office's plans look like."""

    def __init__(self, plans: Sequence[Mapping[str, Any]]) -> None:
        told = [leaf for plan in plans for leaf in leaves(plan)]
        self.keys = {path for path, _ in told}
        self.forms: set[tuple[str, str, int]] = set()
        self.sizes: dict[tuple[str, str], list[float]] = {}
        for path, value in told:
            known = figure(value)
            if known is not None:
                number, unit, decimals = known
                self.forms.add((path[-1], unit, decimals))
                self.sizes.setdefault((kind_of(path), unit), []).append(number)

    def notes(self, plan: Mapping[str, Any], text: str) -> set[str]:
        """Note what looks odd in a plan, as data and as written."""
        noted = {f"comment {line}" for line in text.splitlines()[1:] if "#" in line}
        for path, value in leaves(plan):
            place = ".".join(path)
            if path not in self.keys:
                noted.add(f"key {place}")
            if value == "empty":
                noted.add(f"empty {place}")
            known = figure(value)
            if known is None:
                continue
            number, unit, decimals = known
            if (path[-1], unit, decimals) not in self.forms:
                noted.add(f"form {place} {value}")
            if unit == "V" and number not in _VOLTS:
                noted.add(f"volts {place} {value}")
            sizes = self.sizes.get((kind_of(path), unit), [])
            if value in _ON_THE_SHELF:
                continue
            if sizes and not min(sizes) / _LEEWAY <= number <= max(sizes) * _LEEWAY:
                noted.add(f"size {place} {value}")
        for name, room in plan["rooms"].items():
            noted |= set(_rough(name, room))
            noted |= set(_names(name, room))
            noted |= set(_routes(name, room))
            noted |= {
                f"narrow {name} {thing}"
                for thing, told in (room.get("fixtures") or {}).items()
                if min(told.get("size", [9999])) < _NARROWEST.get(thing, 0)
            }
        return noted


def rough_figures(plan: Mapping[str, Any]) -> set[str]:
    """Return every figure of a plan that goes in no tens, in the words of a note."""
    return {
        f"rough {name} {kind} {each}"
        for name, room in plan["rooms"].items()
        for kind in _KINDS
        for each in _figures(room, kind)
        if each % 10
    }


_KINDS = ("outline", "fixtures", "rows", "elements", "joints", "leads", "sensor")


def _figures(room: Mapping[str, Any], kind: str) -> list[int | float]:
    return [
        value
        for path, value in leaves(room.get(kind) or {}, (kind,))
        if path[-1] in ("at", "size", "route", "outline", "lengths", "length")
        and isinstance(value, int | float)
    ]


def _rough(name: str, room: Mapping[str, Any]) -> Iterator[str]:
    """Note the figures that do not go in the tens or fives of nearly all of their kind."""
    for kind in _KINDS:
        figures = _figures(room, kind)
        for step in (10, 5):
            off = [each for each in figures if each % step]
            if 0 < len(off) <= len(figures) / 4:
                yield from (f"rough {name} {kind} {each}" for each in off)


def _names(name: str, room: Mapping[str, Any]) -> Iterator[str]:
    """Note things named otherwise than their like, and stops written otherwise in one route."""
    for kind in ("fixtures", "joints", "leads", "elements", "rows"):
        forms = {form_of(each) for each in room.get(kind) or {}}
        numbered = {each for each in forms if each.endswith("9")}
        if numbered and (len(forms) > 1 or kind == "fixtures"):
            yield f"name {name} {kind} {sorted(forms)}"
    if room.get("rows") and room.get("elements"):
        yield f"pieces {name}"
    rows = room.get("rows") or {}
    for told in (room.get("leads") or {}).values():
        for stop in told["route"]:
            if isinstance(stop, str) and stop.partition(".")[0] not in (
                "junction-box", *rows, *(room.get("elements") or {}),
            ):  # fmt: skip
                yield f"stop {name} {form_of(stop)}"


def _routes(name: str, room: Mapping[str, Any]) -> Iterator[str]:
    """Note a stop said twice running, and a lead that does not begin where the others begin."""
    leads = room.get("leads") or {}
    begins = [route["route"][0] for route in leads.values()]
    for lead, told in leads.items():
        route = told["route"]
        if any(one == other for one, other in pairwise(route)):
            yield f"twice {name} {lead}"
        if not isinstance(route[0], str) and "junction-box" in begins:
            yield f"begins {name} {lead}"
        if len(route) > 1 and route[-1] == "junction-box":
            yield f"ends {name} {lead}"


def keys_in_order(told: Any) -> Iterator[tuple[str, ...]]:
    """Yield the keys of every mapping in the order that they stand in."""
    if isinstance(told, dict):
        yield tuple(told)
        for value in told.values():
            yield from keys_in_order(value)
    elif isinstance(told, list):
        for value in told:
            yield from keys_in_order(value)
