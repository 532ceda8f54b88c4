"""Builds the layers of a heated floor from covering to ground out of what a plan says."""

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts.heated_parts import HeatedPart, find_heated_parts
from underfoot.checking.facts.layers import FloorStack, Layer, Warmth
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.finding import CannotTell
from underfoot.checking.numbers import format_quantity
from underfoot.physics import heat
from underfoot.physics.ground import resist_ground
from underfoot.physics.materials import UnlistedMaterialError, is_timber, resist_material
from underfoot.plan import (
    Board,
    Covering,
    Film,
    MembraneRoll,
    Overlay,
    Room,
    SubfloorLayer,
    Underlay,
)


class Assumptions(Struct, frozen=True, kw_only=True):
    """What is taken where a plan does not say: temperatures, surfaces, the ground and its walls.

    `space_m2k_w` is the surface resistance to a space below, `open_air_m2k_w` that to the open
    air; `wall` is the thickness of the outside walls in mm.
    """

    inside_c: float
    bathroom_c: float
    heated_c: float
    unheated_c: float
    ground_c: float
    space_m2k_w: float
    open_air_m2k_w: float
    ground_w_mk: float
    wall: float


NO_OUTSIDE = CannotTell(
    why="the temperature outside is not given (`fabric.outside`)",
    write="Write how cold it gets: `fabric.outside`.",
)


def film_output(film: Film, supply_v: float) -> float:
    """Return a film's output at the supply voltage, W/m2: a resistive load follows its square."""
    return film.rated_w_m2 * (supply_v / film.voltage_v) ** 2


def room_temperature(room: Room, assumed: Assumptions) -> Warmth:
    """Return the room's temperature: the fabric's, else what is taken for its use."""
    if room.fabric is not None and room.fabric.inside_c is not None:
        return Warmth(temperature_c=room.fabric.inside_c, said="as given")
    if room.is_bathroom:
        return Warmth(
            temperature_c=assumed.bathroom_c, said="taken for a bathroom, as the plan gives none"
        )
    return Warmth(temperature_c=assumed.inside_c, said="taken, as the plan gives none")


def temperature_beyond(kind: str, room: Room, assumed: Assumptions) -> Warmth | CannotTell:
    """Return the temperature of what lies beyond a floor or a surface: one of the four kinds."""
    if kind == "outside":
        outside_c = room.fabric.outside_c if room.fabric is not None else None
        if outside_c is None:
            return NO_OUTSIDE
        return Warmth(temperature_c=outside_c, said="as given")
    taken_c = {
        "heated": assumed.heated_c, "unheated": assumed.unheated_c, "ground": assumed.ground_c
    }[kind]  # fmt: skip
    return Warmth(temperature_c=taken_c, said="taken, as the plan gives none")


def build_stacks(room: RoomFacts, assumed: Assumptions) -> tuple[FloorStack | CannotTell, ...]:
    """Build the floor that each of the heated parts lies in; kept, as several rules ask."""
    return room.once(_build_stacks, assumed)


def _build_stacks(room: RoomFacts, assumed: Assumptions) -> tuple[FloorStack | CannotTell, ...]:
    return tuple(build_stack(room, part, assumed) for part in find_heated_parts(room))


def build_stack(
    facts: RoomFacts, part: HeatedPart, assumed: Assumptions, more_m2k_w: float = 0.0
) -> FloorStack | CannotTell:
    """Build the floor that a part of the strips lies in; `more` is insulation added below them."""
    room = facts.drawn
    above = _layers_above(room, part)
    if isinstance(above, CannotTell):
        return above
    below = _layers_below(room, part, more_m2k_w)
    if isinstance(below, CannotTell):
        return below
    subfloor = room.subfloor
    if subfloor is None or subfloor.below is None:
        return CannotTell(
            why="what lies below the subfloor is not given (`subfloor.below`)",
            write="Write what lies below it: `subfloor.below`.",
        )
    kind, beyond_at = subfloor.below, subfloor.below
    outside_c = room.fabric.outside_c if room.fabric is not None else None
    if kind == "ground" and outside_c is not None:
        beyond_at = "outside"
        below.append(_ground(facts, math.fsum(each.resistance_m2k_w for each in below), assumed))
    elif kind == "outside":
        below.append(
            Layer(
                name="surface below",
                resistance_m2k_w=assumed.open_air_m2k_w,
                source="to the open air, ISO 6946",
            )
        )
    elif kind != "ground":
        below.append(
            Layer(
                name="surface below",
                resistance_m2k_w=assumed.space_m2k_w,
                source="to a space, ISO 6946",
            )
        )
    beyond = temperature_beyond(beyond_at, room, assumed)
    if isinstance(beyond, CannotTell):
        return beyond
    stack = FloorStack(
        above=above,
        below=tuple(below),
        room=room_temperature(room, assumed),
        beyond=beyond,
        whole=bool(subfloor.layers),
    )
    if not stack.below_m2k_w > 0.0:
        return CannotTell(
            why="nothing that insulates is drawn below part of the strips",
            write="Draw boards below all strips (`insulation`), or write the `subfloor.layers`.",
        )
    return stack


def build_insulated(
    facts: RoomFacts, part: HeatedPart, assumed: Assumptions
) -> FloorStack | CannotTell:
    """Build the floor as if nothing went down, which asks for no more than what lies above."""
    above = _layers_above(facts.drawn, part)
    if isinstance(above, CannotTell):
        return above
    room = room_temperature(facts.drawn, assumed)
    return FloorStack(above=above, below=(), room=room, beyond=room, whole=False).insulated()


def board_resistance(board: Board | None) -> Layer | CannotTell:
    """Return the resistance of one board."""
    if board is None:
        return CannotTell(
            why="the insulation's board is not given (`insulation.board`)",
            write="Name its board: `insulation.board`.",
        )
    return _resist(board, f"board {board.id}", "boards")


