"""Where a heated floor is warm and where it stays cold: the picture's inputs and its figures."""

import numpy as np
import shapely
from msgspec import Struct
from shapely import Polygon

from underfoot.checking.facts.heated_parts import HeatedPart, list_board_regions
from underfoot.checking.facts.layers import FloorStack
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.facts.stack import Assumptions, build_stack, film_output
from underfoot.checking.finding import CannotTell
from underfoot.physics.field import Field, Floats, Grid, lay_grid, share_cells, solve_field
from underfoot.physics.heat import FLOOR_W_M2K

FINEST = 10.0
MOST_CELLS = 160_000
COLD_WITHIN = 2.0
"""A floor whose surface is less than this over the room counts as cold (K): own default."""


class SensorSpot(Struct, frozen=True, kw_only=True):
    """The film's temperature at the sensor, and how far that is off the heated floor's mean."""

    film_c: float
    off_mean_k: float


class HeatPicture(Struct, frozen=True, kw_only=True):
    """A room's floor at full output, steady.

    `surface_c` is (rows, columns) over `grid`, NaN outside the room. Temperatures of the floor's
    surface: `mean_c`, `least_c`, `most_c` over the heated floor, which is warm within `spread_k`
    for nine tenths of its area. `cold_share` is the share of the room's floor, in percent, whose
    surface is less than 2 K over the room's air; `coldest` the place farthest into such floor.
    """

    room: str
    called: str
    room_c: float
    below_c: float
    grid: Grid
    surface_c: Floats
    in_w: float
    up_w: float
    down_w: float
    mean_c: float
    least_c: float
    most_c: float
    spread_k: float
    cold_share: float
    coldest: tuple[float, float] | None
    sensor: SensorSpot | None
    layers: tuple[tuple[str, str], ...]


def picture_heat(facts: RoomFacts, assumed: Assumptions) -> HeatPicture | CannotTell:
    """Solve a room's floor; CannotTell where the plan does not say what it is made of."""
    grid = lay_grid(facts.outline, FINEST, MOST_CELLS)
    inside = share_cells(grid, facts.outline)
    stacks = _stacks(facts, assumed, grid)
    if isinstance(stacks, CannotTell):
        return stacks
    kinds, which = stacks
    up = np.array([stack.above_m2k_w + 1 / FLOOR_W_M2K for stack in kinds])[which]
    down = np.array([stack.below_m2k_w for stack in kinds])[which]
    sheet = np.array([_sheet_w_k(facts, stack) for stack in kinds])[which]
    output = np.zeros_like(inside)
    heated = np.zeros_like(inside)
    for film_id in dict.fromkeys(element.film.id for element in facts.elements):
        places = [i for i, each in enumerate(facts.elements) if each.film.id == film_id]
        film = facts.elements[places[0]].film
        share = share_cells(
            grid, shapely.intersection(shapely.union_all(facts.strips[places]), facts.outline)
        )
        output += film_output(film, facts.supply.voltage_v) * share
        heated = np.maximum(heated, share)
    room_c, below_c = kinds[0].room.temperature_c, kinds[0].beyond.temperature_c
    field = solve_field(grid, inside, output, up, down, sheet, room_c, below_c)
    return _figures(facts, grid, field, inside, heated, room_c, below_c, kinds[0])


def _stacks(
    facts: RoomFacts, assumed: Assumptions, grid: Grid
) -> tuple[list[FloorStack], np.ndarray] | CannotTell:
    """Return the floors met, and which of them each cell has."""
    film = facts.elements[0].film
    x, y = grid.centres
    covering = np.full(x.shape, -1)
    coverings = facts.drawn.coverings
    for number, area in reversed(list(enumerate(coverings))):
        if area.over is None:
            covering[covering < 0] = number
    for number, area in reversed(list(enumerate(coverings))):
        if area.over is not None:
            covering[shapely.contains_xy(Polygon(area.over), x, y)] = number
    boards = np.zeros(x.shape, dtype=int)
    for region in list_board_regions(facts):
        boards += 1 if region is None else shapely.contains_xy(region, x, y).astype(int)
    on_floor = shapely.contains_xy(facts.outline, x, y)
    met = sorted(set(zip(covering[on_floor].tolist(), boards[on_floor].tolist(), strict=True)))
    kinds: list[FloorStack] = []
    which = np.zeros(x.shape, dtype=int)
    for number, layers in met:
        part = HeatedPart(
            film=film,
            covering=coverings[number] if number >= 0 else None,
            boards=layers,
            area_m2=0.0,
        )
        stack = build_stack(facts, part, assumed)
        if isinstance(stack, CannotTell):
            return stack
        which[(covering == number) & (boards == layers)] = len(kinds)
        kinds.append(stack)
    return kinds, which


