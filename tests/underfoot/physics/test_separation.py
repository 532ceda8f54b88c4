"""Moves that part and clear, by hand and against every move of a grid."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from underfoot.physics.rectangles import corners, polygons
from underfoot.physics.separation import clearing_move, separating_move
from underfoot.physics.shapes import least_width

ROOM = shapely.box(0, 0, 4200, 3100)
L_ROOM = shapely.Polygon([(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)])
SEEDS = st.integers(0, 100_000)


class TestSeparatingMove:
    def test_the_shortest_way_off(self) -> None:
        strip = shapely.box(0, 0, 500, 2750)
        assert separating_move(shapely.box(460, 0, 960, 2750), strip) == (40, 0)
        assert separating_move(shapely.box(-460, 0, 40, 2750), strip) == (-40, 0)
        assert separating_move(shapely.box(0, 2700, 500, 5000), strip) == (0, 50)

    def test_what_touches_or_lies_apart_stays(self) -> None:
        strip = shapely.box(0, 0, 500, 2750)
        assert separating_move(shapely.box(500, 0, 1000, 2750), strip) == (0, 0)
        assert separating_move(shapely.box(900, 0, 1000, 2750), strip) == (0, 0)

    @settings(max_examples=50, deadline=None)
    @given(SEEDS, st.floats(0, 180), st.floats(0, 180))
    def test_it_parts_and_no_move_over_half_as_long_does(
        self, seed: int, first: float, second: float
    ) -> None:
        draw = np.random.default_rng(seed)
        at = draw.uniform(0, 900, (2, 2))
        a, b = polygons(corners(at, draw.uniform(300, 2000, 2), 500, [first, second]))
        dx, dy = separating_move(a, b)
        moved = affinity.translate(a, dx, dy)
        shared = shapely.intersection([a, moved], [b, b])
        assert least_width(shared)[1] < 1e-6
        if (dx, dy) != (0, 0):
            angle = np.linspace(0, 2 * np.pi, 64, endpoint=False)
            for x, y in 0.98 * np.hypot(dx, dy) * np.stack((np.cos(angle), np.sin(angle)), 1):
                assert affinity.translate(a, x, y).intersection(b).area > 0


class TestClearingMove:
    def test_off_one_wall_and_out_of_a_corner(self) -> None:
        near = shapely.box(42, 60, 542, 2810)
        assert clearing_move(near, ROOM, 58) == pytest.approx((16, 0), abs=1e-5)
        corner = shapely.box(42, 30, 542, 2780)
        assert clearing_move(corner, ROOM, 58) == pytest.approx((16, 28), abs=1e-5)

    def test_from_outside_to_inside(self) -> None:
        outside = shapely.box(4300, 60, 4800, 2810)
        assert clearing_move(outside, ROOM, 58) == pytest.approx((-658, 0), abs=1e-5)

    def test_what_is_clear_already_stays(self) -> None:
        assert clearing_move(shapely.box(58, 58, 558, 2808), ROOM, 58) == (0, 0)

    def test_in_a_hall_whose_walls_are_out_of_reach_it_stays(self) -> None:
        hall = shapely.box(0, 0, 50_000, 50_000)
        assert clearing_move(shapely.box(25_000, 25_000, 25_500, 27_750), hall, 58) == (0, 0)
        assert clearing_move(shapely.box(65_000, 25_000, 65_500, 27_750), hall, 58) is None

    def test_no_place_or_none_within_reach(self) -> None:
        assert clearing_move(shapely.box(0, 0, 500, 3000), ROOM, 58) is None
        assert clearing_move(shapely.box(9000, 60, 9500, 2810), ROOM, 58) is None

    def test_a_strip_too_long_for_the_room_has_no_place(self) -> None:
        # 3300 mm across a room 2825 mm wide: no move of up to 2 m ends clear of both walls.
        room = shapely.Polygon([(0, 0), (0, 8600), (1705, 8600), (2825, 7480), (2825, 0)])
        assert clearing_move(shapely.box(65, 3080, 3365, 3680), room, 58) is None

    def test_off_a_slanted_wall_along_its_normal(self) -> None:
        # 3-4-5: the wall from (4000, 0) to (0, 3000); the corner (2000, 1400) lies
        # (3 x 2000 + 4 x 1400 - 12000) / 5 = -80 from it, 22 too near for 102.
        room = shapely.Polygon([(0, 0), (4000, 0), (0, 3000)])
        move = clearing_move(shapely.box(1000, 900, 2000, 1400), room, 102)
        assert move == pytest.approx((-22 * 0.6, -22 * 0.8), abs=1e-5)

    def test_round_the_corner_of_an_l_the_nearer_way(self) -> None:
        # 100 mm over the corner (3500, 2500) in x, 300 in y: to the left is nearer.
        over = shapely.box(2600, 1000, 3600, 2800)
        assert clearing_move(over, L_ROOM, 50) == pytest.approx((-150, 0), abs=1e-5)

    @settings(max_examples=25, deadline=None)
    @given(SEEDS, st.sampled_from((0.0, 15.0, 40.0)))
    def test_it_clears_and_no_shorter_move_of_a_grid_does(self, seed: int, angle: float) -> None:
        draw = np.random.default_rng(seed)
        size = draw.choice((500, 1000, 2500))
        element = polygons(corners(draw.uniform(-200, 3500, (1, 2)), size, 500, angle))[0]
        move = clearing_move(element, L_ROOM, 58)
        step = np.arange(-1000, 1001, 40.0)
        dx, dy = (axis.ravel() for axis in np.meshgrid(step, step))
        tried = shapely.polygons(
            shapely.get_coordinates(element)[None] + np.stack((dx, dy), axis=1)[:, None]
        )
        good = shapely.covers(L_ROOM, tried)
        good &= shapely.distance(L_ROOM.exterior, tried) >= 58
        if move is None:
            assert not good.any()
            return
        moved = affinity.translate(element, *move)
        assert shapely.covers(L_ROOM, moved)
        assert shapely.distance(L_ROOM.exterior, moved) >= 58 * 0.9995 - 1e-5
        if good.any():
            assert np.hypot(*move) <= np.hypot(dx[good], dy[good]).min() + 1e-6
