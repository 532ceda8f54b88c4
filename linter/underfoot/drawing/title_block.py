"""The title block with the data fields of ISO 7200, the head of a sheet, and the caution."""

from collections.abc import Sequence

from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.report import PlanReport
from underfoot.drawing import pens
from underfoot.drawing.lettering import MEDIUM, SMALL, shorten, width_of, wrap
from underfoot.drawing.sheets import Box, Layout
from underfoot.drawing.svg import box, clean, group, letters
from underfoot.plan import Job, Plan

_CAUTION_LINE = 4.5
# How tall the name of a field is, and each line below it.
_NAME, _LINE = 3.6, SMALL + 0.4
# Bold letters are a little wider.
BOLD = 0.93


class Cell(Struct, frozen=True, kw_only=True):
    """A field: its name, what it holds, and how wide it is."""

    name: str
    text: str
    width: float
    large: bool = False


Row = tuple[float, tuple[Cell, ...]]


class Named(Struct, frozen=True, kw_only=True):
    """What a sheet of a room is called, and what kind of document it is `part` of `parts` of.

    `room` is the room's id, `called` what people call it.
    """

    room: str
    called: str
    scale: int | None
    kind: str = "Floor heating plan"
    part: int = 1
    parts: int = 1

    @property
    def title(self) -> str:
        """The room, and which of its sheets this is where there are several."""
        return (
            self.called if self.parts == 1 else f"{self.called}, sheet {self.part} of {self.parts}"
        )


def draw_title_block(layout: Layout, plan: Plan, report: PlanReport, named: Named) -> str:
    """Draw the fields, those that the plan does not fill left to be filled by hand."""
    drawn = []
    top = layout.title.top
    for height, cells in find_rows(layout, plan, report, named):
        left = layout.title.left
        for cell in cells:
            drawn.append(_draw_cell(cell, left, top, height))
            left += cell.width
        top += height
    return group(*drawn, class_="title-block")


def find_rows(layout: Layout, plan: Plan, report: PlanReport, named: Named) -> tuple[Row, ...]:
    """Choose the rows of a title block at the foot, or in a column, with their heights."""
    job = plan.job or Job(path="")
    room = ROOM
    if len(plan.rooms) > 1:
        room = f"Room {list(plan.rooms).index(named.room) + 1} of {len(plan.rooms)}"
    fields = {
        "Legal owner": "",
        "Client": job.client,
        "Site": job.site,
        "Title": job.title,
        ROOM: named.called,
        "Type of document": named.kind,
        "Drawn by": job.drawn_by,
        "Approved by": "",
        "Reference": job.reference,
        "Revision": job.revision,
        "Date of issue": job.date,
        "Status": plan.status,
        "Measured": job.measured,
        "Paper": layout.paper,
        "Scale": "none" if named.scale is None else f"1:{named.scale}",
        "Language": "en",
        "Sheet": f"{named.part} of {named.parts}",
        CHECKED: say_check(report),
    }
    rows = _COLUMN if layout.in_column else _FOOT
    return tuple(
        (
            height,
            tuple(
                Cell(
                    name=room if name == ROOM else name,
                    text=fields[name] or "",
                    width=width,
                    large=name == "Title",
                )
                for name, width in cells
            ),
        )
        for height, cells in rows
    )


ROOM, CHECKED = "Supplementary title: room", "Automatic check, no approval"
_FOOT: tuple[tuple[float, tuple[tuple[str, float], ...]], ...] = (
    (12.0, (("Legal owner", 45), ("Title", 93), ("Type of document", 42))),
    (
        8.0,
        (("Client", 42), (ROOM, 52), ("Drawn by", 50), ("Approved by", 36)),
    ),
    (
        8.0,
        (
            ("Site", 58),
            ("Reference", 40),
            ("Revision", 21),
            ("Date of issue", 29),
            ("Status", 32),
        ),
    ),
    (
        8.0,
        (
            ("Measured", 32),
            ("Paper", 13),
            ("Scale", 17),
            ("Language", 20),
            ("Sheet", 17),
            (CHECKED, 81),
        ),
    ),
)
_COLUMN = (
    (17.0, (("Title", 54),)),
    (8.0, ((ROOM, 54),)),
    (8.0, (("Type of document", 54),)),
    (8.0, (("Legal owner", 54),)),
    (8.0, (("Client", 54),)),
    (8.0, (("Site", 54),)),
    (8.0, (("Reference", 54),)),
    (8.0, (("Revision", 22), ("Date of issue", 32))),
    (8.0, (("Drawn by", 54),)),
    (8.0, (("Measured", 34), ("Sheet", 20))),
    (8.0, (("Paper", 14), ("Scale", 19), ("Language", 21))),
    (8.0, (("Approved by", 27), ("Status", 27))),
    (12.0, ((CHECKED, 54),)),
)


