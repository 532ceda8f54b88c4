"""A room's sheets: the drawing to scale with lists, caution and title block round it.

What of the lists has no room beside the drawing stands on further sheets.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import CAUTION, PlanReport
from underfoot.drawing import pens
from underfoot.drawing.body import SheetOptions, find_margins, make_scene
from underfoot.drawing.circuits import list_circuits
from underfoot.drawing.drawing import Drawn, define_patterns, draw
from underfoot.drawing.findings_list import findings_of_room, list_findings
from underfoot.drawing.legend import list_signs
from underfoot.drawing.lettering import FAMILY, MEDIUM, SMALL, shorten, width_of, wrap
from underfoot.drawing.panel import LINE, Section, paragraphs, pour
from underfoot.drawing.remarks import find_remarks
from underfoot.drawing.scene import Scene, find_beyond, find_extent
from underfoot.drawing.section import list_layers
from underfoot.drawing.sheets import (
    HEAD,
    LOWEST_LIST,
    Box,
    Layout,
    choose_sheet,
    lay_out,
    look_at,
    split,
)
from underfoot.drawing.svg import box, clean, escape, group, letters, number, tag
from underfoot.drawing.title_block import (
    Named,
    draw_caution,
    draw_scale_bar,
    draw_title_block,
    find_cut,
    find_rows,
    title_height,
)
from underfoot.plan import Plan

_FINDINGS = "findings-list"
# So much of a drawing's edge stays free of lettering and balloons.
_EDGE = 0.6


def draw_room(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions | None = None
) -> str:
    """Draw a room's own sheet alone; what had no room on it is on the others of `draw_sheets`."""
    return draw_sheets(facts, plan, report, options)[0]


def draw_sheets(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions | None = None
) -> tuple[str, ...]:
    """Draw a room's sheet as SVG, true to its scale when printed at full size.

    After it come sheets with what had no room on it: findings, tables, remarks.
    """
    options = options or SheetOptions()
    extent = find_extent(facts)
    margins = find_margins(facts, plan, options)
    chosen = choose_sheet(extent, margins, options.paper)
    layout = chosen.layout
    view = look_at(extent, chosen.room.inset(*margins), chosen.scale)
    bounds = chosen.room.inset(_EDGE, _EDGE, _EDGE, _EDGE)
    scene = make_scene(facts, plan, extent, view, bounds, "", options)
    drawn = draw(scene, report, options.layers)
    named = Named(room=facts.id, called=facts.drawn.called, scale=chosen.scale)
    sections = _sections(scene, report, drawn, options)
    # The fields of a sheet in two parts are the longest.
    cut = find_cut(find_rows(layout, plan, report, replace(named, parts=2)))
    if cut:
        sections.append(Section(title="Title block in full", entries=paragraphs(cut)))
    poured = pour(sections, (*chosen.lists, *_below_title(layout)), may_part=False)
    pages = _pages(poured.left, options)
    parts = 1 + len(pages)
    named = replace(named, parts=parts)
    content = "".join(
        (
            define_patterns(scene),
            tag("clipPath", _rect(chosen.room), id="drawing-area"),
            group(drawn.svg, clip_path="url(#drawing-area)", class_="drawing"),
            _draw_head(scene, layout),
            group(poured.drawn, class_="lists"),
        )
    )
    sheets = [_finish(layout, content, plan, report, named)]
    for place, (page, drawn_lists, kind) in enumerate(pages, 2):
        other = replace(named, scale=None, kind=kind, part=place)
        content = (
            define_patterns(scene)
            + _draw_name(page, f"{named.called}: {kind[0].lower()}{kind[1:]}")
            + group(drawn_lists, class_="lists")
        )
        sheets.append(_finish(page, content, plan, report, other))
    return tuple(sheets)


def _sections(
    scene: Scene, report: PlanReport, drawn: Drawn, options: SheetOptions
) -> list[Section]:
    """Gather what stands beside the drawing, what must be on the same sheet first."""
    numbers = {balloon.finding.number for balloon in drawn.balloons}
    notes = _notes(scene)
    untold = [f"{each.item}: {each.words}" for each in drawn.untold]
    remarks = find_remarks(scene)
    sections = (
        Section(title="Notes", entries=paragraphs(notes)) if notes else None,
        list_signs(scene, options.layers, findings_of_room(scene, report)),
        list_findings(scene, report, numbers),
        Section(title="Not written beside its thing", name="untold", entries=paragraphs(untold))
        if untold
        else None,
        list_circuits(scene),
        list_layers(scene.facts.drawn),
        Section(title="Remarks", entries=paragraphs(remarks)) if remarks else None,
    )
    return [section for section in sections if section is not None]


