"""What stands round a drawing on its sheets: frame, head, lists, caution and title block.

Lists that have no room beside the drawing stand on further sheets.
"""

from collections.abc import Callable, Collection, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.caution import CAUTION
from underfoot.checking.report import PlanReport
from underfoot.drawing import pens
from underfoot.drawing.drawing import define_patterns
from underfoot.drawing.lettering import FAMILY, MEDIUM, SMALL, shorten, width_of, wrap
from underfoot.drawing.panel import LINE, Section, paragraphs, pour
from underfoot.drawing.scene import Scene
from underfoot.drawing.sheets import HEAD, LOWEST_LIST, Box, Chosen, Format, Layout, lay_out, split
from underfoot.drawing.svg import Point, box, clean, escape, group, letters, number, tag
from underfoot.drawing.title_block import (
    BOLD,
    Named,
    draw_caution,
    draw_scale_bar,
    draw_title_block,
    find_cut,
    find_rows,
    title_height,
)

# So much of a drawing's edge stays free of lettering and balloons.
EDGE = 0.6
FINDINGS = "findings-list"


class Content(Struct, frozen=True, kw_only=True):
    """A drawing that is to be set on a sheet: what it shows, and what its head says of it.

    `kind_of` says what a further sheet is that holds lists of the given names.
    """

    scene: Scene
    drawn: str
    words: Sequence[str]
    named: Named
    kind_of: Callable[[Collection[str]], str]


def set_on_sheets(
    content: Content,
    chosen: Chosen,
    sections: Sequence[Section],
    report: PlanReport,
    paper: Format,
) -> tuple[str, ...]:
    """Set a drawing on its sheet, lists round it, and on further ones what has no room there."""
    scene, named, layout = content.scene, content.named, chosen.layout
    plan = scene.plan
    # The fields of a sheet in two parts are the longest.
    cut = find_cut(find_rows(layout, plan, report, replace(named, parts=2)))
    if cut:
        sections = [*sections, Section(title="Title block in full", entries=paragraphs(cut))]
    poured = pour(sections, (*chosen.lists, *_below_title(layout)), may_part=False)
    pages = _pages(poured.left, paper, content.kind_of)
    named = replace(named, parts=1 + len(pages))
    whole = "".join(
        (
            define_patterns(scene),
            tag("clipPath", _rect(chosen.room), id="drawing-area"),
            group(content.drawn, clip_path="url(#drawing-area)", class_="drawing"),
            _draw_head(content, layout),
            group(poured.drawn, class_="lists"),
        )
    )
    sheets = [_finish(layout, whole, scene, report, named)]
    for place, (page, lists, kind) in enumerate(pages, 2):
        other = replace(named, scale=None, kind=kind, part=place)
        whole = (
            define_patterns(scene)
            + _draw_name(page, f"{named.called}: {kind[0].lower()}{kind[1:]}")
            + group(lists, class_="lists")
        )
        sheets.append(_finish(page, whole, scene, report, other))
    return tuple(sheets)


def _below_title(layout: Layout) -> tuple[Box, ...]:
    """Return the rest of a column that the title block leaves free, where it is worth it."""
    free = layout.title.inset(0.0, title_height(layout), 0.0, 0.0)
    return split(free) if free.height > 2 * LOWEST_LIST else ()


def _pages(
    sections: Sequence[Section], paper: Format, kind_of: Callable[[Collection[str]], str]
) -> list[tuple[Layout, str, str]]:
    """Pour sections onto as many sheets as they need: each with its lists, and what it is."""
    # Findings first: a sheet of them is read by itself.
    left = sorted(sections, key=lambda section: section.name != FINDINGS)
    layout = lay_out("A4" if paper == "auto" else paper, landscape=False)
    # There is no scale to show: the head needs no second row.
    drawing = layout.drawing.inset(0.0, HEAD - layout.head.height, 0.0, 0.0)
    head = layout.head.inset(0.0, 0.0, 0.0, layout.head.height - HEAD)
    layout = replace(layout, drawing=drawing, head=head)
    columns = split(drawing)
    pages = []
    while left:
        poured = pour(left, columns, may_part=True)
        here = left[: len(left) - len(poured.left) + (1 if poured.left else 0)]
        pages.append((layout, poured.drawn, kind_of({section.name for section in here})))
        left = list(poured.left)
    return pages


