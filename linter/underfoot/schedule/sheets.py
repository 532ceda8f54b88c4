"""The rooms' sheets that go with the papers."""

from __future__ import annotations

from msgspec import Struct

from underfoot import drawing
from underfoot.checking.check import CheckedPlan
from underfoot.drawing import SheetOptions, choose_layers


class RoomSheet(Struct, frozen=True, kw_only=True):
    """A sheet as SVG, as `underfoot draw` gives it, and what it is called: its room's id."""

    title: str
    svg: str


def draw_sheets(checked: CheckedPlan) -> tuple[RoomSheet, ...]:
    """Draw each heated room, and after its sheet what had no room on that."""
    facts, settings = checked.facts, checked.settings
    assert facts is not None, "sheets are drawn of plans that can be read"
    planned = None if settings is None else settings.served("planned wall clearance")
    return tuple(
        RoomSheet(title=room.id if place == 1 else f"{room.id}, sheet {place}", svg=svg)
        for room in facts.heated_rooms
        for place, svg in enumerate(
            drawing.draw_sheets(
                room,
                facts.plan,
                checked.report,
                SheetOptions(
                    layers=choose_layers(room, checked.report),
                    planned_clearance=None if planned is None else planned.value,
                ),
            ),
            1,
        )
    )
