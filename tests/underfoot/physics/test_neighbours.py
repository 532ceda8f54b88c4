"""Pairs of rectangles: overlaps and gaps against hand sums, pyclipper and shapely."""

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.physics.neighbours import gaps_between, lie_square_by, met_by, near_pairs, overlaps
from underfoot.physics.rectangles import bounds, corners, polygons, turn
from underfoot.physics.shapes import least_width

COUNTS = st.integers(2, 12)
SEEDS = st.integers(0, 10_000)


def scattered(seed: int, count: int, angles: tuple[float, ...] = (0.0,)) -> np.ndarray:
    draw = np.random.default_rng(seed)
    return corners(
        draw.integers(0, 6000, (count, 2)),
        draw.integers(1, 12, count) * 250,
        draw.choice((300, 500, 1000), count),
        draw.choice(angles, count),
        draw.random(count) < 0.5,
    )


def row(*places: float, length: float = 2750.0) -> np.ndarray:
    """Strips 500 wide along y with their low left corners at these x."""
    return corners([(x, 0) for x in places], length, 500, along_y=True)


class TestOverlaps:
    def test_butted_strips_do_not_lie_on_each_other(self) -> None:
        assert len(overlaps(row(0, 500, 1000)).pairs) == 0

    def test_the_measure_is_the_least_width_of_what_they_share(self) -> None:
        found = overlaps(row(0, 460))
        assert found.pairs.tolist() == [[0, 1]]
        assert found.width.tolist() == [40]

    def test_crossed_strips_share_a_square(self) -> None:
        laid = corners([(0, 1000), (1000, 0)], 2750, 500, along_y=[False, True])
        assert overlaps(laid).width.tolist() == [500]

    def test_a_turned_corner_is_measured_across_its_tip(self) -> None:
        # A square turned by 45 degrees, its left tip 30 mm inside the right side of the strip:
        # the shared triangle is 60 wide and 30 high, so it is least wide in that height.
        tip = corners([(470, 1000)], 500, 500, angle_deg=-45)
        found = overlaps(np.concatenate((row(0), tip)))
        assert found.width == pytest.approx([30], abs=1e-9)

    def test_a_strip_within_another_is_as_wide_as_itself(self) -> None:
        laid = np.concatenate((row(0), corners([(100, 100)], 1000, 200, along_y=True)))
        assert overlaps(laid).width.tolist() == [200]

    @pytest.mark.parametrize(("shared", "count"), [(1.0, 0), (1.0 + 9e-7, 0), (1.0 + 2e-6, 1)])
    def test_the_tolerance_is_exceeded_only_by_more_than_itself_and_a_millionth(
        self, shared: float, count: int
    ) -> None:
        assert len(overlaps(row(0, 500 - shared), tolerance=1.0).pairs) == count

    @settings(max_examples=50, deadline=None)
    @given(SEEDS, COUNTS)
    def test_widths_agree_with_pyclipper_for_upright_rectangles(
        self, seed: int, count: int
    ) -> None:
        laid = scattered(seed, count)
        found = {
            (int(i), int(j)): float(width)
            for (i, j), width in zip(*(lambda o: (o.pairs, o.width))(overlaps(laid)), strict=True)
        }
        for i in range(count):
            for j in range(i + 1, count):
                clipper = pyclipper.Pyclipper()
                clipper.AddPath(laid[i].astype(int).tolist(), pyclipper.PT_SUBJECT, True)
                clipper.AddPath(laid[j].astype(int).tolist(), pyclipper.PT_CLIP, True)
                shared = clipper.Execute(pyclipper.CT_INTERSECTION)
                width = min(np.ptp(shared[0], axis=0)) if shared else 0
                assert found.get((i, j), 0.0) == width

    @settings(max_examples=50, deadline=None)
    @given(SEEDS, COUNTS)
    def test_turned_widths_agree_with_shapely(self, seed: int, count: int) -> None:
        laid = scattered(seed, count, (0.0, 30.0, 45.0, 77.7))
        shapes = polygons(laid)
        pairs = [(i, j) for i in range(count) for j in range(i + 1, count)]
        shared = shapely.intersection([shapes[i] for i, _ in pairs], [shapes[j] for _, j in pairs])
        wide = {p: w for p, w in zip(pairs, least_width(shared), strict=True) if w > 1e-5}
        found = overlaps(laid, tolerance=1e-5)
        assert {tuple(map(int, pair)) for pair in found.pairs} == set(wide)
        assert found.width == pytest.approx([wide[pair] for pair in sorted(wide)], abs=1e-6)


