"""A room as a drawing in DXF, in mm, each kind of thing on a layer of its own."""

import io
import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from importlib import import_module
from typing import Any

import shapely
from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.bath_zones import find_bath_zones
from underfoot.checking.facts.lining import cut_boards
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.anchors import find_place
from underfoot.drawing.bath_zones import ZONE_INK
from underfoot.drawing.body import SheetOptions
from underfoot.drawing.drawing import LAYERS
from underfoot.drawing.dxf_dimensions import draw_dimensions
from underfoot.drawing.dxf_marks import (
    APPLICATION,
    CENTRED,
    LETTERS,
    SIGN,
    SMALL_LETTERS,
    TO_THE_LEFT,
    TO_THE_RIGHT,
    draw_dot,
    draw_line,
    draw_ring,
    draw_shape,
    split_ink,
    write,
)
from underfoot.drawing.dxf_openings import draw_north, draw_openings
from underfoot.drawing.finding_signs import line_colour
from underfoot.drawing.floor_layers import BOARD_INK, COVERING_INK, SHEET_INK
from underfoot.drawing.lining.membrane import find_laps
from underfoot.drawing.lining.parts import say_size
from underfoot.drawing.printing import CannotPrintError
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import clean
from underfoot.plan import Plan
from underfoot.reporting.phrases import say_verdict

INSTALL = "pip install 'underfoot[cad]'"
OUTLINE, REMARKS = "outline", "remarks"
_MILLIMETRES = 4
_METRIC = 1
_BESIDE = 1_500.0
_LINE = 90
_INKS = {
    OUTLINE: pens.INK,
    "boards": BOARD_INK,
    "membrane": SHEET_INK,
    "coverings": COVERING_INK,
    "clearance": pens.SOFT,
    "fixtures": pens.SOFT,
    "openings": pens.INK,
    "zones": ZONE_INK,
    "strips": pens.INK,
    "leads": pens.INK,
    "sensor": pens.SENSOR,
    "controls": pens.INK,
    "dimensions": pens.INK,
    "findings": pens.SEVERITY_COLOURS["error"],
    REMARKS: pens.INK,
}


class _Sheet(Struct, frozen=True):
    """The drawing that is being made: its space, and the room's circuits by their place."""

    space: Any
    facts: RoomFacts
    circuits: dict[str, int]


def draw_dxf(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    options: SheetOptions,
) -> str:
    """Draw a room as a DXF text, its own coordinates in mm; CannotPrintError without its library.

    All layers are in it; those that `options` does not name are turned off. The same room gives
    the same text with the same library.
    """
    library = _find_library()
    # Without dates and identifiers of its making.
    fixed = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True
    try:
        document = library.new("R2010", setup=False)
        document.header["$INSUNITS"] = _MILLIMETRES
        document.header["$MEASUREMENT"] = _METRIC
        document.appids.add(APPLICATION)
        for name in (OUTLINE, *LAYERS, REMARKS):
            layer = document.layers.add(name)
            layer.rgb = split_ink(_INKS[name])
            if name not in (*options.layers, OUTLINE, REMARKS):
                layer.off()
        circuits = {circuit: place for place, circuit in enumerate(plan.circuits)}
        sheet = _Sheet(document.modelspace(), facts, circuits)
        _draw(sheet, plan, report, options)
        # The library would name the kinds of things in the order of a set.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    finally:
        library.options.write_fixed_meta_data_for_testing = fixed
    return stream.getvalue()


def _find_library() -> Any:
    try:
        return import_module("ezdxf")
    except ImportError:
        raise CannotPrintError(
            f"DXF needs the extra 'cad', which is not installed: {INSTALL}"
        ) from None


