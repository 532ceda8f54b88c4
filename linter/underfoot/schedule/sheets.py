"""The rooms' sheets that go with the papers."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot import drawing
from underfoot.checking.check import CheckedPlan
from underfoot.drawing import choose_layers, choose_options


class RoomSheet(Struct, frozen=True, kw_only=True):
    """A sheet as SVG, as `underfoot draw` gives it, and what it is called: as its room is."""

    title: str
    svg: str


def draw_sheets(checked: CheckedPlan) -> tuple[RoomSheet, ...]:
    """Draw each heated room, after its sheet what had no room on that, then boards and membrane."""
    return tuple(_draw_all(checked))


def _draw_all(checked: CheckedPlan) -> Iterator[RoomSheet]:
    facts, settings, report = checked.facts, checked.settings, checked.report
    assert facts is not None, "sheets are drawn of plans that can be read"
    for room in facts.heated_rooms:
        called = room.drawn.called
        options = choose_options(settings, choose_layers(room, report))
        drawn = {called: drawing.draw_sheets(room, facts.plan, report, options)}
        for name, sheets in drawing.draw_linings(room, facts.plan, report, options).items():
            drawn[f"{called}, {name}"] = sheets
        for title, sheets in drawn.items():
            for part, svg in enumerate(sheets, 1):
                yield RoomSheet(title=title if part == 1 else f"{title}, sheet {part}", svg=svg)
