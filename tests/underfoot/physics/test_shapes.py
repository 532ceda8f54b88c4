"""Areas of any outline: widths, distances, set-backs and what a cover leaves open."""

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from underfoot.physics.heated import joined
from underfoot.physics.rectangles import corners, turn
from underfoot.physics.shapes import (
    clip,
    edge_distances,
    inside,
    least_width,
    lying_on,
    near,
    set_back,
    uncovered,
)

L_ROOM = [(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)]
ROOM = shapely.box(0, 0, 5000, 4000)
NONE = np.array([], dtype=object)


def areas(*shapes: shapely.Geometry) -> np.ndarray:
    return np.array(shapes, dtype=object)


class TestLeastWidth:
    def test_of_simple_shapes(self) -> None:
        # By hand: a rectangle's short side; a triangle's least height 3 x 4 / 5; the height of a
        # half circle's polygon; a square's side, not its diagonal.
        shapes = areas(
            shapely.box(0, 0, 300, 40),
            shapely.Polygon([(0, 0), (3000, 0), (0, 4000)]),
            affinity.rotate(shapely.box(0, 0, 100, 100), 45),
        )
        assert least_width(shapes) == pytest.approx([40, 2400, 100])

    def test_two_parts_are_held_together(self) -> None:
        both = shapely.union(shapely.box(0, 0, 10, 10), shapely.box(100, 0, 110, 10))
        assert least_width(areas(both)) == pytest.approx([10])
        above = shapely.union(shapely.box(0, 0, 10, 10), shapely.box(0, 100, 10, 110))
        assert least_width(areas(above)) == pytest.approx([10])

    def test_lines_points_and_nothing_have_none(self) -> None:
        shapes = areas(
            shapely.LineString([(0, 0), (10, 10)]), shapely.Point(1, 1), shapely.Polygon()
        )
        assert least_width(shapes).tolist() == [0, 0, 0]
        assert least_width(NONE).shape == (0,)

    @settings(max_examples=50, deadline=None)
    @given(st.integers(0, 10_000), st.integers(3, 40))
    def test_agrees_with_projections_on_many_directions(self, seed: int, count: int) -> None:
        points = np.random.default_rng(seed).uniform(0, 1000, (count, 2))
        angle = np.linspace(0, np.pi, 5001)
        across = points @ np.stack((np.cos(angle), np.sin(angle)))
        coarse = np.ptp(across, axis=0).min()
        found = least_width(areas(shapely.MultiPoint(points)))[0]
        # The nearest of the directions lies within 3.2e-4 rad; the points reach 1,415 mm.
        assert coarse - 1415 * 3.2e-4 <= found <= coarse + 1e-9


class TestDistances:
    def test_to_the_outline_from_within(self) -> None:
        shapes = areas(shapely.box(50, 60, 500, 600), shapely.box(-10, 60, 500, 600))
        assert edge_distances(shapes, ROOM).tolist() == [50, 0]

    def test_to_an_outline_of_many_sides_are_the_same(self) -> None:
        draw = np.random.default_rng(3)
        round_room = shapely.Point(5000, 5000).buffer(4000, quad_segs=100)
        shapes = shapely.box(
            *(lambda p: (p[0], p[1], p[0] + 300, p[1] + 500))(draw.uniform(0, 9000, (2, 200)))
        )
        expected = shapely.distance(shapes, round_room.exterior)
        assert edge_distances(shapes, round_room) == pytest.approx(expected, abs=1e-9)

    def test_near_pairs_touching_lie_at_no_distance_and_the_limit_is_met(self) -> None:
        strips = areas(shapely.box(0, 0, 500, 2750), shapely.box(500, 0, 1000, 2750))
        things = areas(shapely.box(1030, 0, 1100, 100), shapely.box(400, 2700, 450, 2800))
        pairs, distances = near(strips, things, 50)
        assert pairs.tolist() == [[0, 1], [1, 0]]
        assert distances.tolist() == [0, 30]
        beyond = areas(shapely.box(1050 - 5e-7, 0, 1100, 100))
        assert len(near(strips, beyond, 50)[0]) == 0
        assert len(near(strips, areas(shapely.box(1050 - 2e-6, 0, 1100, 100)), 50)[0]) == 1
        assert len(near(strips, NONE, 50)[0]) == len(near(NONE, things, 50)[0]) == 0


class TestInside:
    def test_on_the_edge_and_a_rounding_beyond_it_is_inside(self) -> None:
        shapes = areas(
            shapely.box(0, 0, 500, 500),
            shapely.box(-0.0009, 0, 500, 500),
            shapely.box(-0.002, 0, 500, 500),
        )
        assert inside(shapes, ROOM).tolist() == [True, True, False]

    def test_bridging_a_notch_is_outside(self) -> None:
        notched = ROOM.difference(shapely.box(1000, -1, 1200, 1000))
        bridging = shapely.box(900, 0, 1300, 500)
        assert inside(areas(bridging), notched).tolist() == [False]