def _sheet_w_k(facts: RoomFacts, stack: FloorStack) -> float:
    """Sum conductivity times thickness over the layers that lie against the film.

    Those are all above it and the boards below; what lies below the boards is cut off by them.
    """
    room = facts.drawn
    boards = room.insulation.board.thickness if room.insulation and room.insulation.board else None
    total = 0.0
    thickness = {
        "the underlay": room.underlay.thickness if room.underlay else None,
        "the overlay": room.overlay.thickness if room.overlay else None,
    }
    for area in room.coverings:
        thickness[f"covering {area.covering.id}"] = area.covering.thickness
    for layer in (*stack.above, *stack.below[:1]):
        own = layer.thickness or thickness.get(layer.name)
        if own is None and "board" in layer.name:
            own = boards
        if own is not None and layer.resistance_m2k_w > 0:
            total += (own / 1000) ** 2 / layer.resistance_m2k_w
    return max(total, 1e-6)


def _figures(
    facts: RoomFacts,
    grid: Grid,
    field: Field,
    inside: Floats,
    heated: Floats,
    room_c: float,
    below_c: float,
    stack: FloorStack,
) -> HeatPicture:
    surface = room_c + field.up_w_m2 / FLOOR_W_M2K
    floor = inside > 0.5
    warm = floor & (heated > 0.999)
    if not warm.any():
        warm = floor & (heated >= heated[floor].max())
    over = surface[warm]
    cold = floor & (surface < room_c + COLD_WITHIN)
    low, high = np.quantile(over, (0.05, 0.95))
    return HeatPicture(
        room=facts.id,
        called=facts.drawn.called_with_id,
        room_c=room_c,
        below_c=below_c,
        grid=grid,
        surface_c=surface,
        in_w=field.in_w,
        up_w=field.up_w,
        down_w=field.down_w,
        mean_c=float(over.mean()),
        least_c=float(over.min()),
        most_c=float(over.max()),
        spread_k=float(high - low),
        cold_share=100.0 * float(inside[cold].sum() / inside.sum()),
        coldest=_coldest(grid, surface, cold),
        sensor=_sensor(facts, grid, field, warm),
        layers=tuple(
            (layer.name, f"{layer.resistance_m2k_w:.3f} m² K/W, {layer.said}")
            for layer in (*stack.above, *stack.below)
        ),
    )


def _coldest(grid: Grid, surface: Floats, cold: np.ndarray) -> tuple[float, float] | None:
    if not cold.any():
        return None
    from scipy.ndimage import distance_transform_edt

    # Beyond the grid's edge nothing is cold: a border of warm keeps the distance honest.
    depth = distance_transform_edt(np.pad(cold, 1))[1:-1, 1:-1]
    row, column = np.unravel_index(int(np.argmax(np.round(depth, 6))), depth.shape)
    x, y = grid.centres
    return float(x[row, column]), float(y[row, column])


def _sensor(facts: RoomFacts, grid: Grid, field: Field, warm: np.ndarray) -> SensorSpot | None:
    sensor = facts.drawn.sensor
    if sensor is None:
        return None
    column = int((sensor.at[0] - grid.x) // grid.cell)
    row = int((sensor.at[1] - grid.y) // grid.cell)
    if not (0 <= row < grid.rows and 0 <= column < grid.columns):
        return None
    here = float(field.film_c[row, column])
    if np.isnan(here):
        return None
    return SensorSpot(film_c=here, off_mean_k=here - float(field.film_c[warm].mean()))
