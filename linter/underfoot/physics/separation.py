"""Moves that take a rectangle off something, or back inside the room."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import affinity

from underfoot.physics.rectangles import EDGE

_ROUNDS = 12


def separating_move(moving: Any, standing: Any) -> tuple[float, float]:
    """Give the shortest move (dx, dy) that takes one convex area off another.

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
    """Give a short move that brings an element inside an outline by `clearance`.

    Pushes the element off the walls that are too near, one after another, and checks the result;
    None where that finds no place.
    """
    room = shapely.buffer(outline, -(clearance - EDGE), join_style="mitre")
    return _pushed(element, room)


def _pushed(element: Any, room: Any) -> tuple[float, float] | None:
    if room.is_empty:
        return None
    dx = dy = 0.0
    moved = element
    for _ in range(_ROUNDS):
        if shapely.buffer(room, EDGE, join_style="mitre").covers(moved):
            return (dx, dy)
        corners = shapely.get_coordinates(moved)[:-1]
        far = max(corners, key=lambda corner: round(room.distance(shapely.Point(corner)), 6))
        point = shapely.Point(far)
        if room.distance(point) <= EDGE:
            return None
        goal = shapely.get_coordinates(shapely.shortest_line(point, room))[1]
        dx, dy = dx + float(goal[0] - far[0]), dy + float(goal[1] - far[1])
        moved = affinity.translate(element, dx, dy)
    return None
