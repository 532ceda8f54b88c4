"""Sheets after ISO 216, scales after ISO 5455, and where things stand on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

# Reductions recommended by ISO 5455; 1 means full size.
SCALES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)

# ISO 5457: the edge for filing is 20 mm wide, the others 10 mm.
FILING_EDGE = 20.0
EDGE = 10.0
# ISO 7200: the title block at the foot is 180 mm wide.
TITLE_WIDTH = 180.0
TITLE_HEIGHT = 36.0
# Where the foot would take the height that the room needs, the fields stand in a column.
COLUMN = 54.0
HEAD = 9.0
TALL_HEAD = 14.5
COLUMN_HEAD = 29.0
CAUTION_IN_COLUMN = 44.0
CAUTION = 16.0
GAP = 3.0
# A list in a narrower column would be more breaks than words; a shorter one holds nothing.
NARROWEST_LIST = 56.0
LOWEST_LIST = 24.0
WIDEST_LIST = 105.0

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
Format = Literal["auto", "A4", "A3"]


class Box(Struct, frozen=True, kw_only=True):
    """An upright rectangle on paper, x to the right and y down."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.top + self.height

    def inset(self, left: float, top: float, right: float, bottom: float) -> Box:
        """Move each side in."""
        return Box(
            left=self.left + left,
            top=self.top + top,
            width=self.width - left - right,
            height=self.height - top - bottom,
        )


class Layout(Struct, frozen=True, kw_only=True):
    """Where the parts of a sheet stand.

    `drawing` is the area for the room, its dimensions and the lists; `in_column` says that head,
    caution and title block stand in a column at the right, not above and below the drawing.
    """

    paper: str
    in_column: bool
    width: float
    height: float
    frame: Box
    drawing: Box
    head: Box
    title: Box
    caution: Box


def lay_out(paper: str, landscape: bool, in_column: bool = False) -> Layout:
    """Divide a sheet: title block at the lower right, the most of the rest for the drawing."""
    short, long = PAPERS[paper]
    width, height = (long, short) if landscape else (short, long)
    frame = Box(
        left=FILING_EDGE, top=EDGE, width=width - FILING_EDGE - EDGE, height=height - 2 * EDGE
    )
    parts = _in_column(frame) if in_column else _at_foot(frame)
    return Layout(
        paper=paper, in_column=in_column, width=width, height=height, frame=frame, **parts
    )


def _in_column(frame: Box) -> dict[str, Box]:
    column = frame.inset(frame.width - COLUMN, 0.0, 0.0, 0.0)
    foot = column.inset(0.0, COLUMN_HEAD, 0.0, 0.0)
    return {
        "drawing": frame.inset(0.0, 0.0, COLUMN, 0.0),
        "head": column.inset(0.0, 0.0, 0.0, column.height - COLUMN_HEAD),
        "caution": foot.inset(0.0, 0.0, 0.0, foot.height - CAUTION_IN_COLUMN),
        "title": foot.inset(0.0, CAUTION_IN_COLUMN, 0.0, 0.0),
    }


def _at_foot(frame: Box) -> dict[str, Box]:
    beside = frame.width - TITLE_WIDTH
    title = frame.inset(beside, frame.height - TITLE_HEIGHT, 0.0, 0.0)
    foot, head = TITLE_HEIGHT, HEAD
    if beside > NARROWEST_LIST:
        caution = frame.inset(0.0, frame.height - TITLE_HEIGHT, TITLE_WIDTH, 0.0)
    else:
        foot, head = TITLE_HEIGHT + CAUTION, TALL_HEAD
        caution = frame.inset(0.0, frame.height - foot, 0.0, TITLE_HEIGHT)
    return {
        "drawing": frame.inset(0.0, head, 0.0, foot),
        "head": frame.inset(0.0, 0.0, 0.0, frame.height - head),
        "caution": caution,
        "title": title,
    }


