"""The sheets of a room's boards and membrane: which there are, and what stands on each."""

from collections.abc import Callable, Collection, Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.lining import cut_boards, cut_sheets
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.drawing.body import SheetOptions, make_scene
from underfoot.drawing.chains import SIDES, Chain, depth_of_chains
from underfoot.drawing.findings_list import list_finding
from underfoot.drawing.framing import EDGE, FINDINGS, Content, set_on_sheets
from underfoot.drawing.lining import boards, lists, membrane
from underfoot.drawing.lining.parts import Composed, Lining, compose, set_rows
from underfoot.drawing.panel import Section, paragraphs
from underfoot.drawing.scene import Scene
from underfoot.drawing.sheets import Chosen, Margins, list_choices, look_at
from underfoot.drawing.title_block import Named
from underfoot.plan import Plan

# What sheets are drawn of.
LINED = ("boards", "membrane")
# How large a board is where the plan does not say; sheets are larger.
_USUAL = (1200.0, 600.0)
# What a name takes on paper: where boards are smaller none has one, and no dimensions.
_NAMED = (10.0, 5.0)
# So many things that have no room on the drawing are listed one by one.
_MOST_UNTOLD = 60
# At this scale a membrane, of which little is to be told, can be laid from; boards have a list of
# their own, for the saw, rather than a smaller drawing.
_SMALLEST = 50
# What the arrow to the north takes beside the room, mm on paper.
_ARROW = 15.0


def draw_linings(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    options: SheetOptions | None = None,
    of: Collection[str] = LINED,
) -> dict[str, tuple[str, ...]]:
    """Draw a room's boards and its membrane on sheets of their own, as SVG by name.

    A layer of boards has a sheet each (`boards`, `boards-2`), the membrane one (`membrane`); what
    has no room beside a drawing stands on further sheets after it. What the plan does not lay out
    has none: the room's sheet says so. Of very many layers the first ones
    have a sheet.
    """
    options = options or SheetOptions()
    drawn = {}
    if "boards" in of:
        for place, cut in enumerate(cut_boards(facts)[: boards.MOST_LAYERS]):
            if cut.pieces:
                name = "boards" if place == 0 else f"boards-{place + 1}"
                drawn[name] = _draw_boards(facts, plan, report, options, place)
    if "membrane" in of and cut_sheets(facts):
        drawn["membrane"] = _draw_membrane(facts, plan, report, options)
    return drawn


def _draw_boards(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions, place: int
) -> tuple[str, ...]:
    layer, cut = facts.boards[place], cut_boards(facts)[place]
    below = facts.boards[place - 1] if place else None
    count = len(facts.boards)
    kind = "Insulation boards" if count == 1 else f"Boards, layer {place + 1} of {count}"
    findings = _findings_about(facts, report, layer.names)

    def line(scene: Scene) -> tuple[Lining, list[Section]]:
        signs = lists.list_signs(
            scene,
            boards=True,
            cut=not all(each.is_whole for each in cut.pieces),
            below=below is not None and scene.names_strips,
        )
        cuts = lists.list_cuts(layer, cut)
        said = [signs, lists.list_boards(facts, place, layer, cut), *([cuts] if cuts else [])]
        return boards.line_boards(scene, layer, cut, below), said

    drawing = _Drawing(
        kind=kind,
        chains=set_rows(facts, boards.find_rows(facts, layer)),
        size=cut.board or _USUAL,
        findings=findings,
        line=line,
    )
    return _choose(facts, plan, report, options, drawing)


def _draw_membrane(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions
) -> tuple[str, ...]:
    pieces = cut_sheets(facts)

    def line(scene: Scene) -> tuple[Lining, list[Section]]:
        lining = membrane.line_sheets(scene, pieces)
        signs = lists.list_signs(scene, boards=False, laps=bool(lining.wanted))
        return lining, [signs, lists.list_sheets(facts, pieces)]

    drawing = _Drawing(
        kind="Membrane",
        chains=set_rows(facts, membrane.find_rows(facts)),
        size=_USUAL,
        findings=_findings_about(facts, report, facts.sheets.names),
        smallest=_SMALLEST,
        line=line,
    )
    return _choose(facts, plan, report, options, drawing)


