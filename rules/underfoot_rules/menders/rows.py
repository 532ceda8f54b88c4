"""Moves a row, or a strip that stands alone, away from what it is too near to."""

from __future__ import annotations

import math
from collections.abc import Iterator

from underfoot.api.rules import Edit, Mender, Proposal, ToMend, move_text
from underfoot_rules.laying.mending import clearing_move


def move_off_wall(found: ToMend) -> Iterator[Proposal]:
    """Propose the shortest move that brings a strip inside the planned clearance from the walls."""
    room = found.facts.rooms[found.room or ""]
    place = next(i for i, each in enumerate(room.elements) if each.id == found.items[0])
    limits = found.facts.limits["wall-clearance"]
    step = clearing_move(room, place, max(limits["planned"], limits["minimum"]))
    if step is None:
        return
    dx, dy = (math.copysign(math.ceil(abs(part) - 1e-4), part) for part in step)
    element = room.elements[place]
    kind, name = ("elements", element.id) if element.row is None else ("rows", element.row)
    path = ("rooms", room.id, kind, name, "at")
    x, y = found.data["rooms"][room.id][kind][name]["at"]
    called = f"row {name}" if kind == "rows" else name
    yield Proposal(
        says=f"Move {called} by {move_text(dx, dy)}.",
        edits=(Edit(op="replace", path=path, value=[x + dx, y + dy]),),
    )


MENDERS = (Mender(rule="wall-clearance", propose=move_off_wall),)
