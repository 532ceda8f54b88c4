"""What the heat rules share: the temperatures they take, and a room's floors worked out."""

from collections.abc import Iterable

from msgspec import Struct

from underfoot.api.facts import (
    Assumptions,
    Facts,
    FloorStack,
    HeatedPart,
    RoomFacts,
    board_resistance,
    build_stack,
    build_stacks,
    film_output,
    find_heated_parts,
)
from underfoot.api.physics import heat
from underfoot.api.rules import CannotTell, Limit, Limits, LimitUse, at_least, format_quantity

# The one home of these is floor-temperature: the other heat rules read them there.
HOME = "floor-temperature"


def _assumed(key: str, default: float, unit: str, means: str, serves: LimitUse) -> Limit:
    """Make a limit of which neither way is stricter."""
    return Limit(key=key, default=default, unit=unit, means=means, stricter=None, serves=serves)


ASSUMED = (
    _assumed("inside", 20, "degC", "inside, where the plan gives none", "room"),
    _assumed(
        "inside_bathroom", 24, "degC", "inside a bathroom, where the plan gives none", "bathroom"
    ),
    at_least(
        "warmest_room", 24, "degC", "the warmest that a room is taken to get while it is heated"
    ),
    _assumed("heated", 20, "degC", "in a heated space below", "heated space"),
    _assumed("unheated", 10, "degC", "in an unheated space below", "unheated space"),
    _assumed("ground", 10, "degC", "of the ground, where nothing is known of outside", "ground"),
    _assumed(
        "below_space", 0.17, "m2 K/W", "surface resistance to a space below", "surface to a space"
    ),
    _assumed(
        "below_outside",
        0.04,
        "m2 K/W",
        "surface resistance to the open air below",
        "surface to the open air",
    ),
    _assumed(
        "ground_conductivity",
        2.0,
        "W/m/K",
        "conductivity of the ground",
        "conductivity of the ground",
    ),
    _assumed("wall", 300, "mm", "thickness of the outside walls", "outside walls"),
)
NO_LAYERS = CannotTell(
    why="the subfloor's layers are not given (`subfloor.layers`)",
    write="Write what it is made of, layer by layer: `subfloor.layers`.",
)

Rows = tuple[tuple[str, str], ...]


class Floor(Struct, frozen=True, kw_only=True):
    """One part of a heated floor, its layers, and what its film gives at the supply voltage."""

    part: HeatedPart
    stack: FloorStack
    output_w_m2: float

    @property
    def settled(self) -> heat.FloorTemperatures:
        """What it settles at; with unknown layers below, if they did not insulate at all."""
        return self.stack.settle(self.output_w_m2)

    @property
    def settled_at_most(self) -> heat.FloorTemperatures:
        """The same where the subfloor is known; else if nothing went down."""
        if self.stack.whole:
            return self.settled
        return self.stack.settle_insulated(self.output_w_m2)


class SurfaceMost(Struct, frozen=True, kw_only=True):
    """The warmest that a part's surface may be, degC, and in words what sets it."""

    limit_c: float
    said: str


def limit_surface(room: RoomFacts, part: HeatedPart, limits: Limits) -> SurfaceMost:
    """Find the lower of the covering's `warmest_surface` and the limit of the room's kind."""
    kinds = limits.of("floor-limit")
    kind = "bathroom" if room.drawn.is_bathroom else "room"
    floor = "a bathroom floor" if kind == "bathroom" else "a floor that people stay on"
    most = SurfaceMost(limit_c=kinds[kind], said=f"the most for {floor}")
    covering = part.covering.covering if part.covering is not None else None
    own_c = covering.warmest_surface_c if covering is not None else None
    if covering is not None and own_c is not None and own_c <= most.limit_c:
        return SurfaceMost(limit_c=own_c, said=f"the most that {covering.id} bears")
    return most


def warmest_room(floor: Floor, limits: Limits) -> float:
    """Return how warm a floor's room is taken to get while it is heated, degC."""
    return max(floor.stack.room.temperature_c, limits.of(HOME)["warmest_room"])


def assumed(limits: Limits) -> Assumptions:
    """Gather what is taken where a plan does not say."""
    taken = limits.of(HOME)
    return Assumptions(
        inside_c=taken["inside"],
        bathroom_c=taken["inside_bathroom"],
        heated_c=taken["heated"],
        unheated_c=taken["unheated"],
        ground_c=taken["ground"],
        space_m2k_w=taken["below_space"],
        open_air_m2k_w=taken["below_outside"],
        ground_w_mk=taken["ground_conductivity"],
        wall=taken["wall"],
    )


def work_out(
    parts: tuple[HeatedPart, ...],
    room: RoomFacts,
    facts: Facts,
    limits: Limits,
    more_m2k_w: float = 0.0,
) -> tuple[Floor, ...] | CannotTell:
    """Build the stack of each part; `more` is insulation added below the film."""
    taken = assumed(limits)
    as_drawn = parts is find_heated_parts(room) and not more_m2k_w
    stacks = (
        build_stacks(room, taken)
        if as_drawn
        else [build_stack(room, part, taken, more_m2k_w) for part in parts]
    )
    floors = []
    for part, stack in zip(parts, stacks, strict=True):
        if isinstance(stack, CannotTell):
            return stack
        floors.append(
            Floor(
                part=part,
                stack=stack,
                output_w_m2=film_output(part.film, facts.plan.supply.voltage_v),
            )
        )
    return tuple(floors)