def title_height(layout: Layout) -> float:
    """Return how tall the rows of a sheet's title block are together."""
    return sum(height for height, _ in (_COLUMN if layout.in_column else _FOOT))


def say_check(report: PlanReport) -> str:
    """Say what the check came to, and how much it did not judge."""
    undecided = report.counts.undecided
    return f"{report.verdict}; {undecided} not judged" if undecided else report.verdict


def find_cut(rows: Sequence[Row]) -> list[str]:
    """Write out the fields whose text does not fit its cell."""
    return [
        f"{cell.name}: {clean(cell.text)}"
        for height, cells in rows
        for cell in cells
        if _fit(cell, height)[2]
    ]


def _fit(cell: Cell, height: float) -> tuple[list[str], float, bool]:
    """Return a field's lines, their size, and whether something of it is missing."""
    text, room = clean(cell.text), cell.width - 2.4
    if cell.large and width_of(text, MEDIUM, bold=True) <= room:
        return [text], MEDIUM, False
    most = int((height - _NAME) / _LINE)
    if most > 1:
        lines = wrap(text, room * BOLD, SMALL)
        if len(lines) <= most:
            return lines or [""], SMALL, False
        last = shorten(" ".join(lines[most - 1 :]), room, SMALL, bold=True)
        return [*lines[: most - 1], last], SMALL, True
    fitting = shorten(text, room, SMALL, bold=True)
    return [fitting], SMALL, fitting != text


def _draw_cell(cell: Cell, left: float, top: float, height: float) -> str:
    lines, size, _ = _fit(cell, height)
    drawn = box(
        left, top, cell.width, height, fill="none", **pens.pen(pens.INK, pens.FINE)
    ) + letters(cell.name, (left + 1.2, top + SMALL - 0.3), SMALL, fill=pens.SOFT)
    foot = top + height - 1.1
    return drawn + "".join(
        letters(
            text,
            (left + 1.2, foot - (len(lines) - 1 - place) * _LINE),
            size,
            font_weight="bold",
            fill=pens.INK,
        )
        for place, text in enumerate(lines)
    )


def draw_caution(where: Box) -> str:
    """Write the caution into its part of the sheet."""
    lines = wrap(CAUTION, where.width - 4.0, SMALL)
    top = where.top + (where.height - len(lines) * _CAUTION_LINE) / 2
    return group(
        box(
            where.left,
            where.top,
            where.width,
            where.height,
            fill="#fff6d6",
            **pens.pen(pens.INK, pens.FINE),
        ),
        *(
            letters(
                text, (where.left + 2.0, top + place * _CAUTION_LINE + SMALL), SMALL, fill=pens.INK
            )
            for place, text in enumerate(lines)
        ),
        class_="caution",
    )


def draw_scale_bar(scale: float, right: float, top: float, most: float) -> tuple[str, float]:
    """Draw a bar of a round length, at most `most` mm long, and give how long."""
    length = max(
        (
            first * 10**power
            for power in range(1, 7)
            for first in (1, 2, 5)
            if first * 10**power <= most * scale
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
            **pens.pen(pens.INK, pens.HAIR),
        )
        for place in range(parts)
    ]
    in_metres = length >= 1000
    unit = "m" if in_metres else "mm"
    far = length / 1000 if in_metres else length
    figures = (("0", left), (f"{far:g} {unit}", left + wide))
    return (
        group(
            *blocks,
            *(
                letters(text, (x, top + 1.5 + SMALL * 0.9), SMALL, anchor="middle", fill=pens.INK)
                for text, x in figures
            ),
            class_="scale-bar",
            data_length=f"{length}",
        ),
        wide,
    )
