"""Small random damages of a plan, so that every law is tried on plans with findings.

What comes out may be no plan at all; whoever damages looks whether it can still be read.
"""

import copy
import random
import re
from collections.abc import Callable, Iterator
from typing import Any

from tests.laws.opening import mm, point

Data = dict[str, Any]

STEPS = (-1200, -300, -60, -58, -50, -20, -9, -8, -1, -0.5, 0.5, 1, 2, 8, 9, 20, 50, 60, 150, 500)
FACTORS = (0.25, 0.5, 0.8, 0.95, 1.05, 1.25, 2, 4)
WORDS: dict[str, tuple[Any, ...]] = {
    "kind": ("floor-mounted", "on legs", "structure", "heat source", "fixings", "bath", "shower",
             "open shower", "basin", "concrete", "timber", "laminate", "ceramic tile"),
    "use": ("living", "bathroom", "conservatory", "hall"),
    "below": ("ground", "outside", "unheated", "heated"),
    "connected": ("start", "end"),
    "fixing": ("floating", "nailed"),
    "lies": ("busbars down", "busbars up"),
    "busbars": ("up", "down"),
    "connector_tool": ("pliers", "ratchet"),
    "connectors_insulated": ("one side", "no"),
    "certificate": ("unsigned", "none"),
    "status": ("draft", "for review", "laid", "covered", "handed over"),
    "system": ("SELV", "mains"),
    "method": ("A1", "A2", "B1", "B2", "C"),
    "stage": ("made up", "laid", "covered"),
    "against": ("grid", "earth"),
    "cut_into": ("insulation", "subfloor"),
    "voltage": ("48 V", "240 V", "400 V"),
    "stands_on": ("subfloor",),
    "along": ("x", "y", "30 deg"),
}  # fmt: skip
_QUANTITY = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)( [A-Za-z].*)")
_AT_HOME = ("films", "boards", "sheets", "coverings", "rooms", "circuits", "materials")


def damage(plan: Data, seed: int, count: int) -> Data:
    """Do `count` damages to a plan; the same seed does the same."""
    rng = random.Random(seed)
    damaged = copy.deepcopy(plan)
    for _ in range(count):
        rng.choice(_KINDS)(damaged, rng)
    return damaged


def _maps(data: Any, key: str = "") -> Iterator[tuple[str, Data]]:
    """Walk through every map of a plan, with the key under which it stands."""
    if isinstance(data, dict):
        yield key, data
        for name, value in data.items():
            yield from _maps(value, name)
    elif isinstance(data, list):
        for value in data:
            yield from _maps(value, key)


def _pick(plan: Data, rng: random.Random, fits: Callable[[Data], bool]) -> Data | None:
    found = [each for _, each in _maps(plan) if fits(each)]
    return rng.choice(found) if found else None


def _room(plan: Data, rng: random.Random) -> Data | None:
    """Choose a room with an outline, if an earlier damage has left one."""
    drawn = [room for room in plan["rooms"].values() if "outline" in room]
    return rng.choice(drawn) if drawn else None


def _shift(plan: Data, rng: random.Random) -> None:
    """Move a strip, row, fixture, board, sheet, box or sensor."""
    thing = _pick(plan, rng, lambda each: isinstance(each.get("at"), list))
    if thing is not None:
        x, y = point(thing["at"])
        step = rng.choice(STEPS)
        thing["at"] = [x + step, y] if rng.random() < 0.5 else [x, y + step]


def _stretch(plan: Data, rng: random.Random) -> None:
    """Make a length longer or shorter."""
    keys = ("length", "width", "clear", "height", "overlap", "stagger", "from", "thickness",
            "cable", "mesh", "depth", "cut_every")  # fmt: skip
    thing = _pick(plan, rng, lambda each: any(key in each for key in keys))
    if thing is not None:
        key = rng.choice([key for key in keys if key in thing])
        if isinstance(thing[key], int | float | str):
            thing[key] = mm(thing[key]) + rng.choice(STEPS)


def _scale(plan: Data, rng: random.Random) -> None:
    """Change a quantity."""
    found = [
        (each, key)
        for _, each in _maps(plan)
        for key, value in each.items()
        if isinstance(value, str) and _QUANTITY.fullmatch(value)
    ]
    each, key = rng.choice(found)
    number = _QUANTITY.fullmatch(each[key])
    if number is not None:
        each[key] = f"{float(number[1]) * rng.choice(FACTORS):.6f}{number[2]}"


def _leave_out(plan: Data, rng: random.Random) -> None:
    """Leave something out, whatever it is."""
    found = [
        (each, key) for name, each in _maps(plan) for key in each if key not in _AT_HOME and name
    ]
    each, key = rng.choice(found)
    del each[key]


def _say_otherwise(plan: Data, rng: random.Random) -> None:
    """Write another word, or no for yes."""
    found = [
        (each, key)
        for _, each in _maps(plan)
        for key, value in each.items()
        if isinstance(value, bool) or key in WORDS
    ]
    each, key = rng.choice(found)
    each[key] = rng.choice(WORDS[key]) if key in WORDS else not each[key]


def _reroute(plan: Data, rng: random.Random) -> None:
    """Move, add or leave out a stop of a route."""
    thing = _pick(plan, rng, lambda each: bool(each.get("route")))
    if thing is None:
        return
    route = thing["route"]
    place = rng.randrange(len(route))
    if isinstance(route[place], list) and rng.random() < 0.7:
        x, y = point(route[place])
        route[place] = [x + rng.choice(STEPS), y + rng.choice(STEPS)]
    elif rng.random() < 0.5:
        if (room := _room(plan, rng)) is not None:
            route.insert(place + 1, _spot(room, rng))
    else:
        del route[place]


def _spot(room: Data, rng: random.Random) -> list[float]:
    corners = [point(corner) for corner in room["outline"]]
    xs, ys = zip(*corners, strict=True)
    return [round(rng.uniform(min(each), max(each)), 1) for each in (xs, ys)]


def _put_in(plan: Data, rng: random.Random) -> None:
    """Put a fixture or a movement joint in a room."""
    room = _room(plan, rng)
    if room is None:
        return
    name = f"new{rng.randrange(100)}"
    if rng.random() < 0.3:
        room.setdefault("joints", {})[name] = [_spot(room, rng), _spot(room, rng)]
        return
    fixture: Data = {
        "at": _spot(room, rng),
        "size": [rng.choice((40, 300, 700)), rng.choice((40, 300, 1700))],
        "kind": rng.choice(WORDS["kind"][:9]),
    }
    if fixture["kind"] == "on legs" and rng.random() < 0.8:
        fixture["clear"] = rng.choice((40, 59, 60, 120))
    room.setdefault("fixtures", {})[name] = fixture


def _bend_wall(plan: Data, rng: random.Random) -> None:
    """Move a corner of a room."""
    room = _room(plan, rng)
    if room is None:
        return
    outline = room["outline"]
    place = rng.randrange(len(outline))
    x, y = point(outline[place])
    outline[place] = [x + rng.choice(STEPS), y + rng.choice(STEPS)]
    # On a wall that is gone no door can hang.
    room.pop("openings", None)


_KINDS: tuple[Callable[[Data, random.Random], None], ...] = (
    _shift, _shift, _shift, _stretch, _stretch, _scale, _leave_out, _leave_out, _say_otherwise,
    _reroute, _put_in, _put_in, _bend_wall,
)  # fmt: skip
