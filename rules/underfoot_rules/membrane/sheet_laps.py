"""A vapour barrier: how its sheets lap, and how many pairs of them there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from underfoot.api.physics import courses, laps
from underfoot.api.plan import Membrane

if TYPE_CHECKING:
    from underfoot.api.facts import RoomFacts


class SheetLaps(Struct, frozen=True, kw_only=True):
    """How many pairs of sheets there are, and those that are neighbours, with how they lie."""

    pairs: int
    found: tuple[laps.Lap, ...]


def find_sheet_laps(room: RoomFacts, minimum: float) -> SheetLaps:
    """Find how neighbouring sheets lap, or how far apart they lie where within `minimum`.

    Runs over the whole floor that lap by enough are counted, not laid: they lie as they are drawn.
    """
    membrane = room.drawn.membrane
    if membrane is None:
        return SheetLaps(pairs=0, found=())
    if runs_cover_floor(membrane) and len(membrane.runs) == 1 and not membrane.pieces:
        runs, sheet = membrane.runs[0], membrane.sheet
        if sheet is not None and runs.overlap >= minimum:
            low_x, low_y, high_x, high_y = room.outline.bounds
            span = high_y - low_y if runs.along == "x" else high_x - low_x
            count = courses.count_runs(span, sheet.width, runs.overlap)
            return SheetLaps(pairs=count * (count - 1) // 2, found=())
    count = len(room.sheets.names)
    return SheetLaps(pairs=count * (count - 1) // 2, found=room.sheet_laps(minimum))


def runs_cover_floor(membrane: Membrane) -> bool:
    """Tell whether runs lie over the whole outline, which they reach over by the way they lie."""
    return membrane.sheet is not None and any(runs.over is None for runs in membrane.runs)
