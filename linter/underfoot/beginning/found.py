"""What was found in a drawing or measured: rooms as outlines, before they are put into a plan."""

import math

from msgspec import Struct

Point = tuple[float, float]
Corners = tuple[Point, ...]

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""The units of a drawing, as they are named on the command line, in millimetres."""

MOST_OUTLINES = 1_000
MOST_CORNERS = 200_000
FARTHEST_MM = 1e10
SMALLEST_ROOM, LARGEST_ROOM = 300.0, 1e6
"""How long a room's sides can be, mm; what is outside of that is drawn in another unit."""


class CannotBeginError(Exception):
    """Says why no plan can be begun from what was given, where it is at fault, and what to do."""


class Standing(Struct, frozen=True, kw_only=True):
    """What stands in a room from floor to ceiling: a column, a chimney breast."""

    name: str | None
    where: str
    corners: Corners


class FoundRoom(Struct, frozen=True, kw_only=True):
    """A room as its drawing has it, in mm from the drawing's own origin.

    `where` is what it is in its file ("polyline #2F"); `has_arcs` where corners stand for an arc;
    `bounded_by` what its file says that it borders on, in words.
    """

    name: str | None
    where: str
    corners: Corners
    standing: tuple[Standing, ...] = ()
    height: float | None = None
    has_arcs: bool = False
    bounded_by: str = ""


class Found(Struct, frozen=True, kw_only=True):
    """The rooms of a file, and what is to be said of what was passed over."""

    rooms: tuple[FoundRoom, ...]
    unit: str
    remarks: tuple[str, ...] = ()


def area_of(corners: Corners) -> float:
    """Return the area in mm2, above 0 where the corners run anticlockwise."""
    x0, y0 = corners[0]
    total = 0.0
    for place, (x, y) in enumerate(corners):
        before_x, before_y = corners[place - 1]
        total += (before_x - x0) * (y - y0) - (x - x0) * (before_y - y0)
    return total / 2


def check_number(value: float, where: str) -> float:
    """Return a coordinate; CannotBeginError for one that no drawing of a room has."""
    if not math.isfinite(value) or abs(value) > FARTHEST_MM:
        raise CannotBeginError(f"{where}: {value:g} is no place in a room's drawing: mend it there")
    return value