def _finish(layout: Layout, content: str, scene: Scene, report: PlanReport, named: Named) -> str:
    plan = scene.plan
    parts = (plan.job.title if plan.job else None, named.title)
    title = " – ".join(part for part in parts if part)
    frame = layout.frame
    whole = "".join(
        (
            tag("title", escape(clean(title))),
            tag("desc", escape(CAUTION)),
            box(0, 0, layout.width, layout.height, fill=pens.PAPER),
            content,
            draw_caution(layout.caution),
            draw_title_block(layout, plan, report, named),
            _rect(
                layout.drawing, fill="none", stroke=pens.INK, stroke_width=pens.FINE, class_="area"
            ),
            _rect(frame, fill="none", stroke=pens.INK, stroke_width=pens.FRAME, class_="frame"),
        )
    )
    return (
        tag(
            "svg",
            whole,
            xmlns="http://www.w3.org/2000/svg",
            width=f"{number(layout.width)}mm",
            height=f"{number(layout.height)}mm",
            viewBox=f"0 0 {number(layout.width)} {number(layout.height)}",
            font_family=FAMILY,
            role="img",
        )
        + "\n"
    )


def _rect(where: Box, **attributes: str | float | None) -> str:
    return box(where.left, where.top, where.width, where.height, **attributes)


def _draw_head(content: Content, layout: Layout) -> str:
    """Write what is drawn, what is said of it, and at which scale, with the scale bar."""
    view = content.scene.view
    where = layout.head.inset(3.0, 0.0, 11.0, 0.0)
    said = " · ".join(content.words)
    scale = f"1:{view.scale}, dimensions in mm"
    in_column = layout.in_column
    most = where.width if in_column else where.width * 0.45
    at = where.top + 6.2
    name, beside, below = _draw_called(content.named.called, (where.left, at), most, in_column)
    drawn = [name]
    if in_column or layout.head.height > 12.0:
        lines = wrap(said, where.width, SMALL)[:2]
        drawn += [
            letters(text, (where.left, below + place * LINE), SMALL, fill=pens.INK)
            for place, text in enumerate(lines)
        ]
    else:
        drawn.append(letters(said, (where.left + beside + 3.0, at), SMALL, fill=pens.INK))
    if in_column:
        foot = layout.head.bottom
        drawn.append(letters(scale, (where.left, foot - 7.4), SMALL, fill=pens.INK))
        bar, wide = draw_scale_bar(view.scale, where.left + 25.0, foot - 5.6, 25.0)
        return group(*drawn, bar, class_="head")
    bar, wide = draw_scale_bar(view.scale, where.right, where.top + 2.4, 40.0)
    drawn.append(letters(scale, (where.right - wide - 4.0, at), SMALL, anchor="end", fill=pens.INK))
    return group(*drawn, bar, class_="head")


def _draw_name(layout: Layout, name: str) -> str:
    at = (layout.head.left + 3.0, layout.head.top + 6.2)
    return group(_draw_called(name, at, layout.head.width - 6.0, False)[0], class_="head")


def _draw_called(name: str, at: Point, most: float, may_wrap: bool) -> tuple[str, float, float]:
    """Draw a name: smaller where it is long, in two lines if it may.

    Tell how wide it is, and how far down the next line may stand.
    """
    size, lines, first, below = MEDIUM, [name], at[1], at[1] + 5.0
    if width_of(name, MEDIUM, bold=True) > most:
        size, lines = SMALL, [shorten(name, most, SMALL, bold=True)]
        if may_wrap and lines != [name]:
            (head, *more), first = wrap(name, most * BOLD, SMALL), at[1] - LINE + 2.2
            below = first + LINE + 4.3
            lines = [head, shorten(" ".join(more), most, SMALL, bold=True)]
    drawn = [
        letters(text, (at[0], first + place * LINE), size, font_weight="bold", fill=pens.INK)
        for place, text in enumerate(lines)
    ]
    return "".join(drawn), max(width_of(text, size, bold=True) for text in lines), below
