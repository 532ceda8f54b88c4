"""Boards in courses and sheets in runs, counted and measured by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from underfoot.physics.courses import LaidCourses, count_runs, lay_courses, lay_runs
from underfoot.physics.rectangles import polygons
from underfoot.physics.shapes import uncovered

ROOM = shapely.box(100, 200, 4300, 3300)
L_ROOM = shapely.Polygon([(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)])


def course(laid: LaidCourses, number: int) -> list[list[float]]:
    return [list(shapely.bounds(p)) for p in laid.polygons[laid.course == number]]


class TestCourses:
    def test_along_x_from_the_low_left_corner(self) -> None:
        laid = lay_courses(ROOM, 1200, 600, "x", 600)
        # By hand: 3,100 / 600 is 6 courses; 4,200 / 1,200 is 4 boards, with a 600 before them
        # 600 + 3 x 1,200.
        assert sorted(set(laid.course.tolist())) == [1, 2, 3, 4, 5, 6]
        assert course(laid, 1) == [
            [100, 200, 1300, 800],
            [1300, 200, 2500, 800],
            [2500, 200, 3700, 800],
            [3700, 200, 4300, 800],
        ]
        assert course(laid, 2) == [
            [100, 800, 700, 1400],
            [700, 800, 1900, 1400],
            [1900, 800, 3100, 1400],
            [3100, 800, 4300, 1400],
        ]
        assert course(laid, 6)[0] == [100, 3200, 700, 3300]
        assert laid.board[laid.course == 2].tolist() == [1, 2, 3, 4]

    def test_along_y_courses_follow_to_the_right(self) -> None:
        laid = lay_courses(ROOM, 1200, 600, "y", 300)
        assert course(laid, 1)[0] == [100, 200, 700, 1400]
        assert course(laid, 2)[:2] == [[700, 200, 1300, 500], [700, 500, 1300, 1700]]
        assert course(laid, 7)[-1][2] == 4300

    def test_without_stagger_every_course_starts_whole(self) -> None:
        laid = lay_courses(ROOM, 1200, 600, "x", 0)
        assert course(laid, 2)[0] == [100, 800, 1300, 1400]

    def test_corners_are_those_of_whole_boards(self) -> None:
        laid = lay_courses(ROOM, 1200, 600, "x", 600)
        sizes = np.ptp(laid.corners, axis=1)
        assert (sizes[:, 1] == 600).all()
        assert set(sizes[:, 0].tolist()) == {600, 1200}

    def test_boards_in_the_missing_part_of_an_l_are_left_out(self) -> None:
        laid = lay_courses(L_ROOM, 1200, 600, "x", 600)
        # The last course, y from 4,200, reaches to x = 3,500 only.
        assert course(laid, 8)[-1] == [3000, 4200, 3500, 4500]
        assert laid.board[laid.course == 8].tolist() == [1, 2, 3, 4]

    @settings(max_examples=40, deadline=None)
    @given(
        st.floats(-180, 180),
        st.floats(300, 2500),
        st.floats(100, 1200),
        st.sampled_from("xy"),
        st.floats(0, 1),
    )
    def test_boards_cover_any_floor_once(
        self, angle: float, length: float, width: float, along: str, share: float
    ) -> None:
        floor = affinity.rotate(L_ROOM, angle)
        laid = lay_courses(floor, length, width, along, share * length)
        assert shapely.area(laid.polygons).sum() == pytest.approx(floor.area, abs=1)
        assert uncovered(floor, shapely.union_all(laid.polygons))[0] < 1e-6
        kept = shapely.intersection(polygons(laid.corners), laid.polygons)
        assert shapely.area(kept) == pytest.approx(shapely.area(laid.polygons), abs=0.1)
        for number in set(laid.course.tolist()):
            count = int((laid.course == number).sum())
            assert laid.board[laid.course == number].tolist() == list(range(1, count + 1))

    def test_a_hall_of_seven_thousand_boards(self) -> None:
        laid = lay_courses(shapely.box(0, 0, 50_000, 100_000), 1200, 600, "x", 600)
        # By hand: 167 courses. 84 start whole: 41 x 1,200 = 49,200, so a 42nd of 800. 83 start
        # with 600: 600 + 41 x 1,200 = 49,800, so a 43rd of 200.
        assert len(laid.board) == 84 * 42 + 83 * 43


class TestRuns:
    def test_from_the_low_side_each_lapping_the_last(self) -> None:
        laid = lay_runs(ROOM, 2000, "x", 150)
        # By hand: 200 to 2,200, then 2,050 to 4,050: past the far wall at 3,300.
        assert shapely.bounds(polygons(laid.corners)).tolist() == [
            [100, 200, 4300, 2200],
            [100, 2050, 4300, 4050],
        ]
        upright = lay_runs(ROOM, 2000, "y", 150)
        assert shapely.bounds(polygons(upright.corners))[:, 0].tolist() == [100, 1950, 3800]

    def test_each_reaches_as_far_as_the_floor_does_where_it_lies(self) -> None:
        ell = shapely.Polygon(
            [(0, 0), (6000, 0), (6000, 1500), (2000, 1500), (2000, 4000), (0, 4000)]
        )
        laid = lay_runs(ell, 1600, "x", 100)
        # By hand: from 0, 1,500 and 3,000 up; the foot of 6,000 ends where the second begins.
        assert shapely.bounds(polygons(laid.corners)).tolist() == [
            [0, 0, 6000, 1600],
            [0, 1500, 2000, 3100],
            [0, 3000, 2000, 4600],
        ]

    def test_beyond_a_gap_as_wide_as_itself_another_sheet_goes_on(self) -> None:
        two_legs = shapely.box(0, 0, 5000, 3000) - shapely.box(1000, 1000, 3500, 3000)
        laid = lay_runs(two_legs, 1000, "x", 0)
        assert shapely.bounds(polygons(laid.corners)).tolist() == [
            [0, 0, 5000, 1000],
            [0, 1000, 1000, 2000],
            [3500, 1000, 5000, 2000],
            [0, 2000, 1000, 3000],
            [3500, 2000, 5000, 3000],
        ]

    def test_under_a_slanted_wall_a_sheet_is_as_long_as_its_longer_edge(self) -> None:
        wedge = shapely.Polygon([(0, 0), (4000, 0), (0, 2000)])
        laid = lay_runs(wedge, 1200, "x", 200)
        # The wall leaves 4,000 at the foot and 2,000 at 1,000 up.
        assert shapely.bounds(polygons(laid.corners)).tolist() == [
            [0, 0, 4000, 1200],
            [0, 1000, 2000, 2200],
        ]

    @pytest.mark.parametrize(
        ("span", "count"), [(2000, 1), (2000.0005, 1), (2001, 2), (3850, 2), (3851, 3), (50, 1)]
    )
    def test_no_more_sheets_than_reach_across(self, span: float, count: int) -> None:
        assert count_runs(span, 2000, 150) == count

    def test_a_lap_as_wide_as_the_sheet_gets_nowhere(self) -> None:
        with pytest.raises(ValueError, match="lap"):
            lay_runs(ROOM, 150, "x", 150)
