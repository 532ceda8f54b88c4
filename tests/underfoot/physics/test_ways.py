"""The shortest way round walls, against distances worked out by hand."""

import math

import pytest
from shapely import Point, Polygon, box

from tests.there import there
from underfoot.physics.ways import find_way

ROOM = box(0, 0, 4000, 3000)
# A wall of 100 mm from the bottom, 1000 mm long.
WALL = box(2000, 0, 2100, 1000)
L_ROOM = Polygon([(0, 0), (4000, 0), (4000, 1000), (1000, 1000), (1000, 3000), (0, 3000)])


def test_straight_where_nothing_stands_between() -> None:
    way = there(find_way(ROOM, (0, 0), Point(300, 400), 5000))
    assert way.length == pytest.approx(500)
    assert way.places == ((0, 0), (300, 400))


def test_along_a_wall_is_straight() -> None:
    way = there(find_way(ROOM, (0, 0), Point(4000, 0), 5000))
    assert way.length == pytest.approx(4000)


def test_round_the_end_of_a_wall_bends_at_both_its_corners() -> None:
    way = there(find_way(ROOM.difference(WALL), (1700, 600), Point(2400, 600), 5000))
    # sqrt(300^2 + 400^2) on both sides of 100 mm.
    assert way.length == pytest.approx(500 + 100 + 500)
    assert way.places == ((1700, 600), (2000, 1000), (2100, 1000), (2400, 600))


def test_to_the_nearest_edge_of_an_area_that_is_in_sight() -> None:
    bath = box(2100, 0, 2500, 700)
    way = there(find_way(ROOM.difference(WALL), (1700, 600), bath, 5000))
    assert way.length == pytest.approx(500 + 100 + 300)
    assert way.places[-1] == (2100, 700)
    # Its left edge touches the wall; from above its upper edge is met square on.
    way = there(find_way(ROOM.difference(WALL), (2300, 2000), bath, 5000))
    assert way.length == pytest.approx(1300)
    assert way.places[-1] == (2300, 700)


def test_the_near_edge_may_be_hidden_and_another_in_sight() -> None:
    # The wall hides what of the bath's side lies straight across.
    bath = box(2300, 0, 2600, 2000)
    way = there(find_way(ROOM.difference(WALL), (1900, 900), bath, 5000))
    # To the wall's near corner, along its end, then square to the bath's side.
    assert way.length == pytest.approx(math.hypot(100, 100) + 100 + 200)


def test_round_a_corner_of_the_room() -> None:
    # The straight line would cut the corner [1000, 1000].
    way = there(find_way(L_ROOM, (1400, 700), Point(900, 1400), 5000))
    assert way.length == pytest.approx(500 + math.hypot(100, 400))
    assert way.places[1] == pytest.approx((1000, 1000))
    way = there(find_way(L_ROOM, (2200, 1000), Point(1000, 2000), 5000))
    assert way.length == pytest.approx(1200 + 1000)


def test_no_way_through_a_wall_from_side_to_side() -> None:
    parted = ROOM.difference(box(2000, 0, 2100, 3000))
    assert find_way(parted, (1900, 500), Point(2200, 500), 5000) is None


@pytest.mark.parametrize(("farthest", "found"), [(1100.5, True), (1099.5, False)])
def test_no_farther_than_is_asked(farthest: float, found: bool) -> None:
    way = find_way(ROOM.difference(WALL), (1700, 600), Point(2400, 600), farthest)
    assert (way is not None) == found


def test_the_shorter_of_two_ways_round() -> None:
    pier = box(1000, 1000, 1400, 1200)
    # Round its left end: a corner 100 mm off each way, and 200 mm along its side.
    way = there(find_way(ROOM.difference(pier), (1100, 900), Point(1100, 1300), 5000))
    assert way.length == pytest.approx(2 * math.hypot(100, 100) + 200)