def _below_title(layout: Layout) -> tuple[Box, ...]:
    """Give the rest of a column that the title block leaves free, where it is worth it."""
    free = layout.title.inset(0.0, title_height(layout), 0.0, 0.0)
    return split(free) if free.height > 2 * LOWEST_LIST else ()


def _pages(sections: Sequence[Section], options: SheetOptions) -> list[tuple[Layout, str, str]]:
    """Pour sections onto as many sheets as they need: each with its lists, and what it is."""
    # Findings first: a sheet of them is read by itself.
    left = sorted(sections, key=lambda section: section.name != _FINDINGS)
    paper = "A4" if options.paper == "auto" else options.paper
    layout = lay_out(paper, landscape=False)
    # There is no scale to show: the head needs no second row.
    drawing = layout.drawing.inset(0.0, HEAD - layout.head.height, 0.0, 0.0)
    head = layout.head.inset(0.0, 0.0, 0.0, layout.head.height - HEAD)
    layout = replace(layout, drawing=drawing, head=head)
    columns = split(drawing)
    pages = []
    while left:
        poured = pour(left, columns, may_part=True)
        here = left[: len(left) - len(poured.left) + (1 if poured.left else 0)]
        names = {section.name == _FINDINGS for section in here}
        kind = (
            "Findings and tables" if len(names) > 1 else "Findings" if True in names else "Tables"
        )
        pages.append((layout, poured.drawn, kind))
        left = list(poured.left)
    return pages


def _finish(layout: Layout, content: str, plan: Plan, report: PlanReport, named: Named) -> str:
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


def _draw_head(scene: Scene, layout: Layout) -> str:
    """Write what room this is, how large, and at which scale, with the scale bar."""
    room = scene.facts.drawn
    where = layout.head.inset(3.0, 0.0, 11.0, 0.0)
    words = [f"floor {scene.facts.outline.area / 1e6:.2f} m²"]
    if room.use:
        words.insert(0, room.use)
    if scene.facts.elements:
        words.append(f"heated {scene.facts.heated.area / 1e6:.2f} m²")
    said = " · ".join(words)
    scale = f"1:{scene.view.scale}, dimensions in mm"
    in_column = layout.in_column
    most = where.width if in_column else where.width * 0.45
    name = shorten(room.called, most, MEDIUM, bold=True)
    beside = width_of(name, MEDIUM, bold=True) + 3.0
    at = where.top + 6.2
    drawn = [letters(name, (where.left, at), MEDIUM, font_weight="bold", fill=pens.INK)]
    if in_column or layout.head.height > 12.0:
        lines = wrap(said, where.width, SMALL)[:2]
        drawn += [
            letters(text, (where.left, at + 5.0 + place * LINE), SMALL, fill=pens.INK)
            for place, text in enumerate(lines)
        ]
    else:
        drawn.append(letters(said, (where.left + beside, at), SMALL, fill=pens.INK))
    if in_column:
        foot = layout.head.bottom
        drawn.append(letters(scale, (where.left, foot - 7.4), SMALL, fill=pens.INK))
        bar, wide = draw_scale_bar(scene.view.scale, where.left + 25.0, foot - 5.6, 25.0)
        return group(*drawn, bar, class_="head")
    bar, wide = draw_scale_bar(scene.view.scale, where.right, where.top + 2.4, 40.0)
    drawn.append(letters(scale, (where.right - wide - 4.0, at), SMALL, anchor="end", fill=pens.INK))
    return group(*drawn, bar, class_="head")


def _draw_name(layout: Layout, name: str) -> str:
    at = (layout.head.left + 3.0, layout.head.top + 6.2)
    fitting = shorten(name, layout.head.width - 6.0, MEDIUM, bold=True)
    return group(letters(fitting, at, MEDIUM, font_weight="bold", fill=pens.INK), class_="head")


def _notes(scene: Scene) -> list[str]:
    words = []
    if not scene.names_strips:
        words.append(
            "At this scale strips and leads are too small for their ids; "
            "rows are named where there is room."
        )
    beyond = find_beyond(scene.facts, scene.extent)
    if beyond:
        words.append(f"Reaching beyond this drawing: {', '.join(beyond)}.")
    return words
