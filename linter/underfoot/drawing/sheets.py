"""Sheets after ISO 216, scales after ISO 5455, and where things stand on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

# Reductions recommended by ISO 5455; 1 means full size.
SCALES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)

# A room that would be drawn smaller than this on A4 goes on A3 where that lets it be larger.
COARSEST_ON_A4 = 50

# ISO 5457: the edge for filing is 20 mm wide, the others 10 mm.
FILING_EDGE = 20.0
EDGE = 10.0
# ISO 7200: the title block is 180 mm wide.
TITLE_WIDTH = 180.0
TITLE_HEIGHT = 35.0
CAUTION_HEIGHT = 8.5
GAP = 3.0

Format = Literal["auto", "A4", "A3"]


class Box(NamedTuple):
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
            self.left + left, self.top + top, self.width - left - right, self.height - top - bottom
        )


class Layout(NamedTuple):
    """Where the parts of a sheet stand.

    `panels` are the columns for lists and tables; `legend` is the place beside the title block,
    None where that takes the whole width.
    """

    paper: str
    landscape: bool
    width: float
    height: float
    frame: Box
    drawing: Box
    title: Box
    caution: Box
    panels: tuple[Box, ...]
    legend: Box | None


def lay_out(paper: str, landscape: bool) -> Layout:
    """Divide a sheet: title block at the lower right, panels beside or below the drawing."""
    short, long = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}[paper]
    width, height = (long, short) if landscape else (short, long)
    frame = Box(FILING_EDGE, EDGE, width - FILING_EDGE - EDGE, height - 2 * EDGE)
    title = Box(frame.right - TITLE_WIDTH, frame.bottom - TITLE_HEIGHT, TITLE_WIDTH, TITLE_HEIGHT)
    caution = Box(frame.left, title.top - CAUTION_HEIGHT, frame.width, CAUTION_HEIGHT)
    above = Box(frame.left, frame.top, frame.width, caution.top - frame.top)
    beside = frame.width - TITLE_WIDTH
    legend = Box(frame.left, title.top, beside, TITLE_HEIGHT).inset(GAP, 1.5, GAP, 1.0)
    if landscape:
        column = 80.0 if paper == "A4" else 112.0
        drawing = Box(above.left, above.top, above.width - column, above.height)
        panels: tuple[Box, ...] = (Box(drawing.right, above.top, column, above.height),)
    else:
        row = 98.0
        drawing = Box(above.left, above.top, above.width, above.height - row)
        half = above.width / 2
        panels = (
            Box(above.left, drawing.bottom, half, row),
            Box(above.left + half, drawing.bottom, half, row),
        )
    return Layout(
        paper,
        landscape,
        width,
        height,
        frame,
        drawing,
        title,
        caution,
        tuple(panel.inset(GAP, GAP, GAP, GAP) for panel in panels),
        legend if beside > 1.0 else None,
    )


class View(NamedTuple):
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
        """Give how long a length of the room is on the paper."""
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
        scale,
        extent[0],
        extent[1],
        room.left + (room.width - wide) / 2,
        room.bottom - (room.height - high) / 2,
    )


Margins = tuple[float, float, float, float]


def choose_sheet(
    extent: Extent, margins: Margins, wanted: Format, turned: Sequence[bool] = (True, False)
) -> tuple[Layout, int]:
    """Choose the smallest sheet that shows a room well, and the scale it allows.

    `margins` (left, top, right, bottom) round the room are kept free for dimensions. `turned` are
    the ways to turn a sheet (True: landscape): the one with the larger scale wins, then the one
    that is filled less.
    """
    papers = ("A4", "A3") if wanted == "auto" else (wanted,)
    best: tuple[Layout, int] | None = None
    for paper in papers:
        found: list[tuple[int, float, Layout]] = []
        for landscape in turned:
            layout = lay_out(paper, landscape)
            room = layout.drawing.inset(*margins)
            scale = finest_scale(extent, room) or SCALES[-1]
            wide, high = (extent[2] - extent[0]) / scale, (extent[3] - extent[1]) / scale
            found.append((scale, max(wide / room.width, high / room.height), layout))
        scale, _, layout = min(found, key=lambda each: each[:2])
        if best is None or scale < best[1]:
            best = (layout, scale)
        if scale <= COARSEST_ON_A4:
            break
    assert best is not None
    return best
