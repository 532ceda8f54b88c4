"""A panel beside the drawing: a heading and lines under it, as tall as they need."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.lettering import LEADING, SMALL, wrap
from underfoot.drawing.svg import group, letters, line, number

LINE = SMALL * LEADING
HEADING = 5.0
AFTER = 2.5


class Panel(Struct, frozen=True, kw_only=True):
    """Something drawn from (0, 0) downwards, `height` mm tall; `is_cut` where not all went in."""

    height: float
    drawn: str
    is_cut: bool = False


def heading(text: str, width: float) -> str:
    """Draw a panel's heading with its line."""
    return letters(text, (0.0, SMALL), SMALL, font_weight="bold", fill=pens.INK) + line(
        [(0.0, SMALL + 1.0), (width, SMALL + 1.0)], stroke=pens.INK, stroke_width=pens.HAIR
    )


def write_lines(lines: Sequence[str], left: float, top: float, *, weight: str | None = None) -> str:
    """Write lines of small lettering below `top`."""
    return "".join(
        letters(text, (left, top + place * LINE + SMALL), SMALL, fill=pens.INK, font_weight=weight)
        for place, text in enumerate(lines)
    )


def text_panel(title: str, paragraphs: Sequence[str], width: float, most: int) -> Panel:
    """Write paragraphs under a heading, in at most `most` lines."""
    lines = [part for paragraph in paragraphs for part in wrap(paragraph, width, SMALL)]
    if len(lines) > most:
        lines = [*lines[: most - 1], "…"]
    return Panel(
        height=HEADING + len(lines) * LINE + AFTER,
        drawn=heading(title, width) + write_lines(lines, 0.0, HEADING),
    )


def put(panel: Panel, left: float, top: float, **attributes: str | float | None) -> str:
    """Put a panel at its place on the sheet."""
    return group(panel.drawn, transform=f"translate({number(left)} {number(top)})", **attributes)