def share_lost(floors: Iterable[Floor]) -> float:
    """Return the share of all that the films give that goes down, in percent."""
    down = output = 0.0
    for floor in floors:
        down += floor.settled.split.down_w_m2 * floor.part.area_m2
        output += floor.output_w_m2 * floor.part.area_m2
    return 100.0 * down / output if output else 0.0


def advise_insulation(
    parts: tuple[HeatedPart, ...], room: RoomFacts, facts: Facts, limits: Limits, most: float
) -> str:
    """Say how much more insulation brings the share that is lost down to `most` percent."""
    insulation = room.drawn.insulation
    board = board_resistance(insulation.board if insulation is not None else None)
    if not isinstance(board, CannotTell):
        for count in range(1, 4):
            share = _share_with(count * board.resistance_m2k_w, parts, room, facts, limits)
            if share is not None and share <= most:
                layers = "One more layer" if count == 1 else f"{count} more layers"
                verb = "brings" if count == 1 else "bring"
                return f"{layers} of {board.name} {verb} it to {format_quantity(share, '%', most)}."
    low, high = 0.0, 20.0
    for _ in range(50):
        middle = (low + high) / 2
        share = _share_with(middle, parts, room, facts, limits)
        if share is None or share > most:
            low = middle
        else:
            high = middle
    if low > 19.9:
        return "Insulate better below the film."
    return (
        f"Insulate better below the film: {format_quantity(_up(high), 'm2 K/W')} more brings it to "
        f"{format_quantity(most, '%')}."
    )


def _share_with(
    more_m2k_w: float, parts: tuple[HeatedPart, ...], room: RoomFacts, facts: Facts, limits: Limits
) -> float | None:
    floors = work_out(parts, room, facts, limits, more_m2k_w)
    return None if isinstance(floors, CannotTell) else share_lost(floors)


def _up(resistance_m2k_w: float) -> float:
    return float(-(-resistance_m2k_w // 0.01) * 0.01)


def name_part(floor: Floor) -> str:
    """Say which part of a floor is meant: ``film-80 under oak-14``."""
    covering = floor.part.covering
    return f"{floor.part.film.id} under {covering.covering.id if covering else 'no covering'}"


def tell_layers(floor: Floor, supply_v: float) -> Rows:
    """Return the layers and temperatures that a finding rests on, as rows of name and text."""
    stack, film = floor.stack, floor.part.film
    rows = [("inside", f"{format_quantity(stack.room.temperature_c, 'degC')}, {stack.room.said}")]
    rows += [
        (layer.name, f"{format_quantity(layer.resistance_m2k_w, 'm2 K/W')}, {layer.said}")
        for layer in stack.above
    ]
    rows.append(
        (
            f"film {film.id}",
            f"{format_quantity(floor.output_w_m2, 'W/m2')} at {format_quantity(supply_v, 'V')}",
        )
    )
    rows += [
        (layer.name, f"{format_quantity(layer.resistance_m2k_w, 'm2 K/W')}, {layer.said}")
        for layer in stack.below
    ]
    if not stack.whole:
        rows.append(("subfloor", "its layers are not given (`subfloor.layers`)"))
    rows.append(
        ("below", f"{format_quantity(stack.beyond.temperature_c, 'degC')}, {stack.beyond.said}")
    )
    return tuple(rows)


def tell_warm_sides(room: RoomFacts, floor: Floor, output_w_m2: float) -> Rows:
    """Return the temperatures at film, below covering and boards, and in timber, as rows.

    Where the subfloor is not known they are the greatest that they may be.
    """
    stack = floor.stack.ends[-1]
    state = stack.settle(output_w_m2)
    most = "" if floor.stack.whole else "at most "
    sides = stack.warm_sides(state)
    under = sides[len(stack.above) :]
    first = next((warm_c for layer, warm_c in under if layer.role != "boards"), state.film_c)
    timber = [warm_c for layer, warm_c in under if layer.role == "timber"]
    if not timber and room.drawn.subfloor is not None and room.drawn.subfloor.kind == "timber":
        timber = [first]
    rows = [("film at full output", f"{most}{format_quantity(state.film_c, 'degC')}")]
    rows += [
        (f"underside of {layer.name}", f"{most}{format_quantity(warm_c, 'degC')}")
        for layer, warm_c in sides
        if layer.role == "covering"
    ]
    if floor.part.boards:
        rows.append(("below the boards", f"{most}{format_quantity(first, 'degC')}"))
    if timber:
        rows.append(("timber of the subfloor", f"{most}{format_quantity(timber[0], 'degC')}"))
    return tuple(rows)


def tell_split(floor: Floor) -> Rows:
    """Return where a film's output goes, as rows of name and text."""
    split = floor.settled.split
    return (
        ("up", format_quantity(split.up_w_m2, "W/m2")),
        (
            "down",
            f"{format_quantity(split.down_w_m2, 'W/m2')}, "
            f"{format_quantity(split.down_percent, '%')}",
        ),
    )
