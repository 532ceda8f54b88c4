"""Lists and tables beside the drawing: entries under a heading, poured into columns.

An entry is never cut: what does not fit into a column goes into the next one.
"""

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.drawing import pens
from underfoot.drawing.lettering import LEADING, SMALL, wrap
from underfoot.drawing.sheets import Box
from underfoot.drawing.svg import group, letters, line, number

LINE = SMALL * LEADING
HEADING = 6.9
AFTER = 3.4
# A text is broken into entries of at most so many letters, so that each fits into any column.
_LONGEST_ENTRY = 400


class Panel(Struct, frozen=True, kw_only=True):
    """Something drawn from (0, 0) downwards, `height` mm tall."""

    height: float
    drawn: str


Entry = Callable[[float], Panel]


class Section(Struct, frozen=True, kw_only=True):
    """A heading and what stands under it; each entry is drawn for the width that there is."""

    title: str
    entries: tuple[Entry, ...]
    name: str = "list"


def heading(text: str, width: float) -> Panel:
    """Draw a section's heading with its line."""
    lines = wrap(text, width * 0.94, SMALL)
    below = SMALL + (len(lines) - 1) * LINE + 1.3
    return Panel(
        height=HEADING + (len(lines) - 1) * LINE,
        drawn=write_lines(lines, 0.0, 0.0, weight="bold")
        + line([(0.0, below), (width, below)], stroke=pens.INK, stroke_width=pens.HAIR),
    )


def write_lines(lines: Sequence[str], left: float, top: float, *, weight: str | None = None) -> str:
    """Write lines of small lettering below `top`."""
    return "".join(
        letters(text, (left, top + place * LINE + SMALL), SMALL, fill=pens.INK, font_weight=weight)
        for place, text in enumerate(lines)
    )


def paragraphs(texts: Iterable[str], *, weight: str | None = None) -> tuple[Entry, ...]:
    """Make an entry of each text; a very long one is several."""
    return tuple(_paragraph(part, weight) for text in texts for part in _parts(text))


def _parts(text: str) -> list[str]:
    return wrap(text, _LONGEST_ENTRY, 1000 / 556) or [""]


def _paragraph(text: str, weight: str | None) -> Entry:
    def draw(width: float) -> Panel:
        # Bold letters are a little wider.
        lines = wrap(text, width * (0.94 if weight else 1.0), SMALL)
        return Panel(
            height=len(lines) * LINE + 0.8, drawn=write_lines(lines, 0.0, 0.0, weight=weight)
        )

    return draw


def stack(section: Section, width: float) -> Panel:
    """Draw a whole section in one column as tall as it needs."""
    whole = together(lambda wide: heading(section.title, wide), *section.entries)(width)
    return Panel(height=whole.height + AFTER, drawn=whole.drawn)


def together(*entries: Entry) -> Entry:
    """Make one entry of several, so that no column parts them."""

    def draw(width: float) -> Panel:
        drawn, height = [], 0.0
        for entry in entries:
            panel = entry(width)
            drawn.append(_shifted(panel, 0.0, height))
            height += panel.height
        return Panel(height=height, drawn="".join(drawn))

    return draw


class Poured(Struct, frozen=True, kw_only=True):
    """What was drawn into columns, and the sections that did not go in."""

    drawn: str
    left: tuple[Section, ...]


def pour(sections: Sequence[Section], columns: Sequence[Box], *, may_part: bool) -> Poured:
    """Pour sections into columns one after another.

    A section that does not go in whole stays out, or is parted where it `may_part`; what comes
    after a parted one is then left too.
    """
    drawn: list[str] = []
    left: list[Section] = []
    column, top = 0, columns[0].top if columns else 0.0
    for place, section in enumerate(sections):
        if _is_whole_only_in_next(section, columns, column, top):
            column, top = column + 1, columns[column + 1].top
        parts, rest, end = _pour_one(section, columns, column, top, may_part=may_part)
        if rest and not may_part:
            left.append(section)
            continue
        drawn.append(group(*parts, class_=section.name))
        column, top = end
        if rest:
            title = section.title.removesuffix(_MORE) + _MORE if parts else section.title
            left += [replace(section, title=title, entries=rest), *sections[place + 1 :]]
            break
    return Poured(drawn="".join(drawn), left=tuple(left))


_MORE = " (continued)"


def _is_whole_only_in_next(
    section: Section, columns: Sequence[Box], column: int, top: float
) -> bool:
    """Tell whether a section would be parted here and not at the head of the next column."""
    if column + 1 >= len(columns) or top == columns[column].top:
        return False
    here, after = columns[column], columns[column + 1]
    return (
        stack(section, here.width).height - AFTER > here.bottom - top
        and stack(section, after.width).height - AFTER <= after.height
    )


def _pour_one(
    section: Section, columns: Sequence[Box], column: int, top: float, *, may_part: bool
) -> tuple[list[str], tuple[Entry, ...], tuple[int, float]]:
    parts: list[str] = []
    entries = section.entries
    while column < len(columns):
        where = columns[column]
        head = heading(section.title + (_MORE if parts else ""), where.width)
        at = top + head.height
        for place, entry in enumerate(entries):
            panel = entry(where.width)
            # What no column could hold is drawn all the same, at the top of one.
            alone = may_part and place == 0 and top == where.top and _is_too_tall(panel, columns)
            if at + panel.height > where.bottom + 1e-6 and not alone:
                entries = entries[place:]
                break
            if place == 0:
                parts.append(_shifted(head, where.left, top))
            parts.append(_shifted(panel, where.left, at))
            at += panel.height
        else:
            return parts, (), (column, at + AFTER)
        column += 1
        top = columns[column].top if column < len(columns) else 0.0
    return parts, entries, (column, top)


def _is_too_tall(panel: Panel, columns: Sequence[Box]) -> bool:
    return all(panel.height + HEADING > column.height for column in columns)


def _shifted(panel: Panel, left: float, top: float) -> str:
    return group(panel.drawn, transform=f"translate({number(left)} {number(top)})")