class View(Struct, frozen=True, kw_only=True):
    """Turns the room's millimetres into those of the paper: 1:`scale`, y upwards in the room.

    (`x0`, `y0`) of the room lies at (`left`, `bottom`) on the paper.
    """

    scale: float
    x0: float
    y0: float
    left: float
    bottom: float

    def place(self, at: Sequence[float]) -> tuple[float, float]:
        """Find a place of the room on the paper."""
        return (
            self.left + (at[0] - self.x0) / self.scale,
            self.bottom - (at[1] - self.y0) / self.scale,
        )

    def places(self, line: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        """Find places of the room on the paper."""
        return [self.place(at) for at in line]

    def on_paper(self, length: float) -> float:
        """Return how long a length of the room is on the paper."""
        return length / self.scale


Extent = tuple[float, float, float, float]


def finest_scale(extent: Extent, room: Box) -> int | None:
    """Choose the largest standard scale at which an extent fits into a box; None where none does.

    `extent` is least x, least y, greatest x, greatest y in the room's mm.
    """
    wide, high = extent[2] - extent[0], extent[3] - extent[1]
    for scale in SCALES:
        if wide <= room.width * scale and high <= room.height * scale:
            return scale
    return None


def look_at(extent: Extent, room: Box, scale: float) -> View:
    """Put an extent in the middle of a box."""
    wide, high = (extent[2] - extent[0]) / scale, (extent[3] - extent[1]) / scale
    return View(
        scale=scale,
        x0=extent[0],
        y0=extent[1],
        left=room.left + (room.width - wide) / 2,
        bottom=room.bottom - (room.height - high) / 2,
    )


Margins = tuple[float, float, float, float]


class Chosen(Struct, frozen=True, kw_only=True):
    """A sheet, the scale it allows, the part that the room has, and the columns for lists."""

    layout: Layout
    scale: int
    room: Box
    lists: tuple[Box, ...]


def choose_sheet(extent: Extent, margins: Margins, wanted: Format = "auto") -> Chosen:
    """Choose the sheet that shows a room at the largest scale: the best of `list_choices`."""
    return list_choices(extent, margins, wanted)[0]


def list_choices(extent: Extent, margins: Margins, wanted: Format = "auto") -> list[Chosen]:
    """List the sheets that could show a room, each at its largest scale and the next, best first.

    `margins` (left, top, right, bottom) round the room are kept free for dimensions. The largest
    scale is best; of sheets with one scale the smallest, then the one that leaves the most for
    lists.
    """
    choices: list[tuple[tuple[float, ...], Chosen]] = []
    for rank, paper in enumerate(PAPERS if wanted == "auto" else (wanted,)):
        for landscape in (True, False):
            for in_column in (False, True):
                layout = lay_out(paper, landscape, in_column)
                scale = finest_scale(extent, layout.drawing.inset(*margins))
                room, lists = _divide(layout.drawing, extent, margins, scale or SCALES[-1])
                free = sum(each.width * each.height for each in lists)
                cost = (scale or 2.0 * SCALES[-1], rank, -round(free, 3))
                chosen = Chosen(layout=layout, scale=scale or SCALES[-1], room=room, lists=lists)
                choices.append((cost, chosen))
    return [chosen for _, chosen in sorted(choices, key=lambda each: each[0])]


def _divide(
    drawing: Box, extent: Extent, margins: Margins, scale: int
) -> tuple[Box, tuple[Box, ...]]:
    """Give the room what it needs, and the lists what is left: beside it and below it."""
    wide = (extent[2] - extent[0]) / scale + margins[0] + margins[2]
    high = (extent[3] - extent[1]) / scale + margins[1] + margins[3]
    beside = drawing.width - wide
    below = drawing.height - high
    has_beside = beside >= NARROWEST_LIST + 2 * GAP
    has_below = below >= LOWEST_LIST + 2 * GAP
    if has_beside and (not has_below or beside * drawing.height >= below * drawing.width):
        left = drawing.inset(0.0, 0.0, beside, 0.0)
        lists = split(drawing.inset(drawing.width - beside, 0.0, 0.0, 0.0))
        if has_below and left.width >= NARROWEST_LIST + 2 * GAP:
            lists += split(left.inset(0.0, left.height - below, 0.0, 0.0))
            left = left.inset(0.0, 0.0, 0.0, below)
        return left, lists
    if has_below:
        left = drawing.inset(0.0, 0.0, 0.0, below)
        lists = split(drawing.inset(0.0, drawing.height - below, 0.0, 0.0))
        if has_beside:
            lists += split(left.inset(left.width - beside, 0.0, 0.0, 0.0))
            left = left.inset(0.0, 0.0, beside, 0.0)
        return left, lists
    return drawing, ()


def split(where: Box) -> tuple[Box, ...]:
    """Divide a part of a sheet into columns for lists."""
    count = max(1, round((where.width - GAP) / WIDEST_LIST))
    each = (where.width - GAP) / count
    return tuple(
        Box(
            left=where.left + GAP + place * each,
            top=where.top + GAP,
            width=each - GAP,
            height=where.height - 2 * GAP,
        )
        for place in range(count)
    )
