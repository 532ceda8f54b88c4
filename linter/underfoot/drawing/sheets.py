"""Sheets after ISO 216, scales after ISO 5455, and where things stand on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

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
    frame = Box(
        left=FILING_EDGE, top=EDGE, width=width - FILING_EDGE - EDGE, height=height - 2 * EDGE
    )
    title = Box(
        left=frame.right - TITLE_WIDTH,
        top=frame.bottom - TITLE_HEIGHT,
        width=TITLE_WIDTH,
        height=TITLE_HEIGHT,
    )
    caution = Box(
        left=frame.left, top=title.top - CAUTION_HEIGHT, width=frame.width, height=CAUTION_HEIGHT
    )
    above = Box(left=frame.left, top=frame.top, width=frame.width, height=caution.top - frame.top)
    beside = frame.width - TITLE_WIDTH
    legend = Box(left=frame.left, top=title.top, width=beside, height=TITLE_HEIGHT).inset(
        GAP, 1.5, GAP, 1.0
    )
    if landscape:
        column = 80.0 if paper == "A4" else 112.0
        drawing = Box(
            left=above.left, top=above.top, width=above.width - column, height=above.height
        )
        panels: tuple[Box, ...] = (
            Box(left=drawing.right, top=above.top, width=column, height=above.height),
        )
    else:
        row = 98.0
        drawing = Box(left=above.left, top=above.top, width=above.width, height=above.height - row)
        half = above.width / 2
        panels = (
            Box(left=above.left, top=drawing.bottom, width=half, height=row),
            Box(left=above.left + half, top=drawing.bottom, width=half, height=row),
        )
    return Layout(
        paper=paper,
        landscape=landscape,
        width=width,
        height=height,
        frame=frame,
        drawing=drawing,
        title=title,
        caution=caution,
        panels=tuple(panel.inset(GAP, GAP, GAP, GAP) for panel in panels),
        legend=legend if beside > 1.0 else None,
    )


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
        scale=scale,
        x0=extent[0],
        y0=extent[1],
        left=room.left + (room.width - wide) / 2,
        bottom=room.bottom - (room.height - high) / 2,
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
