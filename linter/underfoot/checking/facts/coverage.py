"""The floor of a room that strips may reach, and how much of it they heat."""

from functools import cached_property
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from shapely import Polygon

from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts, cut_out
from underfoot.physics import shapes
from underfoot.physics.rectangles import EDGE, GRID
from underfoot.plan import Fixture

# Sides to a quarter of a circle round a fixture.
_ROUND = 16


class OpenFloor:
    """The floor that strips may reach, and what of it they leave cold; areas in mm2."""

    def __init__(self, floor: Any, heated: Any) -> None:
        self.floor = floor
        self.area = float(shapely.area(floor))
        self._heated = heated

    @cached_property
    def cold(self) -> Any:
        """What of the floor stays cold."""
        return shapely.difference(self.floor, self._heated, grid_size=GRID)

    @cached_property
    def cold_area(self) -> float:
        """How much that is, without cutting it out where all strips lie within the floor."""
        if shapely.covers(self.floor, self._heated):
            return self.area - float(shapely.area(self._heated))
        return float(shapely.area(self.cold))


def low_fixtures(room: RoomFacts, clear: float) -> tuple[tuple[Fixture, Polygon], ...]:
    """Return the fixtures on legs known to leave less open below, and what lies flat."""
    return tuple(
        pair
        for pair in room.fixtures
        if not pair[0].is_standing and pair[0].clear is not None and pair[0].clear < clear
    )


def keep_off(room: RoomFacts, from_fixture: float) -> np.ndarray:
    """Return the fixtures that strips keep off, widened where a maker wants more kept free."""
    return np.array(
        [
            shapely.buffer(polygon, fixture.clearance - from_fixture, quad_segs=_ROUND)
            if fixture.clearance is not None and fixture.clearance > from_fixture
            else polygon
            for fixture, polygon in room.fixtures
            if fixture.keeps_strips_off
        ],
        dtype=object,
    )


@hangs_on("outline", "fixtures", "elements")
def open_floor(room: RoomFacts, from_wall: float, from_fixture: float, legs: float) -> OpenFloor:
    """Return the floor so far from walls and standing fixtures, and under nothing lower than
    `legs`; kept, as cutting it is dear."""
    return OpenFloor(_cut_reachable(room, from_wall, from_fixture, legs), room.heated)


@hangs_on("outline", "fixtures")
def _cut_reachable(room: RoomFacts, from_wall: float, from_fixture: float, legs: float) -> Any:
    floor = shapes.set_back(room.outline, from_wall, keep_off(room, from_fixture), from_fixture)
    if low := low_fixtures(room, legs):
        floor = cut_out(floor, (polygon for _, polygon in low))
    return floor


class Coverage(Struct, frozen=True, kw_only=True):
    """How much of the floor that could be heated is: `share` in percent."""

    share: float
    reachable_m2: float
    floor: OpenFloor

    @property
    def cold(self) -> Any:
        """What stays cold."""
        return self.floor.cold


def measure_coverage(
    room: RoomFacts, from_wall: float, from_fixture: float, legs: float
) -> Coverage:
    """Measure the heated share of the floor that lies so far from walls and standing fixtures.

    What lies under a fixture on legs lower than `legs` does not count.
    """
    floor = open_floor(room, from_wall, from_fixture, legs)
    if floor.area <= EDGE:
        return Coverage(share=0.0, reachable_m2=0.0, floor=floor)
    return Coverage(
        share=100.0 * (1.0 - floor.cold_area / floor.area),
        reachable_m2=floor.area / 1e6,
        floor=floor,
    )
