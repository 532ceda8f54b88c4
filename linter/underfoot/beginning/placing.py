"""A room out of its drawing: turned along its walls, its low corner put at the origin, tidied."""

import math
from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from underfoot.beginning.found import (
    LARGEST_ROOM,
    SMALLEST_ROOM,
    CannotBeginError,
    Corners,
    FoundRoom,
    Point,
    area_of,
)
from underfoot.reading.building.outlines import MOST_CORNERS

# Walls that differ by less than this run the same way, and need no turning.
_SAME_WAY_DEG = 0.1
_STRAIGHT_DEG = 0.005
_MOST_WALLS = 60
# Corners are written to a tenth of a millimetre.
DECIMALS = 1
_IN_LINE = 0.06


class Placed(Struct, frozen=True, kw_only=True):
    """A room with its low corner at 0, 0.

    `origin` is where that corner lies in the drawing, in mm; `turn_deg` how far the drawing was
    turned anticlockwise, about its own origin, before that.
    """

    room: FoundRoom
    origin: Point
    turn_deg: float


def place_room(room: FoundRoom, hint: str = "") -> Placed:
    """Turn and move a room so that most of its walls run along x and y, from 0, 0.

    `hint` is what to do where it is too small or large to be a room. CannotBeginError.
    """
    most = max(map(len, (room.corners, *(one.corners for one in room.standing))))
    if most > MOST_CORNERS:
        raise CannotBeginError(
            f"{room.where} has, or what stands in it, {most:,} corners; a plan has at most "
            f"{MOST_CORNERS:,} in a line: draw it with fewer"
        )
    turn_deg = -_main_direction(room.corners)
    turned = _turner(turn_deg)
    corners = tuple(map(turned, room.corners))
    low_x = min(x for x, _ in corners)
    low_y = min(y for _, y in corners)
    wide = max(x for x, _ in corners) - low_x
    deep = max(y for _, y in corners) - low_y
    if min(wide, deep) < SMALLEST_ROOM or max(wide, deep) > LARGEST_ROOM:
        raise CannotBeginError(
            f"{room.where} measures {_metres(wide)} by {_metres(deep)}, which is no room{hint}"
        )

    def into(all_corners: Corners) -> Corners:
        moved = ((x - low_x, y - low_y) for x, y in map(turned, all_corners))
        return tidy(tuple(moved))

    # Where the low corner lay before the turn.
    back = _turner(-turn_deg)
    return Placed(
        room=replace(
            room,
            corners=into(room.corners),
            standing=tuple(replace(one, corners=into(one.corners)) for one in room.standing),
        ),
        origin=back((low_x, low_y)),
        turn_deg=turn_deg,
    )


def tidy(corners: Corners) -> Corners:
    """Round corners, run them anticlockwise, and leave out those that repeat or lie in line."""
    kept: list[Point] = []
    for x, y in corners:
        corner = (round(x, DECIMALS) + 0.0, round(y, DECIMALS) + 0.0)
        if not kept or corner != kept[-1]:
            kept.append(corner)
    while len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    place = 0
    while len(kept) > 3 and place < len(kept):
        if _is_in_line(kept[place - 1], kept[place], kept[(place + 1) % len(kept)]):
            del kept[place]
            place = max(0, place - 1)
        else:
            place += 1
    return _from_low_corner(kept)


def _from_low_corner(corners: list[Point]) -> Corners:
    """Begin at the corner nearest to 0, 0, and go anticlockwise."""
    if area_of(tuple(corners)) < 0:
        corners = corners[::-1]
    first = min(range(len(corners)), key=lambda place: (math.hypot(*corners[place]), place))
    return tuple(corners[first:] + corners[:first])


def _is_in_line(before: Point, here: Point, after: Point) -> bool:
    dx, dy = after[0] - before[0], after[1] - before[1]
    long = math.hypot(dx, dy)
    if not long:
        return False
    along = ((here[0] - before[0]) * dx + (here[1] - before[1]) * dy) / long
    off = abs((here[0] - before[0]) * dy - (here[1] - before[1]) * dx) / long
    return off < _IN_LINE and 0 <= along <= long


def _main_direction(corners: Corners) -> float:
    """How far most of the walls' length is turned from x or y, above -45 and up to 45 degrees."""
    walls = []
    for place, (x, y) in enumerate(corners):
        before = corners[place - 1]
        long = math.dist(before, (x, y))
        if long:
            walls.append((math.degrees(math.atan2(y - before[1], x - before[0])) % 90.0, long))
    longest = sorted(walls, key=lambda wall: -wall[1])[:_MOST_WALLS]
    best, most = 0.0, 0.0
    for direction in (0.0, *(wall[0] for wall in longest)):
        together = sum(long for way, long in walls if _apart(way, direction) < _SAME_WAY_DEG)
        if together > most * (1 + 1e-9):
            best, most = direction, together
    # Of the walls that run this way the longest says how.
    best = next((way for way, _ in longest if _apart(way, best) < _SAME_WAY_DEG), best)
    signed = best - 90.0 if best > 45.0 else best
    return signed if abs(signed) > _STRAIGHT_DEG else 0.0


def _apart(one: float, other: float) -> float:
    off = abs(one - other) % 90.0
    return min(off, 90.0 - off)


def _turner(degrees: float) -> Callable[[Point], Point]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    if degrees == 0.0:
        c, s = 1.0, 0.0
    return lambda at: (at[0] * c - at[1] * s, at[0] * s + at[1] * c)


def _metres(length: float) -> str:
    return f"{length / 1000:.4g} m" if length >= 100 else f"{length:.3g} mm"
