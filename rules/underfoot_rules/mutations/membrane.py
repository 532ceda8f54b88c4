"""The membrane left out, or laid wrong."""

from __future__ import annotations

import random
from typing import Any

import shapely

from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot_rules.mutations.choosing import cause, heated_rooms, lose_room_thing
from underfoot_rules.mutations.drawn import draw
from underfoot_rules.mutations.expand_rows import copy_plan, mm, open_rows, open_runs


def forget_membrane(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the membrane out."""
    lost = lose_room_thing(data, rng, "membrane")
    return cause(lost[0], "membrane-missing", lost[1], severity="error") if lost else None


def _open(data: Data, rng: random.Random) -> tuple[Data, str, float] | None:
    """Choose a room and open its runs; give the sheet's width."""
    rooms = [room for room in heated_rooms(data) if _in_runs(data, room)]
    if not rooms:
        return None
    room = rng.choice(rooms)
    plan = open_runs(data, room)
    return plan, room, _sheet_width(plan, room)


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


def _needed(plan: Data, room: str) -> Any:
    """Give the floor that must be covered."""
    drawn = draw(open_rows(plan), room)
    stops = [
        f.shape
        for f in drawn.fixtures.values()
        if f.kind == "structure" or (f.stands and f.on_subfloor)
    ]
    return drawn.outline.difference(shapely.union_all(stops))


def _uncovered(plan: Data, room: str, width: float) -> float:
    pieces = plan["rooms"][room]["membrane"]["pieces"].values()
    floor = _needed(plan, room)
    bare = floor.difference(shapely.union_all([_shape(piece, width) for piece in pieces]))
    return float(100 * bare.area / floor.area)


def cut_sheet_short(data: Data, rng: random.Random) -> Damaged | None:
    """Cut a sheet too short to reach the wall."""
    opened = _open(data, rng)
    if opened is None:
        return None
    plan, room, width = opened
    piece = rng.choice(list(plan["rooms"][room]["membrane"]["pieces"].values()))
    off = rng.randint(40, 600)
    if mm(piece["length"]) < off + 300:
        return None
    piece["length"] -= off
    if rng.random() < 0.5:
        piece["at"][0 if piece["along"] == "x" else 1] += off
    if _uncovered(plan, room, width) < 0.12:
        return None
    return cause(plan, "membrane-cover", room, severity="error")


def lap_too_little(data: Data, rng: random.Random) -> Damaged | None:
    """Lay all sheets with too little lap."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if _in_runs(plan, room)]
    if not rooms:
        return None
    room = rng.choice(rooms)
    plan["rooms"][room]["membrane"]["runs"]["overlap"] = rng.randint(5, 99)
    pieces = list(open_runs(plan, room)["rooms"][room]["membrane"]["pieces"].values())
    width = _sheet_width(plan, room)
    floor = _needed(plan, room)
    own = []
    for number in range(1, len(pieces)):
        lap = _shape(pieces[number - 1], width).intersection(_shape(pieces[number], width))
        if lap.intersection(floor).area < 1000:
            return None
        names = sorted((f"R{number}", f"R{number + 1}"))
        own.append(
            Expected(rule="membrane-overlap", room=room, items=tuple(names), severity="error")
        )
    return Damaged(data=plan, expected=tuple(own)) if own else None


def shift_last_sheet(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the last sheet too far out, so that it laps too little or not at all."""
    opened = _open(data, rng)
    if opened is None:
        return None
    plan, room, width = opened
    pieces = plan["rooms"][room]["membrane"]["pieces"]
    if len(pieces) < 2:
        return None
    names = list(pieces)[-2:]
    lap = mm(data["rooms"][room]["membrane"]["runs"]["overlap"])
    off = round(lap) - rng.choice((5, 20, 60, 90, 98, -10, -40, -80))
    if off <= 0:
        return None
    last = pieces[names[1]]
    last["at"][1 if last["along"] == "x" else 0] += off
    first, second = (_shape(pieces[name], width) for name in names)
    floor = _needed(plan, room)
    seam = first.buffer(60, join_style="mitre").intersection(second.buffer(60, join_style="mitre"))
    if not floor.covers(seam.intersection(floor.envelope).buffer(-1)):
        return None
    own = Expected(rule="membrane-overlap", room=room, items=tuple(sorted(names)), severity="error")
    bare = _uncovered(plan, room, width)
    if 0.08 < bare < 0.12:
        return None
    also = (
        (Expected(rule="membrane-cover", room=room, items=(), severity="error"),)
        if bare > 0.1
        else ()
    )
    return Damaged(data=plan, expected=(own, *also))


def leave_untaped(data: Data, rng: random.Random) -> Damaged | None:
    """Leave laps or perimeter untaped, or say nothing of them."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("membrane")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    membrane = plan["rooms"][room]["membrane"]
    one_sheet = _in_runs(plan, room) and (
        len(open_runs(plan, room)["rooms"][room]["membrane"]["pieces"]) == 1
    )
    key = "perimeter_taped" if one_sheet else rng.choice(("overlaps_taped", "perimeter_taped"))
    if rng.random() < 0.5:
        membrane.pop(key, None)
    else:
        membrane[key] = False
    return cause(plan, "membrane-taped", room, severity="warning")


MUTATIONS = (
    Mutation(rule="membrane-missing", name="membrane-forgotten",
             says="Nobody drew the vapour barrier.", apply=forget_membrane),
    Mutation(rule="membrane-cover", name="sheet-too-short",
             says="A sheet was cut off too early and ends before the wall.", apply=cut_sheet_short),
    Mutation(rule="membrane-overlap", name="laps-too-short",
             says="The sheets were laid with hardly any lap, to save one.", apply=lap_too_little),
    Mutation(rule="membrane-overlap", name="last-sheet-shifted",
             says="The last sheet was pulled up the wall until it hardly lapped the one before.",
             apply=shift_last_sheet),
    Mutation(rule="membrane-taped", name="membrane-not-taped",
             says="Laps or edges of the vapour barrier were left untaped.", apply=leave_untaped),
)  # fmt: skip
