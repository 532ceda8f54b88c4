"""The rooms' sheets that go with the papers."""

from __future__ import annotations

from underfoot import drawing
from underfoot.checking.check import CheckedPlan
from underfoot.drawing import SheetOptions, choose_layers


def draw_sheets(checked: CheckedPlan) -> tuple[str, ...]:
    """Draw each heated room on its sheets, as `underfoot draw` does."""
    facts, settings = checked.facts, checked.settings
    assert facts is not None, "sheets are drawn of plans that can be read"
    planned = None if settings is None else settings.served("planned wall clearance")
    return tuple(
        sheet
        for room in facts.heated_rooms
        for sheet in drawing.draw_sheets(
            room,
            facts.plan,
            checked.report,
            SheetOptions(
                layers=choose_layers(room, checked.report),
                planned_clearance=None if planned is None else planned.value,
            ),
        )
    )