class _Drawing(Struct, frozen=True, kw_only=True):
    """What is to be drawn: `line` draws it, with its lists, for a scale and a place on paper."""

    kind: str
    chains: Sequence[Chain]
    size: tuple[float, float]
    findings: Sequence[ReportedFinding]
    smallest: int = 0
    line: Callable[[Scene], tuple[Lining, list[Section]]]


def _choose(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions, drawing: _Drawing
) -> tuple[str, ...]:
    """Set a drawing on the sheet that shows it largest; of those one that holds its lists too.

    Where none does, a smaller scale down to `smallest` is tried, if that is said. One larger
    paper is rather taken than a second sheet.
    """
    extent = facts.outline.bounds
    sides = [depth_of_chains(facts, drawing.chains, side) for side in SIDES]
    if plan.north_of(facts.drawn) is not None:
        # The arrow stands above the room, at the right.
        sides[2] = max(sides[2], _ARROW)
    left, top, right, bottom = sides
    margins = (left, top, right, bottom)
    choices = list_choices(extent, margins, options.paper)
    best: tuple[str, ...] = ()
    for chosen in choices:
        if chosen.scale != choices[0].scale and chosen.scale > drawing.smallest:
            break
        tried = _set(facts, plan, report, options, drawing, margins, chosen)
        if len(tried) == 1:
            return tried
        best = best or tried
    return best


def _set(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    options: SheetOptions,
    drawing: _Drawing,
    margins: Margins,
    chosen: Chosen,
) -> tuple[str, ...]:
    extent = facts.outline.bounds
    view = look_at(extent, chosen.room.inset(*margins), chosen.scale)
    bounds = chosen.room.inset(EDGE, EDGE, EDGE, EDGE)
    scene = make_scene(facts, plan, extent, view, bounds, "", options)
    long, wide = (view.on_paper(each) for each in drawing.size)
    # Boards or sheets, here, stand for strips.
    is_named = max(long, wide) >= _NAMED[0] and min(long, wide) >= _NAMED[1]
    scene = replace(scene, names_strips=is_named)
    lining, sections = drawing.line(scene)
    composed = compose(scene, drawing.chains, lining, drawing.findings)
    kind = drawing.kind
    content = Content(
        scene=scene,
        drawn=composed.svg,
        words=[kind[0].lower() + kind[1:], f"floor {facts.floor.area / 1e6:.2f} m²"],
        named=Named(room=facts.id, called=facts.drawn.called, scale=chosen.scale, kind=kind),
        kind_of=lambda names: "Findings" if names == {FINDINGS} else f"{kind}, lists",
    )
    sections += _list_rest(scene, composed, drawing.findings)
    return set_on_sheets(content, chosen, sections, report, options.paper)


def _findings_about(
    facts: RoomFacts, report: PlanReport, names: Iterable[str]
) -> list[ReportedFinding]:
    known = set(names)
    return [
        each
        for each in report.findings
        if each.room == facts.id and not known.isdisjoint(each.items)
    ]


def _list_rest(
    scene: Scene, composed: Composed, findings: Sequence[ReportedFinding]
) -> list[Section]:
    """List what had no room on the drawing, what was found about it, and what is too small."""
    sections = []
    if findings:
        drawn = {balloon.finding.number for balloon in composed.balloons}
        entries = tuple(list_finding(each, drawn) for each in findings)
        sections.append(Section(title="Findings about these", name=FINDINGS, entries=entries))
    notes = [f"{item}: {words}" for item, words in composed.untold[:_MOST_UNTOLD]]
    more = len(composed.untold) - _MOST_UNTOLD
    if more > 0:
        notes.append(f"and {more} more.")
    if not scene.names_strips:
        notes.append("At this scale all is too small for names and dimensions.")
    if notes:
        entries = paragraphs(notes)
        sections.append(
            Section(title="Not written beside its thing", name="untold", entries=entries)
        )
    return sections