class TestGaps:
    def test_the_gap_between_long_sides_is_given_with_its_place(self) -> None:
        found = gaps_between(row(0, 540), up_to=250)
        assert found.pairs.tolist() == [[0, 1]]
        assert found.gap.tolist() == [40]
        assert found.facing.tolist() == [2750]
        assert shapely.Polygon(found.corners[0]).equals(shapely.box(500, 0, 540, 2750))

    def test_only_the_length_over_which_they_face_counts(self) -> None:
        laid = corners([(0, 0), (540, 2000)], 2750, 500, along_y=True)
        found = gaps_between(laid, up_to=250)
        assert found.facing.tolist() == [750]
        assert shapely.Polygon(found.corners[0]).equals(shapely.box(500, 2000, 540, 2750))

    def test_ends_that_face_each_other_leave_no_gap_between_long_sides(self) -> None:
        laid = corners([(0, 0), (0, 2790)], 2750, 500, along_y=True)
        assert len(gaps_between(laid, up_to=250).gap) == 0

    def test_strips_at_right_angles_are_not_parallel(self) -> None:
        laid = corners([(0, 0), (540, 0)], 2750, 500, along_y=[True, False])
        assert len(gaps_between(laid, up_to=250).gap) == 0

    def test_long_sides_run_with_the_length_also_in_a_short_piece(self) -> None:
        # 250 long and 500 wide: the sides along y are the long ones, 250 mm facing.
        laid = corners([(0, 0), (540, 0)], 250, 500, along_y=True)
        assert gaps_between(laid, up_to=250).facing.tolist() == [250]
        stacked = corners([(0, 0), (0, 290)], 250, 500, along_y=True)
        assert len(gaps_between(stacked, up_to=250).gap) == 0

    def test_opposite_directions_are_parallel(self) -> None:
        laid = corners([(0, 0), (1000, 540)], 1000, 500, angle_deg=[0, 180])
        # The second runs from (1000, 540) to the left and reaches down to y = 40.
        assert overlaps(laid).width.tolist() == [460]
        apart = corners([(0, 0), (1000, 1040)], 1000, 500, angle_deg=[0, 180])
        assert gaps_between(apart, up_to=250).gap.tolist() == [40]

    @settings(max_examples=50, deadline=None)
    @given(st.floats(-180, 180), st.floats(1, 240), st.floats(-1000, 1000))
    def test_turning_the_whole_changes_neither_gap_nor_facing(
        self, angle: float, gap: float, shift: float
    ) -> None:
        laid = corners([(0, 0), (500 + gap, shift)], 2750, 500, along_y=True)
        turned = turn(laid, (123, 456), angle)
        found = gaps_between(turned, up_to=250)
        assert found.gap == pytest.approx([gap], abs=1e-8)
        assert found.facing == pytest.approx([2750 - abs(shift)], abs=1e-8)
        assert shapely.Polygon(found.corners[0]).area == pytest.approx(
            gap * (2750 - abs(shift)), rel=1e-8
        )

    @pytest.mark.parametrize(
        ("gap", "over", "found"),
        [
            # Over 40 mm, and up to 250 mm and what rounding makes of it, 0.000001 mm.
            (40, 40, False), (40.001, 40, True), (0, 0, False), (0.001, 0, True),
            (250, 0, True), (250 + 5e-7, 0, True), (250 + 2e-6, 0, False),
        ],
    )  # fmt: skip
    def test_the_widest_and_the_narrowest(self, gap: float, over: float, found: bool) -> None:
        assert (len(gaps_between(row(0, 500 + gap), 250, over).gap) == 1) is found

    @pytest.mark.parametrize(("facing", "found"), [(-1, False), (0, False), (5e-7, False),
                                                   (2e-6, True), (1, True)])  # fmt: skip
    def test_corner_to_corner_they_do_not_face_each_other(self, facing: float, found: bool) -> None:
        laid = corners([(0, 0), (540, 1000 - facing)], 1000, 500, along_y=True)
        assert (len(gaps_between(laid, up_to=250).gap) == 1) is found

    @pytest.mark.parametrize("angle", [0, 17, 45])
    def test_a_gap_is_not_over_its_own_width(self, angle: float) -> None:
        laid = turn(row(0, 540), (0, 0), angle)
        (gap,) = gaps_between(laid, 250).gap
        assert len(gaps_between(laid, 250, gap).gap) == 0
        assert len(gaps_between(laid, 250, gap - 1e-9).gap) == 1

    @pytest.mark.parametrize(("turned_rad", "found"), [(0.9e-7, True), (1.1e-7, False)])
    def test_how_far_from_parallel_they_may_be(self, turned_rad: float, found: bool) -> None:
        laid = corners([(0, 0), (0, 540)], 1000, 500, angle_deg=[0, np.degrees(turned_rad)])
        assert (len(gaps_between(laid, up_to=250).gap) == 1) is found

    def test_what_lies_in_a_gap_is_found_but_not_what_touches_it(self) -> None:
        laid = row(0, 740)
        gap = gaps_between(laid, up_to=250).corners
        things = np.array(
            [
                shapely.box(500, 100, 740, 200),
                shapely.box(0, 0, 500, 2750),
                shapely.LineString([(600, -10), (600, 10)]),
                shapely.LineString([(500, 0), (500, 2750)]),
                shapely.box(400, 0, 500.0005, 2750),
            ]
        )
        assert met_by(gap, things).tolist() == [[0, 0], [0, 2]]


