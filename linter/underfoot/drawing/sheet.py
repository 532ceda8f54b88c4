"""A room's sheets: the drawing to scale with lists, caution and title block round it.

What of the lists has no room beside the drawing stands on further sheets.
"""

from collections.abc import Collection

from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import PlanReport
from underfoot.drawing.body import SheetOptions, find_margins, make_scene
from underfoot.drawing.circuits import list_circuits
from underfoot.drawing.drawing import Drawn, draw
from underfoot.drawing.findings_list import findings_of_room, list_findings
from underfoot.drawing.framing import EDGE, FINDINGS, Content, set_on_sheets
from underfoot.drawing.legend import list_signs
from underfoot.drawing.panel import Section, paragraphs
from underfoot.drawing.remarks import find_remarks
from underfoot.drawing.scene import Scene, find_beyond, find_extent
from underfoot.drawing.section import list_layers
from underfoot.drawing.sheets import choose_sheet, look_at
from underfoot.drawing.title_block import Named
from underfoot.plan import Plan


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
    view = look_at(extent, chosen.room.inset(*margins), chosen.scale)
    bounds = chosen.room.inset(EDGE, EDGE, EDGE, EDGE)
    scene = make_scene(facts, plan, extent, view, bounds, "", options)
    drawn = draw(scene, report, options.layers)
    content = Content(
        scene=scene,
        drawn=drawn.svg,
        words=_words(facts),
        named=Named(room=facts.id, called=facts.drawn.called, scale=chosen.scale),
        kind_of=_kind_of,
    )
    sections = _sections(scene, report, drawn, options)
    return set_on_sheets(content, chosen, sections, report, options.paper)


def _words(facts: RoomFacts) -> list[str]:
    room = facts.drawn
    words = [room.use] if room.use else []
    words.append(f"floor {facts.floor.area / 1e6:.2f} m²")
    if facts.elements:
        words.append(f"heated {facts.heated.area / 1e6:.2f} m²")
    return words


def _kind_of(lists: Collection[str]) -> str:
    if FINDINGS not in lists:
        return "Tables"
    return "Findings" if len(lists) == 1 else "Findings and tables"


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
