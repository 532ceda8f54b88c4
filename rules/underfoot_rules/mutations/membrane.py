"""The membrane left out, or laid wrong."""

import random
from typing import Any

import shapely

from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.choosing import (
    choose_with,
    floor_to_cover,
    heated_rooms,
    lose_room_thing,
)
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.expand_rows import copy_plan, mm, open_runs


@mutation("membrane-missing", "membrane-forgotten")
def forget_membrane(plan: Data, rng: random.Random) -> Caused:
    """Nobody drew the vapour barrier."""
    return cause("membrane-missing", lose_room_thing(plan, rng, "membrane"), severity="error")


def _open(plan: Data, rng: random.Random) -> tuple[str, float]:
    """Choose a room and open its runs; give the sheet's width."""
    rooms = [room for room in heated_rooms(plan) if _in_runs(plan, room)]
    room = pick(rng, rooms)
    plan["rooms"][room] = open_runs(plan, room)["rooms"][room]
    return room, _sheet_width(plan, room)


def _in_runs(data: Data, room: str) -> bool:
    membrane = data["rooms"][room].get("membrane") or {}
    runs = membrane.get("runs")
    return isinstance(runs, dict) and "over" not in runs and not membrane.get("pieces")


def _sheet_width(plan: Data, room: str) -> float:
    return mm(plan["materials"]["sheets"][plan["rooms"][room]["membrane"]["sheet"]]["width"])


def _shape(piece: Data, width: float) -> Any:
    x, y = (mm(value) for value in piece["at"])
    length = mm(piece["length"])
    if piece["along"] == "y":
        length, width = width, length
    return shapely.box(x, y, x + length, y + width)


def _uncovered(plan: Data, room: str, width: float) -> float:
    pieces = plan["rooms"][room]["membrane"]["pieces"].values()
    floor = floor_to_cover(plan, room)
    bare = floor.difference(shapely.union_all([_shape(piece, width) for piece in pieces]))
    return float(100 * bare.area / floor.area)


@mutation("membrane-cover", "sheet-too-short")
def cut_sheet_short(plan: Data, rng: random.Random) -> Caused:
    """A sheet was cut off too early and ends before the wall."""
    room, width = _open(plan, rng)
    piece = rng.choice(list(plan["rooms"][room]["membrane"]["pieces"].values()))
    off = rng.randint(40, 600)
    given(mm(piece["length"]) >= off + 300)
    piece["length"] -= off
    if rng.random() < 0.5:
        piece["at"][0 if piece["along"] == "x" else 1] += off
    given(_uncovered(plan, room, width) >= 0.12)
    return cause("membrane-cover", room, severity="error")


@mutation("membrane-overlap", "laps-too-short")
def lap_too_little(plan: Data, rng: random.Random) -> Caused:
    """The sheets were laid with hardly any lap, to save one."""
    rooms = [room for room in heated_rooms(plan) if _in_runs(plan, room)]
    room = pick(rng, rooms)
    plan["rooms"][room]["membrane"]["runs"]["overlap"] = rng.randint(5, 99)
    pieces = list(open_runs(plan, room)["rooms"][room]["membrane"]["pieces"].values())
    width = _sheet_width(plan, room)
    floor = floor_to_cover(plan, room)
    own: list[Expected] = []
    for number in range(1, len(pieces)):
        lap = _shape(pieces[number - 1], width).intersection(_shape(pieces[number], width))
        given(lap.intersection(floor).area >= 1000)
        names = sorted((f"R{number}", f"R{number + 1}"))
        own += cause("membrane-overlap", room, *names, severity="error")
    return given(tuple(own))


@mutation("membrane-overlap", "last-sheet-shifted")
def shift_last_sheet(plan: Data, rng: random.Random) -> Caused:
    """The last sheet was pulled up the wall until it hardly lapped the one before."""
    written = copy_plan(plan)
    room, width = _open(plan, rng)
    pieces = plan["rooms"][room]["membrane"]["pieces"]
    given(len(pieces) >= 2)
    names = list(pieces)[-2:]
    lap = mm(written["rooms"][room]["membrane"]["runs"]["overlap"])
    off = round(lap) - rng.choice((5, 20, 60, 90, 98, -10, -40, -80))
    given(off > 0)
    last = pieces[names[1]]
    last["at"][1 if last["along"] == "x" else 0] += off
    first, second = (_shape(pieces[name], width) for name in names)
    floor = floor_to_cover(plan, room)
    seam = first.buffer(60, join_style="mitre").intersection(second.buffer(60, join_style="mitre"))
    given(floor.covers(seam.intersection(floor.envelope).buffer(-1)))
    own = cause("membrane-overlap", room, *sorted(names), severity="error")
    bare = _uncovered(plan, room, width)
    given(not 0.08 < bare < 0.12)
    also = cause("membrane-cover", room, severity="error") if bare > 0.1 else ()
    return (*own, *also)


@mutation("membrane-taped", "membrane-not-taped")
def leave_untaped(plan: Data, rng: random.Random) -> Caused:
    """Laps or edges of the vapour barrier were left untaped."""
    room = choose_with(plan, rng, "membrane")
    membrane = plan["rooms"][room]["membrane"]
    one_sheet = _in_runs(plan, room) and (
        len(open_runs(plan, room)["rooms"][room]["membrane"]["pieces"]) == 1
    )
    key = "perimeter_taped" if one_sheet else rng.choice(("overlaps_taped", "perimeter_taped"))
    if rng.random() < 0.5:
        membrane.pop(key, None)
    else:
        membrane[key] = False
    return cause("membrane-taped", room, severity="warning")
