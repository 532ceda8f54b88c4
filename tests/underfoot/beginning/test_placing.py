"""Rooms turned along their walls and put at their own origin."""

import math

import pytest
import shapely

from underfoot.beginning.found import CannotBeginError, Corners, FoundRoom, Standing
from underfoot.beginning.placing import place_room, tidy

ROOM: Corners = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
# A bay at 45 degrees on a room of 4 m by 3 m: most of its walls run along x and y.
BAY: Corners = ((0, 0), (4000, 0), (4800, 800), (4800, 2200), (4000, 3000), (0, 3000))


def turned(corners: Corners, degrees: float, to: tuple[float, float] = (0.0, 0.0)) -> Corners:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((to[0] + x * c - y * s, to[1] + x * s + y * c) for x, y in corners)


def found(corners: Corners, *standing: Corners) -> FoundRoom:
    return FoundRoom(
        name=None,
        where="polyline #1",
        corners=corners,
        standing=tuple(Standing(name=None, where="", corners=each) for each in standing),
    )


def test_a_room_is_moved_to_its_low_corner() -> None:
    column: Corners = ((11000, 22000), (11300, 22000), (11300, 22300), (11000, 22300))
    placed = place_room(found(turned(ROOM, 0, (10000.0, 20000.0)), column))
    assert placed.room.corners == ROOM
    assert placed.origin == (10000.0, 20000.0)
    assert placed.turn_deg == 0
    # What stands in it goes along: 1 m to the right, 2 m up.
    assert placed.room.standing[0].corners[0] == (1000, 2000)


@pytest.mark.parametrize("degrees", [0.02, 7.5, -30.0, 44.0, 89.0, 135.0, 200.0])
def test_a_turned_room_is_turned_back(degrees: float) -> None:
    room = turned(BAY, degrees, (5000.0, 7000.0))
    placed = place_room(found(room))
    shape = shapely.Polygon(placed.room.corners)
    # By less than half a right angle, so that what was along x may be along y.
    assert abs(placed.turn_deg) <= 45
    assert (placed.turn_deg + degrees) % 90 == pytest.approx(0, abs=1e-6) or (
        placed.turn_deg + degrees
    ) % 90 == pytest.approx(90, abs=1e-6)
    assert shape.area == pytest.approx(shapely.Polygon(BAY).area, rel=1e-4)
    assert shape.bounds[:2] == (0, 0)
    assert sorted(shape.bounds[2:]) == [3000, 4800]
    # What is recorded leads back: every corner lies on the drawing's outline again.
    back = turned(placed.room.corners, -placed.turn_deg, placed.origin)
    ring = shapely.LinearRing(room)
    assert all(ring.distance(shapely.Point(corner)) < 0.1 for corner in back)


def test_a_wall_that_is_hardly_off_needs_no_turning() -> None:
    assert place_room(found(turned(ROOM, 0.004))).turn_deg == 0


def test_walls_a_little_to_either_side_run_the_same_way() -> None:
    # Two walls of 4 m, 0.04 degrees to either side of x; between them two of 2.6 m at 60 degrees.
    up, tilt = 2600 * math.sin(math.pi / 3), 4000 * math.tan(math.radians(0.04))
    room: Corners = ((0, 0), (4000, tilt), (5300, up), (1300, up + tilt))
    assert abs(place_room(found(room)).turn_deg) < 0.05


def test_clockwise_and_anticlockwise_are_the_same_room() -> None:
    assert place_room(found(ROOM[::-1])).room.corners == ROOM


def test_corners_in_line_and_doubled_are_left_out() -> None:
    corners: Corners = ((0, 0), (2000, 0.02), (4000, 0), (4000, 0), (4000, 3000), (0, 3000), (0, 0))
    assert tidy(corners) == ROOM
    # 0.3 mm off is a corner.
    assert len(tidy(((0, 0), (2000, -0.3), *ROOM[1:]))) == 5


def test_a_spike_is_no_corner_in_line() -> None:
    # It runs back over itself: left for the reader to refuse, not smoothed away.
    assert (5000, 0) in tidy(((0, 0), (5000, 0), (4000, 0), (4000, 3000), (0, 3000)))


@pytest.mark.parametrize(
    ("scale", "says"), [(0.001, "measures 4 mm by 3 mm"), (0.0999, "299.7"), (1000, "4000 m")]
)
def test_what_is_no_room_is_refused(scale: float, says: str) -> None:
    corners = tuple((x * scale, y * scale) for x, y in ROOM)
    with pytest.raises(CannotBeginError) as refused:
        place_room(found(corners), "; is the unit right?")
    told = str(refused.value)
    assert told.startswith("polyline #1 measures ")
    assert told.endswith("which is no room; is the unit right?")
    assert says == "299.7" or says in told


def test_the_least_and_the_largest_room() -> None:
    assert place_room(found(((0, 0), (300, 0), (300, 300), (0, 300))))
    assert place_room(found(((0, 0), (1e6, 0), (1e6, 300), (0, 300))))