class TestLyingOn:
    def test_gives_pairs_and_widths_but_not_what_touches(self) -> None:
        strips = areas(shapely.box(0, 0, 500, 2750), shapely.box(500, 0, 1000, 2750))
        things = areas(
            shapely.box(500, 0, 600, 100),
            shapely.box(460, 0, 540, 100),
            shapely.box(1000, 0, 1100, 100),
            shapely.box(499.9995, 3000, 600, 3100),
        )
        pairs, widths = lying_on(strips, things)
        assert pairs.tolist() == [[0, 1], [1, 0], [1, 1]]
        assert widths.tolist() == [40, 100, 40]
        assert len(lying_on(strips, NONE)[0]) == len(lying_on(NONE, things)[0]) == 0


class TestSetBack:
    def test_the_published_l_room(self) -> None:
        """Area and 50 mm inset of the L-room: DERIVED, two libraries agree, square corners."""
        room = shapely.Polygon(L_ROOM)
        assert shapely.area(set_back(room, 0, NONE, 0)) == 22_000_000
        offset = pyclipper.PyclipperOffset()
        offset.AddPath(L_ROOM, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
        square = abs(pyclipper.Area(offset.Execute(-50)[0]))
        assert square == 20_960_000
        # At the corner that stands into the room the true distance leaves more: a square of
        # 50 mm less a quarter of its circle. The chords of the quarter leave 3.2 mm2 more.
        corner = 50 * 50 * (1 - np.pi / 4)
        assert shapely.area(set_back(room, 50, NONE, 0)) == pytest.approx(
            20_960_000 + corner, abs=3.5
        )

    def test_fixtures_are_kept_off_by_their_own_distance(self) -> None:
        bench = areas(shapely.box(2000, 2000, 2800, 2600))
        left = shapely.area(set_back(ROOM, 50, bench, 50))
        # By hand: 4,900 x 3,900 less 800 x 600, four edges of 50 mm and a circle.
        expected = 4900 * 3900 - 800 * 600 - 2 * (800 + 600) * 50 - np.pi * 50**2
        assert left == pytest.approx(expected, abs=15)

    def test_a_room_too_narrow_has_none(self) -> None:
        assert set_back(shapely.box(0, 0, 5000, 90), 50, NONE, 50).is_empty


class TestUncovered:
    def test_share_and_place(self) -> None:
        share, left = uncovered(ROOM, shapely.box(0, 0, 5000, 3000))
        assert share == pytest.approx(0.25)
        assert left.equals(shapely.box(0, 3000, 5000, 4000))

    def test_a_rounding_slit_is_covered(self) -> None:
        cover = shapely.union(shapely.box(0, 0, 2500, 4000), shapely.box(2500.0005, 0, 5000, 4000))
        share, left = uncovered(ROOM, cover)
        assert (share, left.is_empty) == (0.0, True)

    def test_nothing_and_no_cover(self) -> None:
        assert uncovered(shapely.Polygon(), ROOM)[0] == 0.0
        assert uncovered(ROOM, shapely.Polygon())[0] == 1.0

    @pytest.mark.parametrize("seed", range(4))
    def test_a_floor_turned_by_any_angle_lies_under_its_boards(self, seed: int) -> None:
        """Of 400 floors some lose whole boards where areas are united or cut without a grid."""
        draw = np.random.default_rng(seed)
        for _ in range(100):
            columns, rows = draw.integers(2, 8, 2).tolist()
            angle, move = float(draw.uniform(0, 90)), draw.uniform(-5000, 5000, 2)
            floor = affinity.rotate(
                shapely.box(0, 0, 1200 * columns, 600 * rows), angle, origin=(0, 0)
            )
            places = [(1200 * i, 600 * j) for i in range(columns) for j in range(rows)]
            boards = corners(turn(places, (0, 0), angle) + move, 1200, 600, angle)
            moved = affinity.translate(floor, *move)
            assert uncovered(moved, joined(boards))[0] < 1e-9
            one_less = uncovered(moved, joined(boards[1:]))[0]
            assert one_less == pytest.approx(1 / (columns * rows), abs=1e-6)


class TestClip:
    def test_what_only_touches_is_left_out(self) -> None:
        # The second box shares an edge with the lower arm and area with the upper.
        boxes = areas(shapely.box(6000, 0, 7000, 1000), shapely.box(3400, 2000, 3600, 4000))
        inner = clip(boxes, shapely.Polygon(L_ROOM))
        assert [shape.geom_type for shape in inner] == ["Polygon", "Polygon"]
        assert inner[0].is_empty
        # By hand: 200 x 500 below y = 2,500 and 100 x 1,500 above.
        assert inner[1].area == pytest.approx(250_000)

    def test_a_mixed_cut_keeps_its_areas(self) -> None:
        fork = shapely.Polygon([(0, 0), (3000, 0), (3000, 1000), (2000, 1000), (2000, 500),
                                (1000, 500), (1000, 1000), (0, 1000)])  # fmt: skip
        (inner,) = clip(areas(shapely.box(500, 500, 2000, 1000)), fork)
        assert inner.geom_type in ("Polygon", "MultiPolygon")
        assert inner.area == pytest.approx(500 * 500)
