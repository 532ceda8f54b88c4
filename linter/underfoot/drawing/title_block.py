"""The title block with the data fields of ISO 7200, and the caution above it."""

from __future__ import annotations

from msgspec import Struct

from underfoot.checking.report import CAUTION, PlanReport
from underfoot.drawing import pens
from underfoot.drawing.lettering import MEDIUM, SMALL, shorten, width_of, wrap
from underfoot.drawing.panel import LINE, write_lines
from underfoot.drawing.sheets import Box, Layout
from underfoot.drawing.svg import box, clean, group, letters
from underfoot.plan import Job, Plan


class Cell(Struct, frozen=True, kw_only=True):
    """A field: its name, what it holds, and how wide it is."""

    name: str
    text: str
    width: float
    large: bool = False


def draw_title_block(layout: Layout, plan: Plan, report: PlanReport, room: str, scale: int) -> str:
    """Draw the fields, those that the plan does not fill left to be filled by hand."""
    job = plan.job or Job(path="")
    place = list(plan.rooms).index(room) + 1
    rows = (
        (
            11.0,
            Cell(name="Legal owner", text="", width=45),
            Cell(name="Title", text=job.title or "", width=95, large=True),
            Cell(name="Type of document", text="Floor heating plan", width=40),
        ),
        (
            8.0,
            Cell(name="Client", text=job.client or "", width=45),
            Cell(name="Supplementary title: room", text=room, width=55),
            Cell(name="Drawn by", text=job.drawn_by or "", width=40),
            Cell(name="Approved by", text="", width=40),
        ),
        (
            8.0,
            Cell(name="Site", text=job.site or "", width=45),
            Cell(name="Reference", text=job.reference or "", width=55),
            Cell(name="Revision", text=job.revision or "", width=20),
            Cell(name="Date of issue", text=job.date or "", width=30),
            Cell(name="Status", text=plan.status, width=30),
        ),
        (
            8.0,
            Cell(name="Measured", text=job.measured or "", width=30),
            Cell(name="Paper", text=layout.paper, width=15),
            Cell(name="Scale", text=f"1:{scale}", width=20),
            Cell(name="Language", text="en", width=20),
            Cell(name="Sheet", text=f"{place} of {len(plan.rooms)}", width=25),
            Cell(name="Checked: verdict", text=report.verdict, width=70),
        ),
    )
    drawn = []
    top = layout.title.top
    for height, *cells in rows:
        left = layout.title.left
        for cell in cells:
            drawn.append(_draw_cell(cell, left, top, height))
            left += cell.width
        top += height
    return group(*drawn, class_="title-block")


def _draw_cell(cell: Cell, left: float, top: float, height: float) -> str:
    size = MEDIUM if cell.large else SMALL
    text = clean(cell.text)
    if cell.large and width_of(text, MEDIUM, bold=True) > cell.width - 3:
        size = SMALL
    drawn = box(
        left, top, cell.width, height, fill="none", stroke=pens.INK, stroke_width=pens.FINE
    ) + letters(cell.name, (left + 1.2, top + SMALL + 0.4), SMALL, fill=pens.SOFT)
    fitting = shorten(text, cell.width - 2.4, size, bold=True)
    return drawn + letters(
        fitting, (left + 1.2, top + height - 1.3), size, font_weight="bold", fill=pens.INK
    )


def draw_caution(where: Box) -> str:
    """Write the caution across the sheet."""
    lines = wrap(CAUTION, where.width - 5.0, SMALL)
    top = where.top + (where.height - len(lines) * LINE) / 2
    return group(
        box(
            where.left,
            where.top,
            where.width,
            where.height,
            fill="#fff6d6",
            stroke=pens.INK,
            stroke_width=pens.FINE,
        ),
        write_lines(lines, where.left + 2.5, top),
        class_="caution",
    )


def draw_scale_bar(scale: float, right: float, top: float) -> tuple[str, float]:
    """Draw a bar of a round length, at most 50 mm long, and give how long."""
    length = max(
        (
            first * 10**power
            for power in range(1, 7)
            for first in (1, 2, 5)
            if first * 10**power <= 50.0 * scale
        ),
        default=10,
    )
    wide = length / scale
    left = right - wide
    parts = 4 if str(length).startswith("2") else 5
    each = wide / parts
    blocks = [
        box(
            left + place * each,
            top,
            each,
            1.5,
            fill=pens.INK if place % 2 == 0 else pens.PAPER,
            stroke=pens.INK,
            stroke_width=pens.HAIR,
        )
        for place in range(parts)
    ]
    in_metres = length >= 1000
    unit = "m" if in_metres else "mm"
    far = length / 1000 if in_metres else length
    return (
        group(
            *blocks,
            letters("0", (left, top + 1.5 + SMALL + 0.2), SMALL, anchor="middle", fill=pens.INK),
            letters(
                f"{far:g} {unit}",
                (left + wide, top + 1.5 + SMALL + 0.2),
                SMALL,
                anchor="middle",
                fill=pens.INK,
            ),
            class_="scale-bar",
            data_length=f"{length}",
        ),
        wide,
    )