def _draw(sheet: _Sheet, plan: Plan, report: PlanReport, options: SheetOptions) -> None:
    facts = sheet.facts
    draw_ring(sheet.space, facts.drawn.outline, OUTLINE, f"room {facts.id}")
    for layer, cut in zip(facts.boards, cut_boards(facts), strict=True):
        sizes = {piece.name: say_size(piece) for piece in cut.pieces if not piece.is_whole}
        _pieces(sheet, layer.names, layer.polygons, "boards", "board", sizes)
    _pieces(sheet, facts.sheets.names, facts.sheets.polygons, "membrane", "sheet", {})
    for _, lap in find_laps(facts):
        shared = shapely.intersection(lap.shape, facts.floor)
        words = f"lap {written_length(round(lap.width, 1))}"
        write(sheet.space, words, _middle(shared), "membrane", SMALL_LETTERS)
    for each in facts.drawn.coverings:
        if each.over is not None:
            draw_ring(sheet.space, each.over, "coverings", f"covering {each.covering.id}")
    if options.planned_clearance:
        inner = facts.outline.buffer(
            -options.planned_clearance, join_style="mitre", mitre_limit=100.0
        )
        draw_shape(sheet.space, inner, "clearance")
    for fixture, polygon in facts.fixtures:
        draw_ring(sheet.space, fixture.outline, "fixtures", f"fixture {fixture.id}")
        write(sheet.space, f"{fixture.id}: {fixture.kind}", _middle(polygon), "fixtures")
    for name, joint in facts.joints:
        draw_line(sheet.space, joint.coords, "fixtures", f"joint {name}")
    draw_openings(sheet.space, facts)
    for zone in find_bath_zones(facts, options.bath_zones) if options.bath_zones else ():
        name = f"zone {zone.number} of {zone.fixture}"
        draw_shape(sheet.space, zone.shape, "zones", name)
        write(sheet.space, f"{name}, {zone.reach:g}", _middle(zone.shape), "zones", SMALL_LETTERS)
    draw_north(sheet.space, facts, plan.north_of(facts.drawn))
    _strips(sheet)
    _wiring(sheet)
    draw_dimensions(sheet.space, facts, LAYERS)
    found = [each for each in report.findings if each.room in (None, facts.id)]
    numbers: list[tuple[float, float]] = []
    for finding in found:
        _finding(sheet, finding, numbers)
    _remarks(sheet, plan, report, found)


def _strips(sheet: _Sheet) -> None:
    facts = sheet.facts
    for place, element in enumerate(facts.elements):
        ink = _circuit_ink(sheet, element.circuit)
        circuit = element.circuit if element.circuit is not None else "no circuit"
        names = (f"strip {element.id}", f"circuit {element.circuit or '-'}")
        draw_ring(sheet.space, facts.corners[place].tolist(), "strips", *names, ink=ink)
        start, end = facts.connections[place].tolist()
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        words = f"{element.id}  {written_length(element.length)}  {circuit}"
        # Read from below or from the right.
        upright = turn - 180.0 if turn >= 90.0 + 1e-9 else turn + 180.0 if turn < -90.0 else turn
        height = min(LETTERS, element.film.width * 0.4)
        write(sheet.space, words, middle, "strips", height, upright, ink)
        joined = end if element.connected == "end" else start
        reach = min(SIGN, element.length * 0.4) / (math.dist(start, end) or 1.0)
        other = start if joined is end else end
        at = (
            joined[0] + (other[0] - joined[0]) * reach,
            joined[1] + (other[1] - joined[1]) * reach,
        )
        draw_dot(sheet.space, at, SIGN / 3, "strips", f"connected end of {element.id}", ink)


def _wiring(sheet: _Sheet) -> None:
    facts = sheet.facts
    for laid in facts.leads:
        if laid.line is not None:
            ink = _circuit_ink(sheet, laid.lead.circuit)
            names = (f"lead {laid.lead.id}", f"circuit {laid.lead.circuit}")
            for part in getattr(laid.line, "geoms", [laid.line]):
                draw_line(sheet.space, part.coords, "leads", *names, ink=ink)
            at = laid.line.interpolate(0.5, normalized=True)
            words = f"{laid.lead.id}  {laid.lead.circuit}  {laid.lead.size_text or ''}".strip()
            write(sheet.space, words, (at.x, at.y), "leads", SMALL_LETTERS, ink=ink)
    if facts.drawn.sensor is not None:
        if len(facts.sensor_way) > 1:
            draw_line(sheet.space, facts.sensor_way, "sensor", "sensor's cable")
        x, y = facts.drawn.sensor.at
        draw_dot(sheet.space, (x, y), SIGN / 2, "sensor", "sensor")
        write(sheet.space, "sensor", (x, y - SIGN - LETTERS), "sensor")
    thermostat = facts.drawn.thermostat
    signs = {"junction-box": facts.box}
    if thermostat is not None and thermostat.room in (None, facts.id):
        signs["thermostat"] = thermostat.at or facts.box
    for row, (name, place) in enumerate(signs.items()):
        if place is not None:
            draw_dot(sheet.space, place, SIGN / (row + 1), "controls", name)
            _name_outside(sheet, name, place, row)


