"""The rooms' sheets that go with the papers."""

from __future__ import annotations

from msgspec import Struct

from underfoot import drawing
from underfoot.checking.check import CheckedPlan
from underfoot.drawing import choose_layers, choose_options


class RoomSheet(Struct, frozen=True, kw_only=True):
    """A sheet as SVG, as `underfoot draw` gives it, and what it is called: as its room is."""

    title: str
    svg: str


def draw_sheets(checked: CheckedPlan) -> tuple[RoomSheet, ...]:
    """Draw each heated room, and after its sheet what had no room on that."""
    facts, settings = checked.facts, checked.settings
    assert facts is not None, "sheets are drawn of plans that can be read"
    return tuple(
        RoomSheet(
            title=room.drawn.called if place == 1 else f"{room.drawn.called}, sheet {place}",
            svg=svg,
        )
        for room in facts.heated_rooms
        for place, svg in enumerate(
            drawing.draw_sheets(
                room,
                facts.plan,
                checked.report,
                choose_options(settings, choose_layers(room, checked.report)),
            ),
            1,
        )
    )
