"""The legend: every sign that is on this sheet, and no other."""

from __future__ import annotations

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
from underfoot.drawing.svg import box, group, letters, line, tag

_ROW = 5.8
_SIGN = 10.5
_COLUMN = 50.0


class Entry(Struct, frozen=True, kw_only=True):
    """A sign, what it stands for, and the layer that it is on."""

    layer: str
    sign: str
    text: str


def list_signs(
    scene: Scene, layers: Collection[str], findings: Sequence[ReportedFinding]
) -> Section:
    """Explain the signs of a sheet, as many to a row as stand side by side."""
    entries = _entries(scene, layers, findings)
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


def _entries(
    scene: Scene, layers: Collection[str], findings: Sequence[ReportedFinding]
) -> list[Entry]:
    room = scene.facts.drawn
    entries: list[Entry] = []
    if "clearance" in layers and scene.planned_clearance:
        entries.append(
            Entry(
                layer="clearance",
                sign=line(
                    [(0.5, 0), (7.5, 0)],
                    stroke=pens.SOFT,
                    stroke_width=pens.HAIR,
                    stroke_dasharray="1.6 0.8",
                ),
                text=f"planned clearance {scene.planned_clearance:g}",
            )
        )
    if "strips" in layers and room.elements and scene.names_strips:
        ink, ground = pens.circuit_colours(scene.circuit_place(room.elements[0].circuit))
        entries.append(
            Entry(
                layer="strips",
                sign=box(0.5, -1.4, 7, 2.8, fill=ground, stroke=ink, stroke_width=pens.FINE),
                text="strip",
            )
        )
        sign = box(0.5, -1.4, 7, 2.8, fill=pens.PAPER, stroke=pens.PALE, stroke_width=pens.FINE)
        if "findings" in layers and any(each.is_cold for each in findings):
            sign = explain_cold(scene)
        entries.append(Entry(layer="strips", sign=sign, text="floor that stays cold"))
    if "leads" in layers and room.leads:
        ink, _ = pens.circuit_colours(scene.circuit_place(room.leads[0].circuit))
        entries.append(
            Entry(
                layer="leads",
                sign=line([(0.5, 0), (7.5, 0)], stroke=ink, stroke_width=0.9)
                + line([(0.5, 0), (7.5, 0)], stroke=pens.PAPER, stroke_width=0.3),
                text="lead, a pair",
            )
        )
    if "leads" in layers:
        entries += _joints(scene)
    if "controls" in layers:
        entries += _controls(scene)
    if "sensor" in layers and room.sensor is not None:
        entries.append(
            Entry(
                layer="sensor",
                sign=line(
                    [(0.2, 0), (4.4, 0)],
                    stroke=pens.SENSOR,
                    stroke_width=pens.WIDE,
                    stroke_dasharray="3 0.9 0.7 0.9",
                )
                + tag(
                    "circle",
                    cx=6,
                    cy=0,
                    r=1.4,
                    fill=pens.PAPER,
                    stroke=pens.SENSOR,
                    stroke_width=pens.MIDDLE,
                )
                + line([(4.6, 0), (7.4, 0)], stroke=pens.SENSOR, stroke_width=pens.FINE)
                + line([(6, -1.4), (6, 1.4)], stroke=pens.SENSOR, stroke_width=pens.FINE),
                text="sensor and its channel",
            )
        )
    entries += _things(scene, layers)
    if "zones" in layers:
        entries += (
            Entry(layer="zones", sign=sign, text=words) for sign, words in explain_zones(scene)
        )
    if "findings" in layers:
        entries += _balloons(findings)
        entries += _faults(scene, findings)
        entries += (
            Entry(layer="findings", sign=sign, text=words)
            for sign, words in explain_offers(scene, findings)
        )
    # Last, so that they leave no gap where a page shows these layers only when asked to.
    return [*entries, *_linings(scene, layers)]


def _joints(scene: Scene) -> list[Entry]:
    """Explain the joints: those that a lead comes to, and those that wait for one."""
    entries = []
    joins = find_joins(scene)
    for is_joined, words in ((True, "joint, in order from JB"), (False, "no lead joins it")):
        join = next((each for each in joins if (each.number is not None) == is_joined), None)
        if join is None:
            continue
        ink = pens.circuit_colours(scene.circuit_place(join.circuit))[0]
        sign = tag(
            "circle",
            cx=2.4,
            cy=0,
            r=DOT,
            fill=ink if is_joined else pens.PAPER,
            stroke=ink,
            stroke_width=pens.FINE,
        )
        if is_joined:
            at = (5.4, SMALL * 0.35)
            sign += letters("1", at, SMALL, anchor="middle", font_weight="bold", fill=ink)
        entries.append(Entry(layer="leads", sign=sign, text=words))
    return entries


def _controls(scene: Scene) -> list[Entry]:
    room = scene.facts.drawn
    entries = []
    look: dict[str, str | float | None] = {
        "fill": pens.PAPER,
        "stroke": pens.INK,
        "stroke_width": pens.FINE,
    }

    def text(word: str) -> str:
        return letters(
            word, (4, SMALL * 0.35), SMALL, anchor="middle", font_weight="bold", fill=pens.INK
        )

    if room.junction_box is not None:
        height = _height(room.junction_box.height)
        sign = box(1.2, -2.8, 5.6, 5.6, **look) + text("JB")
        entries.append(Entry(layer="controls", sign=sign, text=f"junction box{height}"))
    if room.thermostat is not None:
        elsewhere = room.thermostat.room not in (None, room.id)
        said = f", in {room.thermostat.room}" if elsewhere else _height(room.thermostat.height)
        if room.thermostat.reads is not None:
            said += f", reads the sensors of {', '.join(room.thermostat.reads) or 'no room'}"
        sign = tag("circle", cx=4, cy=0, r=2.8, **look) + text("T")
        entries.append(Entry(layer="controls", sign=sign, text=f"thermostat{said}"))
    guests = find_guests(scene.plan, scene.facts)
    if guests:
        sign = tag("circle", cx=4, cy=0, r=2.8, **look) + text("T2")
        entries.append(
            Entry(layer="controls", sign=sign, text=f"thermostat of {', '.join(guests)}")
        )
    return entries


