"""The deepest point against hand sums, the largest inscribed circle of GEOS, and a raster."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from tests.there import there
from underfoot.physics.depth import Deepest, deepest_point, distances_outside, farthest_outside
from underfoot.physics.heated import heated_floor
from underfoot.physics.rectangles import corners, polygons

pytestmark = pytest.mark.oracle

SEEDS = st.integers(0, 100_000)
ANGLES = st.floats(-180, 180)
L_FLOOR = shapely.Polygon([(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)])


def deepest(floor: shapely.Geometry) -> Deepest:
    found = there(deepest_point(floor, floor.boundary))
    assert shapely.distance(floor, shapely.Point(found.x, found.y)) < 1e-6
    depth = shapely.distance(floor.boundary, shapely.Point(found.x, found.y))
    assert depth == pytest.approx(found.distance, abs=1e-6)
    return found


def scattered(seed: int, count: int) -> shapely.Geometry:
    draw = np.random.default_rng(seed)
    return heated_floor(
        corners(
            draw.integers(0, 3000, (count, 2)),
            draw.integers(2, 12, count) * 250,
            draw.choice((500, 1000), count),
            draw.choice((0, 30, draw.uniform(0, 90), draw.uniform(0, 90)), count),
        )
    )


class TestDeepestPoint:
    def test_of_a_band_is_the_middle_of_its_ridge(self) -> None:
        assert deepest(shapely.box(0, 0, 9000, 1000)) == Deepest(
            x=4500, y=500, distance=500, ridge=8000
        )

    @settings(max_examples=50, deadline=None)
    @given(ANGLES)
    def test_of_a_turned_band_is_exactly_half_its_width(self, angle: float) -> None:
        found = deepest(affinity.rotate(shapely.box(0, 0, 9000, 1000), angle, origin=(0, 0)))
        assert found.distance == pytest.approx(500, abs=1e-6)
        assert found.ridge == pytest.approx(8000, abs=1e-6)

    def test_of_a_triangle_is_its_incircle(self) -> None:
        # 3-4-5: radius (a + b - c) / 2 = 1,000.
        found = deepest(shapely.Polygon([(0, 0), (3000, 0), (0, 4000)]))
        assert (found.x, found.y, found.distance) == pytest.approx((1000, 1000, 1000), abs=1e-6)

    def test_of_the_l_touches_two_walls_and_the_corner(self) -> None:
        # By hand: (r, r) with (3500 - r)^2 + (2500 - r)^2 = r^2:
        # r = 6000 - sqrt(6000^2 - 3500^2 - 2500^2) = 6000 - sqrt(17,500,000).
        found = deepest(L_FLOOR)
        expected = 6000 - np.sqrt(17_500_000)
        assert (found.x, found.y, found.distance) == pytest.approx([expected] * 3, abs=1e-6)

    def test_beside_a_hole_of_two_ridges_alike_the_left_one(self) -> None:
        floor = shapely.box(0, 0, 5000, 3000).difference(shapely.box(2000, 1000, 3000, 2000))
        found = deepest(floor)
        assert (found.x, found.y, found.distance) == pytest.approx((1000, 1500, 1000), abs=1e-6)
        assert found.ridge == pytest.approx(1000, abs=1e-6)

    def test_of_bands_alike_the_longest_ridge_wins(self) -> None:
        floor = shapely.union(shapely.box(0, 0, 3000, 1000), shapely.box(0, 2000, 9000, 3000))
        assert deepest(floor) == Deepest(x=4500, y=2500, distance=500, ridge=8000)

    def test_an_arm_as_deep_in_one_floor_is_found(self) -> None:
        """A comb of a 600 mm bar with teeth 500 wide: the deepest lies where they meet."""
        comb = shapely.union_all(
            [shapely.box(0, 0, 5000, 600)]
            + [shapely.box(x, 0, x + 500, 3000) for x in (0, 1500, 3000, 4500)]
        )
        circle = shapely.maximum_inscribed_circle(comb, tolerance=1e-4).length
        assert circle - 1e-9 <= deepest(comb).distance <= circle + 1e-3

    @settings(max_examples=60, deadline=None)
    @given(st.integers(1, 179), st.sampled_from((0.0, 0.6, 3.0, 9.4)))
    def test_of_rows_laid_at_an_angle_is_that_of_the_rows_laid_straight(
        self, angle: int, gap: float
    ) -> None:
        # By hand: two strips and the gap are the widest square part, 1130 long: half of that.
        across = np.radians(angle) + np.pi / 2
        offset = np.array((0.0, 500.0, 1000.0 + gap))
        at = 60 + offset[:, None] * np.array((np.cos(across), np.sin(across)))
        found = deepest(heated_floor(corners(at, (300, 1130, 2485), 500, angle)))
        assert found.distance == pytest.approx(500 + gap / 2, abs=1e-6)
        assert found.ridge == pytest.approx(1130 - 1000 - gap, abs=1e-6)

    def test_corners_that_only_rounding_bends_are_none(self) -> None:
        band = shapely.segmentize(shapely.box(0, 0, 9000, 1000), 300)
        found = deepest(affinity.rotate(band, 33, origin=(0, 0)))
        assert (found.distance, found.ridge) == pytest.approx((500, 8000), abs=1e-6)

    def test_beyond_the_end_of_a_level_ridge_it_may_be_deeper(self) -> None:
        """A band 1,000 wide whose upper side ends at x = 3,000, where the floor goes on in a wedge.

        By hand: from the end (3000, 1000) of the upper side on, a point (3000 + t, y) lies y over
        the lower side and sqrt(t^2 + (1000 - y)^2) from that end: as deep as 500 + t^2 / 2000.
        The far wall, at x = 3,600, lets the circle grow until 600 - t = y = 500 + t^2 / 2000:
        t = 1000 (sqrt(1.2) - 1).
        """
        floor = shapely.Polygon(
            [(0, 0), (3600, 0), (3600, 3000), (3000, 3000), (3000, 1000), (0, 1000)]
        )
        t = 1000 * (np.sqrt(1.2) - 1)
        found = deepest(floor)
        assert found.distance == pytest.approx(500 + t * t / 2000, abs=1e-6)
        assert found.x == pytest.approx(3000 + t, abs=1e-3)

    def test_no_floor_has_none(self) -> None:
        assert deepest_point(shapely.Polygon(), shapely.Polygon().boundary) is None

    @settings(max_examples=25, deadline=None)
    @given(SEEDS, st.integers(1, 12))
    def test_agrees_with_the_largest_inscribed_circle(self, seed: int, count: int) -> None:
        floor = scattered(seed, count)
        found = deepest(floor).distance
        circles = [
            shapely.maximum_inscribed_circle(part, tolerance=1e-3).length
            for part in shapely.get_parts(floor)
        ]
        # What is found is attained (see `deepest`), and GEOS finds nothing deeper.
        assert found >= max(circles) - 1e-6

    @settings(max_examples=10, deadline=None)
    @given(SEEDS, ANGLES)
    def test_turning_moving_and_mirroring_change_no_depth(self, seed: int, angle: float) -> None:
        floor = scattered(seed, 6)
        turned = affinity.translate(affinity.rotate(floor, angle, origin=(0, 0)), 12_345, -678)
        mirrored = affinity.scale(floor, -1, 1, origin=(0, 0))
        depth = deepest(floor).distance
        assert deepest(turned).distance == pytest.approx(depth, abs=1e-6)
        assert deepest(mirrored).distance == pytest.approx(depth, abs=1e-6)

    def test_many_pockets_alike(self) -> None:
        """A row of 100 strips, every third 250 mm longer: depth by hand (2,750 is x = 1,750).

        A circle on the bottom edge touches both corners beside a longer strip, 500 apart at
        2,500: r^2 = 250^2 + (2500 - r)^2, r = (2500^2 + 250^2) / 5000 = 1,262.5.
        """
        place = np.arange(100)
        floor = heated_floor(
            corners(
                np.stack((place * 500.0, place * 0.0), axis=1),
                np.where(place % 3 == 0, 2750, 2500),
                500,
                along_y=True,
            )
        )
        assert deepest(floor).distance == pytest.approx(1262.5, abs=1e-6)


class TestFarthestOutside:
    ROOM = shapely.box(0, 0, 5000, 4000)

    def test_an_element_inside_or_on_the_edge_has_none(self) -> None:
        assert farthest_outside(shapely.box(0, 0, 500, 2750), self.ROOM) is None
        assert farthest_outside(shapely.box(-0.0009, 0, 500, 2750), self.ROOM) is None

    def test_beyond_a_wall(self) -> None:
        found = farthest_outside(shapely.box(500, -42, 1000, 2750), self.ROOM)
        assert found == Deepest(x=750, y=-42, distance=42, ridge=500)

    def test_beyond_a_corner_it_is_the_way_round_to_the_outline(self) -> None:
        found = there(farthest_outside(shapely.box(-30, -40, 500, 2750), self.ROOM))
        assert (found.x, found.y, found.distance) == pytest.approx((-30, -40, 50), abs=1e-6)

    def test_wholly_outside(self) -> None:
        found = there(farthest_outside(shapely.box(6000, 0, 6500, 2750), self.ROOM))
        assert (found.x, found.distance) == pytest.approx((6500, 1500), abs=1e-6)

    def test_bridging_a_notch_is_half_its_width(self) -> None:
        notched = self.ROOM.difference(shapely.box(0, 1900, 4000, 2100))
        found = there(farthest_outside(shapely.box(500, 1500, 1000, 2500), notched))
        assert (found.x, found.y) == pytest.approx((750, 2000), abs=1e-6)
        assert (found.distance, found.ridge) == pytest.approx((100, 500), abs=1e-6)

    def test_a_shallow_notch_is_as_far_as_it_is_deep(self) -> None:
        notched = self.ROOM.difference(shapely.box(2000, -1, 2200, 30))
        found = there(farthest_outside(shapely.box(1500, 0, 2700, 500), notched))
        assert (found.x, found.y, found.distance) == pytest.approx((2100, 0, 30), abs=1e-6)

    def test_a_sliver_along_a_slanted_wall_is_measured_soon(self) -> None:
        room = affinity.rotate(L_FLOOR, -6.433, origin=(0, 0))
        element = affinity.rotate(shapely.box(-0.002, 2000, 500, 2500), -6.433, origin=(0, 0))
        found = there(farthest_outside(element, room))
        assert (found.distance, found.ridge) == pytest.approx((0.002, 500), abs=1e-6)

    @settings(max_examples=25, deadline=None)
    @given(SEEDS)
    def test_agrees_with_a_raster(self, seed: int) -> None:
        draw = np.random.default_rng(seed)
        around = np.linspace(0, 2 * np.pi, 9, endpoint=False)
        room = shapely.Polygon(
            np.stack((np.cos(around), np.sin(around)), axis=1)
            * draw.uniform(1000, 3000, 9)[:, None]
        )
        element = shapely.Polygon(
            corners(draw.uniform(-2000, 1000, (1, 2)), 2000, 500, draw.uniform(0, 90))[0]
        )
        x0, y0, x1, y1 = element.bounds
        x, y = np.meshgrid(np.linspace(x0, x1, 120), np.linspace(y0, y1, 120))
        held = shapely.contains_xy(element, x, y)
        coarse = shapely.distance(room, shapely.points(x[held], y[held])).max()
        found = farthest_outside(element, room)
        distance = 0.0 if found is None else found.distance
        # No point of the element lies farther than a cell's diagonal from a sample in it; at
        # its corners the nearest sample may lie a few cells off.
        cell = np.hypot(x1 - x0, y1 - y0) / 119
        assert coarse - 1e-6 <= distance <= coarse + 3 * cell


class TestDistancesOutside:
    @settings(max_examples=10, deadline=None)
    @given(SEEDS, ANGLES, st.booleans())
    def test_each_is_that_of_its_farthest_point(
        self, seed: int, angle: float, convex: bool
    ) -> None:
        draw = np.random.default_rng(seed)
        room = affinity.rotate(L_FLOOR.convex_hull if convex else L_FLOOR, angle, origin=(0, 0))
        elements = polygons(
            corners(draw.integers(-8, 14, (12, 2)) * 250.0, 2750, 500, 0, draw.random(12) < 0.5)
        )
        elements = affinity_all(elements, angle)
        found = distances_outside(elements, room)
        for element, distance in zip(elements, found, strict=True):
            farthest = farthest_outside(element, room)
            expected = 0.0 if farthest is None else farthest.distance
            assert distance == pytest.approx(expected, abs=1e-6)

    def test_many_far_outside_an_l_are_measured_soon(self) -> None:
        place = np.arange(2000)
        at = np.stack((place % 100 * 500.0 - 60_000, place // 100 * 2800.0), axis=1)
        elements = polygons(corners(at, 2750, 500, along_y=True))
        found = distances_outside(elements, L_FLOOR)
        # By hand: of the first strip, from (-60000, 0) to (-59500, 2750), the corners on the left.
        assert found[0] == pytest.approx(60_000, abs=1e-6)
        # Of strip 1,999, on top at y from 53,200 to 55,950 and x from -10,500 to -10,000, the
        # upper left corner, to the corner (0, 4500) of the room.
        assert found[-1] == pytest.approx(np.hypot(10_500, 55_950 - 4500), abs=1e-6)

    def test_none(self) -> None:
        assert distances_outside(np.array([], dtype=object), L_FLOOR).shape == (0,)


def affinity_all(shapes: np.ndarray, angle: float) -> np.ndarray:
    return np.array([affinity.rotate(shape, angle, origin=(0, 0)) for shape in shapes])
