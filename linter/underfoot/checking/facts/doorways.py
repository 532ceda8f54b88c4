"""The floor that one steps over in a doorway, and the floor behind the open leaf of a door."""

import math
from typing import Any

import shapely

from underfoot.checking.facts.room import RoomFacts
from underfoot.physics import shapes
from underfoot.plan import Opening

Place = tuple[float, float]

# So deep a wall is taken to be: what is drawn into the doorway lies in it (mm).
_DEEP = 100.0


def floor_in(room: RoomFacts, opening: Opening) -> Any:
    """Return the floor of an opening within its wall, up to the room's side of it."""
    start, end = opening.line
    x, y = shapes.way_inside(room.outline, start, end)
    return shapely.Polygon([start, end, *((a - _DEEP * x, b - _DEEP * y) for a, b in (end, start))])


def list_leaves(door: Opening) -> list[tuple[Place, Place]]:
    """List the leaves that swing into the room, shut: from the hinge to the edge.

    Where a door does not say how it opens or hangs, those that it may have.
    """
    if door.kind != "door" or door.opens in ("outwards", "slides"):
        return []
    start, end = door.line
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if door.hinge == "both":
        return [(start, middle), (end, middle)]
    leaves = {"from": (start, end), "to": (end, start)}
    return [leaves[door.hinge]] if door.hinge else list(leaves.values())


def floor_behind(room: RoomFacts, hinge: Place, edge: Place, spare: float) -> Any:
    """Return the floor that a leaf swings over from a right angle on, so much wider."""
    wide = math.dist(hinge, edge)
    along = ((edge[0] - hinge[0]) / wide, (edge[1] - hinge[1]) / wide)
    into = shapes.way_inside(room.outline, hinge, edge)
    reach = wide + spare

    def place(beside: float, inside: float) -> Place:
        x, y = hinge
        return x + beside * along[0] + inside * into[0], y + beside * along[1] + inside * into[1]

    square = [(spare, -spare), (spare, reach), (-reach, reach), (-reach, -spare)]
    # The sides of what is drawn as round lie outside the circle.
    round_ = shapely.buffer(shapely.Point(hinge), reach / math.cos(math.pi / 64))
    return shapely.intersection(shapely.Polygon([place(*each) for each in square]), round_)
