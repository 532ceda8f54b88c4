"""A room's sheet: the drawing to scale with panels, caution and title block round it."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import CAUTION, PlanReport
from underfoot.drawing import pens
from underfoot.drawing.circuits import draw_circuits
from underfoot.drawing.dimensions import depth_of_chains, find_chains
from underfoot.drawing.drawing import USUAL_LAYERS, Drawn, define_patterns, draw
from underfoot.drawing.findings_list import draw_findings, findings_of_room
from underfoot.drawing.legend import draw_legend
from underfoot.drawing.lettering import FAMILY, MEDIUM, SMALL, shorten, width_of
from underfoot.drawing.panel import Panel, put, text_panel
from underfoot.drawing.remarks import find_remarks
from underfoot.drawing.scene import NARROWEST_NAMED, Scene, find_beyond, find_extent
from underfoot.drawing.section import draw_section
from underfoot.drawing.sheets import (
    Box,
    Extent,
    Format,
    Layout,
    Margins,
    View,
    choose_sheet,
    look_at,
)
from underfoot.drawing.svg import box, clean, escape, group, letters, line, number, tag
from underfoot.drawing.title_block import (
    draw_caution,
    draw_scale_bar,
    draw_title_block,
)
from underfoot.plan import Plan

# Above and right of the room: signs and balloons.
_ABOVE, _RIGHT, _HEAD, _FOOT = 9.0, 12.0, 9.0, 3.0


class SheetOptions(Struct, frozen=True, kw_only=True):
    """How a sheet is drawn.

    `planned_clearance` is the planned wall clearance in force in mm, None to draw no border.
    """

    paper: Format = "auto"
    layers: tuple[str, ...] = USUAL_LAYERS
    planned_clearance: float | None = 58.0


def draw_room(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions | None = None
) -> str:
    """Draw a room's sheet as SVG, true to its scale when printed at full size.

    Left to choose, it takes A3 also where A4 has no room for every finding's whole message.
    """
    options = options or SheetOptions()
    svg, is_cut = _draw_sheet(facts, plan, report, options)
    if is_cut and options.paper == "auto":
        # A sheet across has the longer column.
        svg, _ = _draw_sheet(facts, plan, report, replace(options, paper="A3"), turned=(True,))
    return svg


def _draw_sheet(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    options: SheetOptions,
    turned: Sequence[bool] = (True, False),
) -> tuple[str, bool]:
    extent = find_extent(facts)
    margins = _margins(facts, options)
    layout, scale = choose_sheet(extent, margins, options.paper, turned)
    bounds = layout.drawing.inset(1.5, 9.0, 1.5, 4.0)
    view = look_at(extent, layout.drawing.inset(*margins), scale)
    scene = _scene(facts, plan, extent, view, bounds, "", options)
    drawn = draw(scene, report, options.layers)
    panels, is_cut = _draw_panels(scene, report, layout, drawn, options)
    title = " – ".join(part for part in (plan.job.title if plan.job else None, facts.id) if part)
    content = "".join(
        (
            tag("title", escape(clean(title))),
            tag("desc", escape(CAUTION)),
            define_patterns(scene),
            box(0, 0, layout.width, layout.height, fill=pens.PAPER),
            tag("clipPath", _rect(layout.drawing), id="drawing-area"),
            group(drawn.svg, clip_path="url(#drawing-area)", class_="drawing"),
            _draw_head(scene, layout),
            _draw_scale(scene, layout),
            _draw_foot(scene, layout),
            panels,
            draw_caution(layout.caution),
            draw_title_block(layout, plan, report, facts.id, scale),
            _draw_frame(layout),
        )
    )
    return _svg(content, layout.width, layout.height) + "\n", is_cut


def _margins(facts: RoomFacts, options: SheetOptions) -> Margins:
    """Keep room round a room for its dimensions, signs and balloons."""
    left = below = 11.0
    if "dimensions" in options.layers:
        chains = find_chains(facts)
        below = depth_of_chains([chain for chain in chains if chain.along_x])
        left = depth_of_chains([chain for chain in chains if not chain.along_x])
    return (left, _ABOVE + _HEAD, _RIGHT, below + _FOOT)


def _scene(
    facts: RoomFacts,
    plan: Plan,
    extent: Extent,
    view: View,
    bounds: Box,
    prefix: str,
    options: SheetOptions,
) -> Scene:
    widths = {view.on_paper(element.film.width) for element in facts.elements}
    return Scene(
        facts=facts,
        plan=plan,
        extent=extent,
        view=view,
        bounds=bounds,
        prefix=prefix,
        planned_clearance=options.planned_clearance,
        circuit_places={name: place for place, name in enumerate(plan.circuits)},
        names_strips=all(width >= NARROWEST_NAMED for width in widths),
    )


def _rect(where: Box) -> str:
    return box(where.left, where.top, where.width, where.height)


def _svg(content: str, width: float, height: float) -> str:
    return tag(
        "svg",
        content,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{number(width)}mm",
        height=f"{number(height)}mm",
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FAMILY,
        role="img",
    )


def _draw_frame(layout: Layout) -> str:
    frame = layout.frame
    drawing = layout.drawing
    parts = [
        box(
            frame.left,
            frame.top,
            frame.width,
            frame.height,
            fill="none",
            stroke=pens.INK,
            stroke_width=pens.FRAME,
        )
    ]
    if layout.landscape:
        parts.append(
            line(
                [(drawing.right, drawing.top), (drawing.right, drawing.bottom)],
                stroke=pens.INK,
                stroke_width=pens.FINE,
            )
        )
    else:
        parts.append(
            line(
                [(drawing.left, drawing.bottom), (drawing.right, drawing.bottom)],
                stroke=pens.INK,
                stroke_width=pens.FINE,
            )
        )
    return group(*parts, class_="frame")


def _draw_head(scene: Scene, layout: Layout) -> str:
    room = scene.facts.drawn
    where = layout.drawing
    left = where.left + 3.0
    words = [f"floor {scene.facts.outline.area / 1e6:.2f} m²"]
    if room.use:
        words.insert(0, room.use)
    if scene.facts.elements:
        words.append(f"heated {scene.facts.heated.area / 1e6:.2f} m²")
    name = shorten(room.id, where.width * 0.3, MEDIUM, bold=True)
    return letters(
        name, (left, where.top + 6.0), MEDIUM, font_weight="bold", fill=pens.INK
    ) + letters(
        " · ".join(words),
        (left + width_of(name, MEDIUM, bold=True) + 3.0, where.top + 6.0),
        SMALL,
        fill=pens.INK,
    )


def _draw_scale(scene: Scene, layout: Layout) -> str:
    where = layout.drawing
    words = f"1:{scene.view.scale}, dimensions in mm"
    right = where.right - 8.0
    bar, wide = draw_scale_bar(scene.view.scale, right, where.top + 3.0)
    return bar + letters(
        words, (right - wide - 4.0, where.top + 6.0), SMALL, anchor="end", fill=pens.INK
    )


def _draw_foot(scene: Scene, layout: Layout) -> str:
    words = []
    if not scene.names_strips:
        words.append(
            "at this scale strips and leads are too small for their ids; "
            "rows are named where there is room"
        )
    beyond = find_beyond(scene.facts, scene.extent)
    if beyond:
        words.append(f"reaching beyond this drawing: {', '.join(beyond[:6])}")
    return letters(
        shorten(" · ".join(words), layout.drawing.width - 6.0, SMALL),
        (layout.drawing.left + 3.0, layout.drawing.bottom - 2.0),
        SMALL,
        fill=pens.INK,
    )


def _draw_panels(
    scene: Scene, report: PlanReport, layout: Layout, drawn: Drawn, options: SheetOptions
) -> tuple[str, bool]:
    first, last = layout.panels[0], layout.panels[-1]
    with_balloons = {balloon.finding.number for balloon in drawn.balloons}
    where = layout.legend or last
    legend = draw_legend(scene, options.layers, findings_of_room(scene, report), where.width)
    circuits = draw_circuits(scene, last.width, last.height * 0.35)
    section = draw_section(scene.facts.drawn, last.width, last.height * 0.5)
    remarks = find_remarks(scene)
    said = text_panel("Remarks", remarks, first.width, 8) if remarks else None
    placed = [put(legend, where.left, where.top, class_="legend")] if layout.legend else []
    if first is last:
        low = [said, circuits, section]
    else:
        low = [said]
        right = [circuits, section, legend if layout.legend is None else None]
        placed += _stack(right, last, last.top)
    below = [panel for panel in low if panel is not None]
    foot = first.bottom - sum(panel.height for panel in below)
    findings = draw_findings(scene, report, with_balloons, first.width, foot - first.top - 2.0)
    placed.append(put(findings, first.left, first.top, class_="findings-list"))
    placed += _stack(below, first, foot)
    return "".join(placed), findings.is_cut


def _stack(panels: Sequence[Panel | None], where: Box, top: float) -> list[str]:
    placed = []
    for panel in panels:
        if panel is not None:
            placed.append(put(panel, where.left, top))
            top += panel.height
    return placed


def draw_body(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    *,
    prefix: str,
    width: float = 120.0,
    options: SheetOptions | None = None,
) -> str:
    """Draw a room by itself, to stand in a page: no sheet, no scale, about `width` mm wide.

    `prefix` keeps the ids of several drawings on one page apart. What belongs to a finding carries
    its number in ``data-finding``, every layer its name in ``data-layer``, things their id in
    ``data-item``, strips that of their circuit in ``data-circuit``.
    """
    options = options or SheetOptions()
    extent = find_extent(facts)
    left, top, right, bottom = _margins(facts, options)
    top -= _HEAD
    high_of_wide = (extent[3] - extent[1]) / (extent[2] - extent[0])
    inner = width - left - right
    height = inner * min(max(high_of_wide, 0.3), 2.0) + top + bottom
    whole = Box(left=0.0, top=0.0, width=width, height=height)
    room = whole.inset(left, top, right, bottom)
    scale = max((extent[2] - extent[0]) / room.width, (extent[3] - extent[1]) / room.height)
    view = look_at(extent, room, scale)
    scene = _scene(facts, plan, extent, view, whole.inset(1.0, 1.0, 1.0, 1.0), prefix, options)
    drawn = draw(scene, report, options.layers)
    return tag(
        "svg",
        define_patterns(scene) + drawn.svg,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FAMILY,
        class_="room-drawing",
        data_room=facts.id,
    )