@settings(max_examples=50, deadline=None)
@given(SEEDS, st.integers(0, 80), st.floats(0, 500))
def test_near_pairs_are_those_whose_boxes_lie_near(seed: int, count: int, reach: float) -> None:
    boxes = bounds(scattered(seed, count, (0.0, 45.0)))
    expected = [
        [i, j]
        for i in range(count)
        for j in range(i + 1, count)
        if max(boxes[i, 0], boxes[j, 0]) - min(boxes[i, 2], boxes[j, 2]) <= reach
        and max(boxes[i, 1], boxes[j, 1]) - min(boxes[i, 3], boxes[j, 3]) <= reach
    ]
    pairs, complete = near_pairs(boxes, reach)
    assert (pairs.tolist(), complete) == (expected, True)


def test_thousands_on_one_heap_end_the_search_and_say_so() -> None:
    heap = corners(np.zeros((1500, 2)), 2750, 500)
    found = overlaps(heap)
    assert not found.complete
    assert len(found.pairs) == 100_000
    assert (found.width == 500).all()
    # All pairs of 1,500 were looked at, and none of them leaves a gap.
    gaps = gaps_between(heap, up_to=250)
    assert (len(gaps.pairs), gaps.complete) == (0, True)


@pytest.mark.parametrize(("count", "complete"), [(447, True), (448, False)])
def test_a_heap_of_just_as_many_pairs_as_are_named(count: int, complete: bool) -> None:
    """447 x 446 / 2 = 99,681 pairs are all named; of 448 x 447 / 2 = 100,128 the first 100,000."""
    pairs, is_all = near_pairs(bounds(corners(np.zeros((count, 2)), 2750, 500)))
    assert is_all is complete
    assert len(pairs) == min(count * (count - 1) // 2, 100_000)


class TestSquareBy:
    def test_wider_than_asked_for_and_square(self) -> None:
        # Strips 500 wide: 100, 400 and 200 mm of two lie on each other; the last is turned.
        straight = corners([(0, 0), (400, 0), (100, 0)], 2750, 500, along_y=True)
        laid = np.concatenate((straight, corners([(0, 0)], 2750, 500, 30)))
        pairs = np.array([(0, 1), (0, 2), (1, 2), (0, 3)])
        assert lie_square_by(laid, pairs, 99.9).tolist() == [True, True, True, False]
        assert lie_square_by(laid, pairs, 100).tolist() == [False, True, True, False]
        assert lie_square_by(laid, pairs, 200).tolist() == [False, True, False, False]
        assert lie_square_by(laid, pairs, 400).tolist() == [False, False, False, False]
