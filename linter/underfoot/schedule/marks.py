"""Marks on the floor: where each strip lies, measured from two walls, in the order of laying."""

import math

import numpy as np
import shapely
from shapely import LineString

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.plan import Element
from underfoot.schedule.document import Cell, Column, Table
from underfoot.schedule.strips import word

Point = tuple[float, float]

# A wall that is so many mm off upright over its length is upright.
_LEVEL = 1e-6


def list_marks(facts: Facts) -> Table:
    """Measure every strip from the wall beside its long edge and from the one behind its start."""
    rows: list[tuple[Cell, ...]] = []
    for room in facts.heated_rooms:
        walls = Walls(room)
        for order, element in enumerate(room.elements, 1):
            along, across = _directions(element)
            beside = walls.measure(element.at, across)
            behind = walls.measure(element.at, along)
            start = behind[1]
            rows.append(
                (
                    room.id,
                    order,
                    element.id,
                    *beside,
                    *behind,
                    None if start is None else start + element.length,
                )
            )
    return Table(
        key="marks",
        title="Marks on the floor, in the order of laying",
        columns=(word("room"), Column(key="order", title="order", decimals=0), word("strip"),
                 word("beside_wall", "long edge from"),
                 Column(key="beside_mm", title="distance", unit="mm", decimals=0),
                 word("behind_wall", "start from"),
                 Column(key="start_mm", title="distance", unit="mm", decimals=0),
                 Column(key="end_mm", title="end at", unit="mm", decimals=0)),
        rows=tuple(rows),
        says=("Walls are named as the drawing shows the room: left, right, lower, upper. Distances "
              "are taken square to the strip and in line with it; they hold the outline as it is "
              "drawn, so measure the room first.",),
        if_empty="No strips are drawn.",
    )  # fmt: skip


def _directions(element: Element) -> tuple[Point, Point]:
    """Return the ways from a strip's corner back along it and out beside it."""
    if element.along == "y":
        return (0.0, -1.0), (-1.0, 0.0)
    turn = math.radians(element.angle_deg)
    along = (-math.cos(turn), -math.sin(turn))
    return along, (math.sin(turn), -math.cos(turn))


class Walls:
    """A room's walls, to measure from."""

    def __init__(self, room: RoomFacts) -> None:
        ring = np.array(shapely.get_coordinates(room.walls))
        self.lines = shapely.linestrings(np.stack((ring[:-1], ring[1:]), axis=1))
        self.ring = ring
        self.outline, self.whole = room.outline, room.walls
        low_x, low_y, high_x, high_y = room.outline.bounds
        self.reach = math.hypot(high_x - low_x, high_y - low_y) + 1.0

    def measure(self, at: Point, way: Point) -> tuple[str | None, float | None]:
        """Name the first wall in a direction, and say how far it is; nothing from outside."""
        start = shapely.Point(at)
        if not shapely.covers(self.outline, start):
            return None, None
        ray = LineString([at, (at[0] + self.reach * way[0], at[1] + self.reach * way[1])])
        distance = float(shapely.distance(start, shapely.intersection(ray, self.whole)))
        met = shapely.Point(at[0] + distance * way[0], at[1] + distance * way[1])
        return self._name(met, way), distance

    def _name(self, met: shapely.Point, way: Point) -> str:
        """Name an upright wall by its side of the drawing, one at an angle by its corners."""
        place = int(np.argmin(np.round(shapely.distance(met, self.lines), 3)))
        (x0, y0), (x1, y1) = self.ring[place].tolist(), self.ring[place + 1].tolist()
        if abs(x1 - x0) < _LEVEL:
            return "left wall" if way[0] < 0 else "right wall"
        if abs(y1 - y0) < _LEVEL:
            return "lower wall" if way[1] < 0 else "upper wall"
        return f"wall from [{x0:g}, {y0:g}] to [{x1:g}, {y1:g}]"