def _height(height: float | None) -> str:
    return "" if height is None else f", {height:.0f} up"


def _things(scene: Scene, layers: Collection[str]) -> list[Entry]:
    room = scene.facts.drawn
    edge: dict[str, str | float | None] = {"stroke": pens.INK, "stroke_width": pens.FINE}
    entries = []
    fixtures = room.fixtures.values() if "fixtures" in layers else ()
    if any(fixture.stops_floor and fixture.is_standing for fixture in fixtures):
        entries.append(
            Entry(
                layer="fixtures",
                sign=box(0.5, -1.4, 7, 2.8, fill=f"url(#{scene.prefix}structure)", **edge),
                text="structure; floor stops at it",
            )
        )
    if any(fixture.is_standing and not fixture.stops_floor for fixture in fixtures):
        sign = box(0.5, -1.4, 7, 2.8, fill="#eceef1", **edge)
        entries.append(Entry(layer="fixtures", sign=sign, text="standing fixture"))
    kinds = {fixture.kind for fixture in fixtures if not fixture.is_standing}
    if kinds:
        sign = box(0.5, -1.4, 7, 2.8, fill="none", stroke_dasharray="2 0.8", **edge)
        entries.append(Entry(layer="fixtures", sign=sign, text=_open_kinds(kinds)))
    if "fixtures" in layers and room.joints:
        entries.append(
            Entry(
                layer="fixtures",
                sign=line(
                    [(0.5, 0), (7.5, 0)],
                    stroke=pens.INK,
                    stroke_width=pens.WIDE,
                    stroke_dasharray="3 0.8 0.5 0.8",
                ),
                text="movement joint",
            )
        )
    if "coverings" in layers and any(each.over is not None for each in room.coverings):
        entries.append(
            Entry(
                layer="coverings",
                sign=line(
                    [(0.5, 0), (7.5, 0)],
                    stroke=COVERING_INK,
                    stroke_width=pens.MIDDLE,
                    stroke_dasharray="0.4 1",
                    stroke_linecap="round",
                ),
                text="edge of a covering",
            )
        )
    return entries


def _open_kinds(kinds: Collection[str]) -> str:
    if kinds == {"on legs"}:
        return "fixture on legs"
    return "lying flat on the floor" if kinds == {"lying flat"} else "on legs, or lying flat"


def _balloons(findings: Sequence[ReportedFinding]) -> list[Entry]:
    entries = []
    drawn = ""
    x = 2.6
    standing = {finding.severity for finding in findings if finding.waiver is None}
    for severity in ("error", "warning", "note"):
        if severity in standing:
            drawn += draw_balloon_sign(severity, "", (x, 0.0), waived=False, share=0.42)
            drawn += letters(severity, (x + 2.9, SMALL * 0.35), SMALL, fill=pens.INK)
            x += 7.0 + width_of(severity, SMALL)
    if drawn:
        entries.append(Entry(layer="findings", sign=drawn, text=""))
    waived = {finding.severity for finding in findings if finding.waiver is not None}
    for severity in ("error", "warning", "note"):
        if severity in waived:
            sign = draw_balloon_sign(severity, "", (4.0, 0.0), waived=True, share=0.42)
            entries.append(Entry(layer="findings", sign=sign, text=f"waived {severity}"))
    return entries


def _faults(scene: Scene, findings: Sequence[ReportedFinding]) -> list[Entry]:
    """Explain the tint of what a finding is about, in the colour of the gravest of them."""
    shown = {
        each.severity
        for each in findings
        if each.shape not in (None, each.offer) and each.room and not each.is_cold
    }
    severity = next((each for each in ("error", "warning", "note") if each in shown), None)
    if severity is None:
        return []
    ink = line_colour(severity)
    sign = box(0.5, -1.4, 7, 2.8, fill=ink, fill_opacity=0.22, stroke=ink, stroke_width=pens.FINE)
    return [Entry(layer="findings", sign=sign, text="what a finding is about")]


def _linings(scene: Scene, layers: Collection[str]) -> list[Entry]:
    entries = []
    if "boards" in layers and scene.facts.boards:
        entries.append(
            Entry(
                layer="boards",
                sign=box(0.5, -1.4, 7, 2.8, fill="none", stroke=BOARD_INK, stroke_width=pens.FINE),
                text="insulation board",
            )
        )
    if "membrane" in layers and scene.facts.sheets.names:
        entries.append(
            Entry(
                layer="membrane",
                sign=box(
                    0.5,
                    -1.4,
                    7,
                    2.8,
                    fill=f"url(#{scene.prefix}lap)",
                    stroke=SHEET_INK,
                    stroke_width=pens.FINE,
                    stroke_dasharray="2.4 0.6",
                ),
                text="membrane, lap hatched",
            )
        )
    return entries
