"""A room as the page shows it: the drawing, what its signs mean, and its floor in figures."""

import re
from collections import defaultdict

from msgspec import Struct

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.facts.circuit import find_circuits
from underfoot.checking.report import PlanReport
from underfoot.checking.settings import Settings
from underfoot.drawing import LAYERS, SheetOptions, Untold, choose_options, draw_alone, pens
from underfoot.drawing.body import make_scene
from underfoot.drawing.circuits import lengths_in_words
from underfoot.drawing.findings_list import findings_of_room
from underfoot.drawing.legend import draw_legend
from underfoot.drawing.lettering import FAMILY
from underfoot.drawing.panel import Panel
from underfoot.drawing.remarks import find_remarks
from underfoot.drawing.scene import Scene, find_beyond, find_extent
from underfoot.drawing.section import draw_section, find_layers
from underfoot.drawing.sheets import Box, look_at
from underfoot.drawing.svg import box, number, tag
from underfoot.page.linked_signs import numbers_of
from underfoot.plan import Element, Plan
from underfoot.reporting.layout import count_of

# A drawing is about so wide and high, in mm of its own; its lettering keeps its size.
_WIDTH, _HEIGHT, _NARROWEST = 207.0, 158.0, 103.0
_MARGINS = 52.0
_KEY_WIDTH = 110.0
# What ids begin with until the page gives each drawing a beginning of its own.
PREFIX = "drawing-of-a-room-"
_LAYER = re.compile(r'data-layer="([a-z]+)"')


class CircuitRow(Struct, frozen=True, kw_only=True):
    """A circuit's strips in one room; `swatch` is an SVG of its hatch."""

    name: str
    swatch: str
    strips: str
    lengths: str
    load: str


class DrawnRoom(Struct, frozen=True, kw_only=True):
    """One room: SVG texts, and what is said beside them.

    `numbers` are the findings with a balloon in the drawing; `layers` are those with something in
    them; `floor_words` lists the layers of the floor from the top; `untold` is what had no place in
    the drawing.
    """

    id: str
    called: str
    facts_words: str
    drawn_words: str
    svg: str
    numbers: frozenset[int]
    layers: tuple[str, ...]
    legend: str
    section: str
    floor_words: str
    circuits: tuple[CircuitRow, ...]
    beyond: tuple[str, ...]
    is_named: bool
    untold: tuple[Untold, ...]


def draw_rooms(
    facts: Facts, report: PlanReport, settings: Settings | None
) -> tuple[tuple[DrawnRoom, ...], tuple[str, ...]]:
    """Draw every room of a plan; give also the plan's notes, each once."""
    plan = facts.plan
    options = choose_options(settings, LAYERS)
    rooms = []
    notes: dict[str, None] = {}
    for name in plan.rooms:
        room, remarks = _draw_room(facts.rooms[name], plan, report, options)
        rooms.append(room)
        notes.update(dict.fromkeys(remarks))
    return tuple(rooms), tuple(notes)


def _draw_room(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions
) -> tuple[DrawnRoom, list[str]]:
    body = draw_alone(facts, plan, report, prefix=PREFIX, width=width_of(facts), options=options)
    svg = body.svg
    scene = _scene(facts, plan, options)
    legend = draw_legend(scene, LAYERS, findings_of_room(scene, report), _KEY_WIDTH)
    section = draw_section(facts.drawn, _KEY_WIDTH)
    drawn = DrawnRoom(
        id=facts.id,
        called=facts.drawn.called,
        facts_words=_in_figures(facts),
        drawn_words=_in_words(facts),
        svg=svg,
        numbers=numbers_of(svg),
        layers=tuple(layer for layer in LAYERS if layer in set(_LAYER.findall(svg))),
        legend=_panel_svg(legend),
        section="" if section is None else _panel_svg(section),
        floor_words="; ".join(
            f"{layer.name}{'' if layer.thickness is None else f' {layer.thickness:g} mm'}"
            for layer in find_layers(facts.drawn)
        ),
        circuits=_circuits(scene),
        beyond=tuple(find_beyond(facts, scene.extent)),
        is_named=scene.names_strips,
        untold=body.untold,
    )
    return drawn, find_remarks(scene)


def width_of(facts: RoomFacts) -> float:
    """Draw a tall room narrower, so that its lettering is as large on the page as any."""
    left, low, right, high = find_extent(facts)
    wide_of_high = (right - left) / (high - low)
    return min(max(_MARGINS + (_HEIGHT - _MARGINS) * wide_of_high, _NARROWEST), _WIDTH)


def _scene(facts: RoomFacts, plan: Plan, options: SheetOptions) -> Scene:
    extent = find_extent(facts)
    whole = Box(left=0.0, top=0.0, width=_WIDTH, height=_WIDTH)
    scale = max((extent[2] - extent[0]) / _WIDTH, (extent[3] - extent[1]) / _WIDTH)
    view = look_at(extent, whole, scale)
    # What is beside a drawing is hatched with the drawing's own patterns.
    return make_scene(facts, plan, extent, view, whole, PREFIX, options)


def _panel_svg(panel: Panel) -> str:
    return _svg(panel.drawn, _KEY_WIDTH, panel.height)


def _svg(content: str, width: float, height: float) -> str:
    return tag(
        "svg",
        content,
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FAMILY,
        aria_hidden="true",
        focusable="false",
    )


def _in_figures(facts: RoomFacts) -> str:
    room = facts.drawn
    words = [f"floor {facts.floor.area / 1e6:.2f} m²"]
    if room.use:
        words.insert(0, room.use)
    if facts.elements:
        words.append(f"heated {facts.heated.area / 1e6:.2f} m²")
    return " · ".join(words)


def _in_words(facts: RoomFacts) -> str:
    room = facts.drawn
    parts = [
        count_of(amount, thing)
        for amount, thing in (
            (len(facts.elements), "strip"),
            (len(room.fixtures), "fixture"),
            (len(room.joints), "joint"),
            (len(room.openings), "opening"),
            (len(room.leads), "lead"),
        )
        if amount
    ]
    return ", ".join(parts) or "an empty floor"


def _circuits(scene: Scene) -> tuple[CircuitRow, ...]:
    plan = scene.plan
    members: defaultdict[str | None, list[Element]] = defaultdict(list)
    for element in scene.facts.elements:
        members[element.circuit if element.circuit in plan.circuits else None].append(element)
    circuits = find_circuits(plan) if members else {}
    names: list[str | None] = [name for name in plan.circuits if name in members]
    if None in members:
        names.append(None)
    rows = []
    for name in names:
        elements = members[name]
        metres = sum(element.length for element in elements) / 1000
        load = ""
        if name is not None:
            circuit = circuits[name]
            load = f"{circuit.power_w:.0f} W, {circuit.current_a:.2f} A"
            elsewhere = len(circuit.elements) - len(elements)
            if elsewhere:
                load += f", with {count_of(elsewhere, 'strip')} in other rooms"
        rows.append(
            CircuitRow(
                name="on no known circuit" if name is None else name,
                swatch=_swatch(scene, name),
                strips=f"{count_of(len(elements), 'strip')}, {metres:.2f} m",
                lengths=lengths_in_words(elements),
                load=load,
            )
        )
    return tuple(rows)


def _swatch(scene: Scene, name: str | None) -> str:
    place = scene.circuit_place(name)
    fill = f"url(#{pens.hatch_name(scene.prefix, place)})"
    return _svg(
        box(0.2, 0.2, 11.6, 5.6, fill=fill, **pens.pen(pens.circuit_colours(place)[0], 0.4)),
        12.0,
        6.0,
    )
