"""The legend: every sign that is on this sheet, and no other."""

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from underfoot.checking.report import ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.bath_zones import explain_zones
from underfoot.drawing.chains import find_guests
from underfoot.drawing.finding_signs import draw_balloon_sign, line_colour
from underfoot.drawing.floor_layers import BOARD_INK, COVERING_INK, SHEET_INK
from underfoot.drawing.joints import DOT, find_joins
from underfoot.drawing.lettering import SMALL, width_of, wrap
from underfoot.drawing.offers import explain_cold, explain_offers
from underfoot.drawing.panel import LINE, Panel, Section, stack
from underfoot.drawing.panel import Entry as Drawing
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, box, circle, group, letter_sign, letters, line

_ROW = 5.8
_SIGN = 10.5
_COLUMN = 50.0


class Entry(Struct, frozen=True):
    """A sign, what it stands for, and the layer that it is on."""

    layer: str
    sign: str
    text: str


def list_signs(
    scene: Scene, layers: Collection[str], findings: Sequence[ReportedFinding]
) -> Section:
    """Explain the signs of a sheet, as many to a row as stand side by side."""
    entries = list(_entries(scene, layers, findings))
    # A row of signs is an entry of its own, so that a legend can go on in the next column.
    return Section(title="Legend", name="legend", entries=tuple(list_rows(entries)))