def _name_outside(sheet: _Sheet, name: str, place: Sequence[float], row: int) -> None:
    """Name what is on a wall on that wall's other side, several one below the other."""
    away = 2 * SIGN
    side = max(
        ((-1, 0), (1, 0), (0, -1), (0, 1)),
        key=lambda way: sheet.facts.outline.distance(
            shapely.Point(place[0] + way[0] * away, place[1] + way[1] * away)
        ),
    )
    x, y = place[0] + side[0] * away, place[1] + side[1] * away
    down = row * 1.5 * LETTERS * (1 if side == (0, 1) else -1)
    across = {-1: TO_THE_LEFT, 0: CENTRED, 1: TO_THE_RIGHT}[side[0]]
    write(sheet.space, name, (x, y + down), "controls", across=across)


def _finding(sheet: _Sheet, finding: ReportedFinding, numbers: list[tuple[float, float]]) -> None:
    """Draw what a finding is about, its number beside those that are there already."""
    shape = find_place(sheet.facts, finding)
    if shape is None:
        return
    ink = line_colour(finding.severity)
    name = f"finding {finding.number}"
    draw_shape(sheet.space, shape, "findings", name, ink)
    x, y = _middle(shape)
    while any(math.dist((x, y), other) < 2 * LETTERS for other in numbers):
        x += 2 * LETTERS
    numbers.append((x, y))
    write(sheet.space, str(finding.number), (x, y), "findings", 1.5 * LETTERS, ink=ink)


def _remarks(
    sheet: _Sheet, plan: Plan, report: PlanReport, found: Sequence[ReportedFinding]
) -> None:
    """Write what the plan is, what was found and the caution beside the room."""
    job = plan.job
    told = [sheet.facts.id] if job is None else [
        job.title or sheet.facts.id, sheet.facts.id,
        " · ".join(each for each in (job.reference, job.revision, job.date) if each),
    ]  # fmt: skip
    head = [*told, "", f"{report.verdict}: {say_verdict(report)}", "", CAUTION, ""]
    _, _, most_x, most_y = sheet.facts.outline.bounds
    x, y = most_x + _BESIDE, most_y
    for layer, words in [
        *((REMARKS, each) for each in head),
        *(
            ("findings", f"{each.number}  {each.severity.upper()}  {each.rule}: {each.message}")
            for each in found
        ),
    ]:
        for line in textwrap.wrap(clean(words), _LINE) or [""]:
            if line:
                write(sheet.space, line, (x, y), layer, across=None)
            y -= 1.6 * LETTERS


def _pieces(
    sheet: _Sheet,
    names: Iterable[str],
    polygons: Iterable[Any],
    layer: str,
    kind: str,
    sizes: Mapping[str, str],
) -> None:
    """Draw boards or sheets with their names, those in `sizes` with what they are cut to."""
    for name, polygon in zip(names, polygons, strict=True):
        shown = shapely.intersection(polygon, sheet.facts.outline)
        if not shown.is_empty:
            draw_shape(sheet.space, shown, layer, f"{kind} {name}")
            words = f"{name}  {sizes[name]}" if name in sizes else name
            write(sheet.space, words, _middle(shown), layer, SMALL_LETTERS)


def _circuit_ink(sheet: _Sheet, circuit: str | None) -> str:
    return pens.circuit_colours(sheet.circuits.get(circuit) if circuit is not None else None)[0]


def _middle(shape: Any) -> tuple[float, float]:
    spot = shape.representative_point()
    return (spot.x, spot.y)
