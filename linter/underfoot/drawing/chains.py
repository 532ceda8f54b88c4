"""Which dimensions stand in rows outside the room: strips, corners, box and thermostat, overall."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Literal

import shapely
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.svg import Point
from underfoot.plan import Element, Plan

Side = Literal["left", "above", "right", "below"]
SIDES: tuple[Side, ...] = ("left", "above", "right", "below")

# From the outermost thing drawn on a side to its first row, past a sign there, and to the next.
# Figures stand above their line, or to the left of it: beyond the last row above and to the left of
# the room, before the first one else.
FIRST = {"left": 5.1, "above": 5.1, "right": 8.5, "below": 8.5}
PAST_SIGN = {"left": 9.3, "above": 9.3, "right": 12.7, "below": 12.7}
NEXT = 6.2
_BEYOND = {"left": 4.9, "above": 4.9, "right": 1.5, "below": 1.5}
# A side without a row keeps room for a figure past the end of one, and for a sign on its wall.
_BARE = 9.0
_SIGN = 9.5
# More corners or blocks than this are not strung together: nothing could be read any more.
MOST_STOPS = 14
_MOST_BLOCKS = 4
# What lies this near to a wall's face is on it; strips this near to each other touch.
_ON_WALL = 100.0
_TOUCHING = 1.0
# A wall within so much of x or y (its sine) runs along it.
_SQUARE = 0.01


class Chain(Struct, frozen=True, kw_only=True):
    """A row of dimensions along one axis, on one side of the room.

    `stops` are the room's coordinates, ascending; `away` is how far on paper the row lies off
    what is drawn; `what` says what it sets out.
    """

    along_x: bool
    side: Side
    stops: tuple[float, ...]
    level: int
    away: float
    what: str


class Block(Struct, frozen=True, kw_only=True):
    """Strips of one direction that lie side by side, by their places, and what they cover."""

    places: tuple[int, ...]
    bounds: tuple[float, float, float, float]


def find_chains(facts: RoomFacts, guests: Sequence[Point] = ()) -> list[Chain]:
    """Choose what to dimension outside: strips from the walls, corners, what hangs on a wall."""
    low_x, low_y, high_x, high_y = facts.outline.bounds
    signs = sides_of_signs(facts, guests)
    crowded = {*signs, *sides_of_leaves(facts)}
    across: Side = "above" if "below" in crowded and "above" not in crowded else "below"
    up: Side = "right" if "left" in crowded and "right" not in crowded else "left"
    with_rows = not is_turned(facts)
    blocks = find_blocks(facts) if facts.is_upright and with_rows else []
    if not strung_together(blocks):
        blocks = [_around(blocks)]
    rows: dict[Side, list[tuple[bool, tuple[float, ...], str]]] = defaultdict(list)
    for side, places in signs.items():
        along_x = side in ("above", "below")
        for corner, spots in _from_corners(facts, places, along_x):
            rows[side].append((along_x, apart([corner, *spots]), "box or thermostat"))
    axes = ((0, across, low_x, high_x), (1, up, low_y, high_y))
    for axis, side, low, high in axes if with_rows else ():
        if blocks:
            ends = [block.bounds[axis + over] for block in blocks for over in (0, 2)]
            stops = apart([low, *ends, high])
            if len(stops) > 2:
                rows[side].append((axis == 0, stops, "strips"))
        corners = apart([corner[axis] for corner in facts.drawn.outline])
        if 2 < len(corners) <= MOST_STOPS:
            rows[side].append((axis == 0, corners, "corners"))
        rows[side].append((axis == 0, (low, high), "overall"))
    return [
        Chain(
            along_x=along_x,
            side=side,
            stops=stops,
            level=level,
            away=(PAST_SIGN if side in crowded else FIRST)[side] + level * NEXT,
            what=what,
        )
        for side in SIDES
        for level, (along_x, stops, what) in enumerate(rows[side])
    ]


def is_turned(facts: RoomFacts) -> bool:
    """Tell whether no wall runs along x or y: then no tape finds what rows along them say."""
    ring = facts.outline.exterior.coords
    return not any(
        min(abs(u - x), abs(v - y)) <= _SQUARE * math.dist((x, y), (u, v))
        for (x, y), (u, v) in pairwise(ring)
    )


def strung_together(blocks: Sequence[Block]) -> bool:
    """Tell whether all edges of the blocks stand in the rows, not the outermost alone."""
    return len(blocks) <= _MOST_BLOCKS


def depth_of_chains(
    facts: RoomFacts, chains: Sequence[Chain], side: Side, guests: Sequence[Point] = ()
) -> float:
    """Return how much paper a side of the room needs for its rows and signs."""
    away = [chain.away for chain in chains if chain.side == side]
    if away:
        return max(away) + _BEYOND[side]
    return _SIGN if side in sides_of_signs(facts, guests) else _BARE


def sides_of_signs(facts: RoomFacts, guests: Sequence[Point] = ()) -> dict[Side, list[Point]]:
    """Find the sides of the room on whose walls its box and thermostat hang, and where.

    `guests` are the places of other rooms' thermostats that hang here.
    """
    room = facts.drawn
    thermostat = room.thermostat
    places: list[Point | None] = [facts.box]
    if thermostat is not None and thermostat.room in (None, room.id):
        places.append(thermostat.at)
    places += guests
    sides: dict[Side, list[Point]] = {}
    for at in places:
        side = None if at is None else side_of_wall(facts, at)
        if at is not None and side is not None:
            sides.setdefault(side, []).append(at)
    return sides


def sides_of_leaves(facts: RoomFacts) -> set[Side]:
    """Find the sides of the room on which a door opens outwards."""
    sides = (
        side_of_wall(facts, opening.line[0])
        for opening in facts.drawn.openings.values()
        if opening.opens == "outwards"
    )
    return {side for side in sides if side is not None}


def find_guests(plan: Plan, facts: RoomFacts) -> dict[str, Point]:
    """Find whose thermostats hang in a room that is not theirs, and where."""
    return {
        other.id: other.thermostat.at
        for other in plan.rooms.values()
        if other.thermostat is not None
        and other.thermostat.room == facts.id
        and other.thermostat.at is not None
        and other.id != facts.id
    }


def side_of_wall(facts: RoomFacts, at: Point) -> Side | None:
    """Tell to which side the wall at a place looks; None off every wall that is upright."""
    wall = wall_at(facts, at)
    if wall is None:
        return None
    (x1, y1), (x2, y2) = wall
    dx, dy = x2 - x1, y2 - y1
    if min(abs(dx), abs(dy)) > 1e-6 * max(abs(dx), abs(dy)):
        return None
    # With the room to its left a wall looks away to its right.
    if abs(dx) > abs(dy):
        return "below" if dx > 0 else "above"
    return "right" if dy > 0 else "left"


def wall_at(facts: RoomFacts, at: Point) -> tuple[Point, Point] | None:
    """Find the wall on which a place is, with the room to its left; None where it is on none."""
    ring = shapely.geometry.polygon.orient(facts.outline).exterior.coords
    best = min(
        (shapely.LineString(wall).distance(shapely.Point(at)), place)
        for place, wall in enumerate(pairwise(ring))
    )
    if best[0] > _ON_WALL:
        return None
    start, end = ring[best[1]], ring[best[1] + 1]
    return (start[0], start[1]), (end[0], end[1])


def _from_corners(
    facts: RoomFacts, places: Sequence[Point], along_x: bool
) -> list[tuple[float, list[float]]]:
    """Measure each place along its wall from the nearer corner; those from one corner together."""
    found: dict[float, list[float]] = {}
    axis = 0 if along_x else 1
    for at in places:
        wall = wall_at(facts, at)
        assert wall is not None
        corner = min((end[axis] for end in wall), key=lambda end: abs(end - at[axis]))
        if abs(corner - at[axis]) > _TOUCHING:
            found.setdefault(corner, []).append(at[axis])
    return list(found.items())


def find_blocks(facts: RoomFacts) -> list[Block]:
    """Gather upright strips that touch along their long sides into blocks."""
    boxes = facts.strip_boxes
    blocks: list[Block] = []
    for along_y in (True, False):
        axis = 0 if along_y else 1
        places = sorted(
            (
                place
                for place, element in enumerate(facts.elements)
                if runs_along_y(element) == along_y
            ),
            key=lambda place: (boxes[place][axis], boxes[place][1 - axis], place),
        )
        blocks += gather(boxes, places, axis)
    return sorted(blocks, key=lambda block: block.bounds)


def gather(
    boxes: Mapping[int, Sequence[float]] | Sequence[Sequence[float]],
    places: Sequence[int],
    axis: int,
) -> list[Block]:
    """Join each strip to one whose far side is its near side, beside it."""
    groups: list[list[int]] = []
    by_end: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for place in places:
        low = boxes[place][axis]
        near = round(low / (2 * _TOUCHING))
        group = next(
            (
                group
                for key in (near, near - 1, near + 1)
                for other, group in by_end[key]
                if abs(boxes[other][axis + 2] - low) <= _TOUCHING
                and min(boxes[place][3 - axis], boxes[other][3 - axis])
                > max(boxes[place][1 - axis], boxes[other][1 - axis])
            ),
            None,
        )
        if group is None:
            group = len(groups)
            groups.append([])
        groups[group].append(place)
        by_end[round(boxes[place][axis + 2] / (2 * _TOUCHING))].append((place, group))
    return [_block(boxes, group) for group in groups]


def _block(
    boxes: Mapping[int, Sequence[float]] | Sequence[Sequence[float]], places: Sequence[int]
) -> Block:
    low_x, low_y, high_x, high_y = zip(*(boxes[place] for place in places), strict=True)
    return Block(places=tuple(places), bounds=(min(low_x), min(low_y), max(high_x), max(high_y)))


def _around(blocks: Sequence[Block]) -> Block:
    low_x, low_y, high_x, high_y = zip(*(block.bounds for block in blocks), strict=True)
    return Block(
        places=tuple(place for block in blocks for place in block.places),
        bounds=(min(low_x), min(low_y), max(high_x), max(high_y)),
    )


def apart(values: Iterable[float]) -> tuple[float, ...]:
    """Return values in order, those once that are the same."""
    stops: list[float] = []
    for value in sorted(values):
        if not stops or value - stops[-1] > 0.05:
            stops.append(value)
    return tuple(stops)


def runs_along_y(element: Element) -> bool:
    """Tell whether an upright strip's length runs along y."""
    if element.along in ("x", "y"):
        return element.along == "y"
    return abs(math.remainder(element.angle_deg, 180.0)) > 45.0