def list_rows(entries: Sequence[Entry]) -> Iterator[Drawing]:
    """Draw signs as many to a row as stand side by side."""

    for first in range(len(entries)):

        def draw(width: float, first: int = first) -> Panel:
            columns = max(1, int(width // _COLUMN))
            if first % columns:
                return Panel(height=0.0, drawn="")
            return _draw_row(entries[first : first + columns], width / columns)

        yield draw


def draw_legend(
    scene: Scene, layers: Collection[str], findings: Sequence[ReportedFinding], width: float
) -> Panel:
    """Draw the legend in a column by itself."""
    return stack(list_signs(scene, layers, findings), width)


def _draw_row(entries: Sequence[Entry], each: float) -> Panel:
    drawn, deepest = [], 0.0
    for column, entry in enumerate(entries):
        x, y = column * each, _ROW / 2
        lines = wrap(entry.text, each - _SIGN - 1.0, SMALL)
        texts = (
            letters(text, (x + _SIGN, y + SMALL * 0.35 + place * LINE), SMALL, fill=pens.INK)
            for place, text in enumerate(lines)
        )
        sign = group(entry.sign, transform=f"translate({x:.3f} {y:.3f})")
        drawn.append(group(sign, *texts, data_shows=entry.layer))
        deepest = max(deepest, _ROW + max(0, len(lines) - 1) * LINE)
    return Panel(height=deepest, drawn="".join(drawn))


def _stroke(**look: str | float | None) -> str:
    return line([(0.5, 0), (7.5, 0)], **look)


def _swatch(**look: str | float | None) -> str:
    return box(0.5, -1.4, 7, 2.8, **look)


def _entries(
    scene: Scene, layers: Collection[str], findings: Sequence[ReportedFinding]
) -> Iterator[Entry]:
    room = scene.facts.drawn
    if "clearance" in layers and scene.planned_clearance:
        sign = _stroke(stroke=pens.SOFT, stroke_width=pens.HAIR, stroke_dasharray="1.6 0.8")
        yield Entry("clearance", sign, f"planned clearance {scene.planned_clearance:g}")
    if "strips" in layers and room.elements and scene.names_strips:
        ink, ground = pens.circuit_colours(scene.circuit_place(room.elements[0].circuit))
        yield Entry("strips", _swatch(fill=ground, stroke=ink, stroke_width=pens.FINE), "strip")
        sign = _swatch(fill=pens.PAPER, stroke=pens.PALE, stroke_width=pens.FINE)
        if "findings" in layers and any(each.is_cold for each in findings):
            sign = explain_cold(scene)
        yield Entry("strips", sign, "floor that stays cold")
    if "leads" in layers and room.leads:
        ink, _ = pens.circuit_colours(scene.circuit_place(room.leads[0].circuit))
        sign = _stroke(stroke=ink, stroke_width=0.9) + _stroke(stroke=pens.PAPER, stroke_width=0.3)
        yield Entry("leads", sign, "lead, a pair")
    if "leads" in layers:
        yield from _joints(scene)
    if "controls" in layers:
        yield from _controls(scene)
    if "sensor" in layers and room.sensor is not None:
        yield Entry("sensor", _sensor(), "sensor and its channel")
    yield from _things(scene, layers)
    if "zones" in layers:
        yield from (Entry("zones", sign, words) for sign, words in explain_zones(scene))
    if "findings" in layers:
        yield from _balloons(findings)
        yield from _faults(scene, findings)
        yield from (
            Entry("findings", sign, words) for sign, words in explain_offers(scene, findings)
        )
    # Last, so that they leave no gap where a page shows these layers only when asked to.
    yield from _linings(scene, layers)


def _sensor() -> str:
    way: Look = {"stroke": pens.SENSOR, "stroke_width": pens.WIDE}
    cross: Look = {"stroke": pens.SENSOR, "stroke_width": pens.FINE}
    bulb: Look = {"fill": pens.PAPER, "stroke": pens.SENSOR, "stroke_width": pens.MIDDLE}
    return "".join(
        (
            line([(0.2, 0), (4.4, 0)], **way, stroke_dasharray="3 0.9 0.7 0.9"),
            circle((6, 0), 1.4, **bulb),
            line([(4.6, 0), (7.4, 0)], **cross),
            line([(6, -1.4), (6, 1.4)], **cross),
        )
    )


def _joints(scene: Scene) -> Iterator[Entry]:
    """Explain the joints: those that a lead comes to, and those that wait for one."""
    joins = find_joins(scene)
    for is_joined, words in ((True, "joint, in order from JB"), (False, "no lead joins it")):
        join = next((each for each in joins if (each.number is not None) == is_joined), None)
        if join is None:
            continue
        ink = pens.circuit_colours(scene.circuit_place(join.circuit))[0]
        fill = ink if is_joined else pens.PAPER
        sign = circle((2.4, 0), DOT, fill=fill, stroke=ink, stroke_width=pens.FINE)
        if is_joined:
            sign += letter_sign("1", (5.4, 0), ink)
        yield Entry("leads", sign, words)


def _controls(scene: Scene) -> Iterator[Entry]:
    room = scene.facts.drawn
    look: Look = {"fill": pens.PAPER, "stroke": pens.INK, "stroke_width": pens.FINE}
    ring = circle((4, 0), 2.8, **look)
    if room.junction_box is not None:
        height = _height(room.junction_box.height)
        sign = box(1.2, -2.8, 5.6, 5.6, **look) + letter_sign("JB", (4, 0), pens.INK)
        yield Entry("controls", sign, f"junction box{height}")
    if room.thermostat is not None:
        elsewhere = room.thermostat.room not in (None, room.id)
        said = f", in {room.thermostat.room}" if elsewhere else _height(room.thermostat.height)
        if room.thermostat.reads is not None:
            said += f", reads the sensors of {', '.join(room.thermostat.reads) or 'no room'}"
        sign = ring + letter_sign("T", (4, 0), pens.INK)
        yield Entry("controls", sign, f"thermostat{said}")
    guests = find_guests(scene.plan, scene.facts)
    if guests:
        sign = ring + letter_sign("T2", (4, 0), pens.INK)
        yield Entry("controls", sign, f"thermostat of {', '.join(guests)}")


def _height(height: float | None) -> str:
    return "" if height is None else f", {height:.0f} up"


def _things(scene: Scene, layers: Collection[str]) -> Iterator[Entry]:
    room = scene.facts.drawn
    edge: Look = {"stroke": pens.INK, "stroke_width": pens.FINE}
    fixtures = room.fixtures.values() if "fixtures" in layers else ()
    if any(fixture.stops_floor and fixture.is_standing for fixture in fixtures):
        sign = _swatch(fill=f"url(#{scene.prefix}structure)", **edge)
        yield Entry("fixtures", sign, "structure; floor stops at it")
    if any(fixture.is_standing and not fixture.stops_floor for fixture in fixtures):
        yield Entry("fixtures", _swatch(fill="#eceef1", **edge), "standing fixture")
    kinds = {fixture.kind for fixture in fixtures if not fixture.is_standing}
    if kinds:
        sign = _swatch(fill="none", stroke_dasharray="2 0.8", **edge)
        yield Entry("fixtures", sign, _open_kinds(kinds))
    if "fixtures" in layers and room.joints:
        sign = _stroke(stroke=pens.INK, stroke_width=pens.WIDE, stroke_dasharray="3 0.8 0.5 0.8")
        yield Entry("fixtures", sign, "movement joint")
    if "coverings" in layers and any(each.over is not None for each in room.coverings):
        dots: Look = {"stroke_dasharray": "0.4 1", "stroke_linecap": "round"}
        sign = _stroke(stroke=COVERING_INK, stroke_width=pens.MIDDLE, **dots)
        yield Entry("coverings", sign, "edge of a covering")


def _open_kinds(kinds: Collection[str]) -> str:
    if kinds == {"on legs"}:
        return "fixture on legs"
    return "lying flat on the floor" if kinds == {"lying flat"} else "on legs, or lying flat"


def _balloons(findings: Sequence[ReportedFinding]) -> Iterator[Entry]:
    drawn = ""
    x = 2.6
    standing = {finding.severity for finding in findings if finding.waiver is None}
    for severity in ("error", "warning", "note"):
        if severity in standing:
            drawn += draw_balloon_sign(severity, "", (x, 0.0), waived=False, share=0.42)
            drawn += letters(severity, (x + 2.9, SMALL * 0.35), SMALL, fill=pens.INK)
            x += 7.0 + width_of(severity, SMALL)
    if drawn:
        yield Entry("findings", drawn, "")
    waived = {finding.severity for finding in findings if finding.waiver is not None}
    for severity in ("error", "warning", "note"):
        if severity in waived:
            sign = draw_balloon_sign(severity, "", (4.0, 0.0), waived=True, share=0.42)
            yield Entry("findings", sign, f"waived {severity}")


def _faults(scene: Scene, findings: Sequence[ReportedFinding]) -> Iterator[Entry]:
    """Explain the tint of what a finding is about, in the colour of the gravest of them."""
    shown = {
        each.severity
        for each in findings
        if each.shape not in (None, each.offer) and each.room and not each.is_cold
    }
    severity = next((each for each in ("error", "warning", "note") if each in shown), None)
    if severity is not None:
        ink = line_colour(severity)
        sign = _swatch(fill=ink, fill_opacity=0.22, stroke=ink, stroke_width=pens.FINE)
        yield Entry("findings", sign, "what a finding is about")


def _linings(scene: Scene, layers: Collection[str]) -> Iterator[Entry]:
    if "boards" in layers and scene.facts.boards:
        sign = _swatch(fill="none", stroke=BOARD_INK, stroke_width=pens.FINE)
        yield Entry("boards", sign, "insulation board")
    if "membrane" in layers and scene.facts.sheets.names:
        edge: Look = {"stroke": SHEET_INK, "stroke_width": pens.FINE, "stroke_dasharray": "2.4 0.6"}
        sign = _swatch(fill=f"url(#{scene.prefix}lap)", **edge)
        yield Entry("membrane", sign, "membrane, lap hatched")
