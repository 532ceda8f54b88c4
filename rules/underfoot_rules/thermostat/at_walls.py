"""The facts of what is drawn at the walls: how far from one, how far beyond, what stands before."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import Place, RoomFacts
from underfoot.api.physics import lines, rectangles
from underfoot.api.plan import Fixture

EDGE = rectangles.EDGE
# Drawn between two places this near nothing has a direction.
_POINT = 1e-9


def measure_to_wall(room: RoomFacts, place: Place) -> float:
    """Measure how far a place lies from the nearest wall, column or chimney breast, in mm."""
    if _is_on_upright_wall(room, place):
        return 0.0
    point = shapely.Point(place)
    walls = [room.walls, *(polygon for fixture, polygon in room.fixtures if _is_wall(fixture))]
    return min(float(shapely.distance(wall, point)) for wall in walls)


def measure_outside(room: RoomFacts, place: Place) -> float:
    """Measure how far a place lies outside the outline, in mm; 0 inside and on it."""
    if _is_on_upright_wall(room, place):
        return 0.0
    return float(shapely.distance(room.outline, shapely.Point(place)))


def find_before(
    room: RoomFacts, place: Place, from_wall: float, half: float, free: float
) -> tuple[int, ...]:
    """Find the fixtures that stand on the floor before what hangs at a place on a wall.

    What hangs there is twice `half` wide and wants so much `free` floor before it. Where several
    walls lie within `from_wall`, as in a corner, it may face away from any of them: the fixtures
    of the wall with the fewest count. Gives places in the room's fixtures.
    """
    standing = [
        which
        for which, (fixture, _) in enumerate(room.fixtures)
        if fixture.kind in ("floor-mounted", "heat source")
    ]
    if not standing:
        return ()
    polygons = np.array([room.fixtures[which][1] for which in standing], dtype=object)
    if not (shapely.distance(polygons, shapely.Point(place)) < from_wall + half + free).any():
        return ()
    before = [
        tuple(
            standing[which]
            for which in np.flatnonzero(
                shapely.area(shapely.intersection(shapely.buffer(floor, -EDGE), polygons)) > EDGE
            ).tolist()
        )
        for floor in _floors_before(room, place, from_wall, half, free)
    ]
    return min(before, key=len, default=())


def _is_wall(fixture: Fixture) -> bool:
    return fixture.kind == "structure"


def _floors_before(
    room: RoomFacts, place: Place, from_wall: float, half: float, free: float
) -> Iterator[Any]:
    """Yield the floor before a place for each side of a wall or column that it may hang on."""
    here = np.array(place)
    rings = [(room.outline.exterior, 1.0)]
    rings += [(p.exterior, -1.0) for fixture, p in room.fixtures if _is_wall(fixture)]
    for ring, inwards in rings:
        turn = inwards if shapely.is_ccw(ring) else -inwards
        for start, end in lines.segments(np.array([ring], dtype=object))[0]:
            length = float(np.hypot(*(end - start)))
            if length < _POINT:
                continue
            along = (end - start) / length
            foot = start + np.clip((here - start) @ along, 0.0, length) * along
            if np.hypot(*(foot - here)) > from_wall:
                continue
            out = turn * np.array((-along[1], along[0]))
            aside = half * along
            yield shapely.Polygon(
                (foot - aside, foot + aside, foot + aside + free * out, foot - aside + free * out)
            )


def _is_on_upright_wall(room: RoomFacts, place: Place) -> bool:
    """Tell whether a place lies on a wall that runs along x or y, to the last bit."""
    x, y = place
    corners = room.drawn.outline
    return any(
        (ax == bx == x and (ay < y < by or by < y < ay))
        or (ay == by == y and (ax < x < bx or bx < x < ax))
        for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True)
    )