def resist_covering(covering: Covering) -> Layer | CannotTell:
    """Return the resistance of a covering."""
    return _resist(covering, f"covering {covering.id}", "covering")


def resist_underlay(underlay: Underlay) -> Layer | CannotTell:
    """Return the resistance of an underlay."""
    return _resist(underlay, "the underlay")


def resist_overlay(overlay: Overlay) -> Layer | CannotTell:
    """Return the resistance of an overlay."""
    return _resist(overlay, "the overlay")


def _layers_above(room: Room, part: HeatedPart) -> tuple[Layer, ...] | CannotTell:
    if part.covering is None:
        return CannotTell(
            why="no covering is given for all of the strips (`covering`, or `coverings` with "
            "`over`)"
            if room.coverings
            else "no covering is given (`covering`)",
            write="Name what lies over all of the strips: `covering`, or `coverings` with `over`.",
        )
    layers = [resist_covering(part.covering.covering)]
    if room.overlay is not None:
        layers.append(resist_overlay(room.overlay))
    if room.underlay is not None:
        layers.append(resist_underlay(room.underlay))
    found = []
    for layer in layers:
        if isinstance(layer, CannotTell):
            return layer
        found.append(layer)
    sheet = room.membrane.sheet if room.membrane is not None else None
    membrane = _resist_sheet(sheet) if sheet is not None else None
    return (*found, membrane) if membrane is not None else tuple(found)


def _resist_sheet(sheet: MembraneRoll) -> Layer | None:
    """Return a thin sheet's resistance where it can be told; it hardly counts."""
    if sheet.thickness is None or sheet.material is None:
        return None
    try:
        found = resist_material(sheet.material, sheet.thickness)
    except UnlistedMaterialError:
        return None
    return Layer(
        name=f"membrane {sheet.id}", resistance_m2k_w=found.resistance_m2k_w, source=found.said
    )


def _layers_below(room: Room, part: HeatedPart, more_m2k_w: float) -> list[Layer] | CannotTell:
    layers: list[Layer] = []
    if part.boards:
        board = board_resistance(room.insulation.board if room.insulation is not None else None)
        if isinstance(board, CannotTell):
            return board
        layers.append(
            replace(
                board,
                name=f"{part.boards} layers of {board.name}",
                resistance_m2k_w=part.boards * board.resistance_m2k_w,
            )
            if part.boards > 1
            else board
        )
    if more_m2k_w:
        layers.append(
            Layer(name="further insulation", resistance_m2k_w=more_m2k_w, source="asked for")
        )
    for layer in _subfloor_layers(room):
        if isinstance(layer, CannotTell):
            return layer
        layers.append(layer)
    return layers


def _subfloor_layers(room: Room) -> Iterator[Layer | CannotTell]:
    layers = room.subfloor.layers if room.subfloor is not None else ()
    for number, layer in enumerate(layers, 1):
        name = f"subfloor layer {number}"
        told = name if layer.material is None else f"{name}, {layer.material}"
        yield _resist(layer, told, "timber" if is_timber(layer.material or "") else "")


def _ground(facts: RoomFacts, below_m2k_w: float, assumed: Assumptions) -> Layer:
    subfloor = facts.drawn.subfloor
    given = subfloor.exposed_perimeter if subfloor is not None else None
    perimeter = given if given is not None else float(facts.outline.length)
    resistance_m2k_w = resist_ground(
        float(facts.outline.area) / 1e6,
        perimeter,
        below_m2k_w,
        wall=assumed.wall,
        ground_w_mk=assumed.ground_w_mk,
    )
    said = (
        f"ISO 13370, ground {format_quantity(assumed.ground_w_mk, 'W/m/K')}, exposed edge "
        f"{format_quantity(perimeter / 1000, 'm')}"
        f"{'' if given is not None else ' (the whole outline)'}"
    )
    return Layer(name="ground", resistance_m2k_w=resistance_m2k_w, source=said)


def _resist(
    thing: Board | Covering | Overlay | Underlay | SubfloorLayer, name: str, role: str = ""
) -> Layer | CannotTell:
    """Return a layer's resistance: its own, else by its conductivity, else by its material."""
    resistance_m2k_w = None if isinstance(thing, Board) else thing.resistance_m2k_w
    if resistance_m2k_w is not None:
        return Layer(name=name, resistance_m2k_w=resistance_m2k_w, source="as given", role=role)
    own = "" if isinstance(thing, Board) else "`resistance`, or "
    if thing.thickness is None:
        return CannotTell(
            why=f"the resistance of {name} cannot be told: give its {own}`thickness` with "
            "`conductivity` or `material`",
            write=f"Write {own}`thickness` and `conductivity` of {name}.",
        )
    if thing.conductivity_w_mk is not None:
        return Layer(
            name=name,
            resistance_m2k_w=heat.resist_layer(thing.thickness, thing.conductivity_w_mk),
            source="",
            thickness=thing.thickness,
            conductivity_w_mk=thing.conductivity_w_mk,
            role=role,
        )
    if thing.material is None:
        return CannotTell(
            why=f"the resistance of {name} cannot be told: give its {own}`conductivity` or "
            "`material`",
            write=f"Write {own}`conductivity` or `material` of {name}.",
        )
    try:
        found = resist_material(thing.material, thing.thickness, thing.density_kg_m3)
    except UnlistedMaterialError as error:
        return CannotTell(
            why=f"{error}: give the `conductivity` of {name}",
            write=f"Write the `conductivity` of {name}.",
        )
    return Layer(
        name=name,
        resistance_m2k_w=found.resistance_m2k_w,
        source=found.said,
        thickness=thing.thickness,
        role=role,
    )
