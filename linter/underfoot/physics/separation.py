"""Moves that take a rectangle off something, or back inside the room."""

from typing import Any

import numpy as np
import shapely

from underfoot.physics.lines import segments
from underfoot.physics.rectangles import SAME

# Nobody moves a strip farther than this to mend it (mm).
_FARTHEST = 2000.0
# Sides of a quarter of a round corner.
_QUARTER = 32


def separating_move(moving: Any, standing: Any) -> tuple[float, float]:
    """Return the shortest move (dx, dy) that takes one convex area off another.

    The areas part along a side of one of them (separating axis theorem); (0, 0) where they do not
    share area.
    """
    best: tuple[float, float, float] | None = None
    a = shapely.get_coordinates(moving)
    b = shapely.get_coordinates(standing)
    for area in (a, b):
        sides = np.diff(area, axis=0)
        lengths = np.hypot(sides[:, 0], sides[:, 1])
        for (x, y), length in zip(sides, lengths, strict=True):
            if length == 0.0:
                continue
            normal = np.array((-y / length, x / length))
            on_a, on_b = a @ normal, b @ normal
            forth = float(on_b.max() - on_a.min())
            back = float(on_a.max() - on_b.min())
            if forth <= 0.0 or back <= 0.0:
                return (0.0, 0.0)
            by = forth if forth <= back else -back
            step = (round(abs(by), 9), by * normal[0], by * normal[1])
            if best is None or step[0] < best[0] - 1e-9:
                best = step
    return (0.0, 0.0) if best is None else (float(best[1]), float(best[2]))


def clearing_move(element: Any, outline: Any, clearance: float) -> tuple[float, float] | None:
    """Return the shortest move (dx, dy) that brings a convex element in by `clearance`.

    Exact but at corners that stand into the room, where it may come 0.05 % of the clearance too
    near. (0, 0) where it lies so already; None where no move of up to 2 m will do.
    """
    corners = shapely.get_coordinates(element)[:-1]
    sides, _ = segments(shapely.get_rings(outline))
    low, high = corners.min(axis=0) - _FARTHEST, corners.max(axis=0) + _FARTHEST
    near = ((sides.max(axis=1) > low - clearance) & (sides.min(axis=1) < high + clearance)).all(1)
    if not near.any():
        return (0.0, 0.0) if outline.contains(element) else None
    # Moves by which some point of the element comes onto a side are those from any of its corners
    # to any of the side's ends, and between them.
    moves = (sides[near][:, :, None] - corners).reshape(int(near.sum()), -1, 2)
    hulls = shapely.convex_hull(shapely.multipoints(moves))
    # A touch less, so that what lies at the clearance needs no move.
    barred = shapely.union_all(shapely.buffer(hulls, clearance - SAME / 2.0, quad_segs=_QUARTER))
    allowed = shapely.difference(shapely.Point(0, 0).buffer(_FARTHEST), barred)
    places = []
    for part in () if allowed.is_empty else shapely.get_parts(allowed):
        inner = shapely.point_on_surface(part)
        if outline.contains(shapely.Point(corners[0] + shapely.get_coordinates(inner)[0])):
            places.append(part)
    if not places:
        return None
    way = shapely.shortest_line(shapely.Point(0, 0), shapely.multipolygons(places))
    dx, dy = shapely.get_coordinates(way)[1].tolist()
    return dx, dy
