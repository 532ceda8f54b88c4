"""Rectangles: laid along x, along y and turned; expected corners are drawn by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.physics.rectangles import (
    corners,
    directions,
    ends,
    frames,
    grown,
    polygons,
    turn,
)

LENGTHS = st.floats(1.0, 20_000.0)
PLACES = st.tuples(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))
ANGLES = st.floats(-360.0, 360.0)


def ring(rectangle: np.ndarray) -> set[tuple[float, float]]:
    return {(float(x), float(y)) for x, y in rectangle}


def test_along_x_runs_right_and_along_y_runs_up_from_the_low_left_corner() -> None:
    laid = corners([(60, 60), (60, 60)], [2750, 2750], 500, along_y=[False, True])
    assert ring(laid[0]) == {(60, 60), (2810, 60), (2810, 560), (60, 560)}
    assert ring(laid[1]) == {(60, 60), (560, 60), (560, 2810), (60, 2810)}


def test_a_quarter_turn_is_not_along_y_and_is_exact() -> None:
    laid = corners([(60, 60)] * 4, 2750, 500, angle_deg=[90, 180, 270, -90])
    assert ring(laid[0]) == {(60, 60), (60, 2810), (-440, 2810), (-440, 60)}
    assert ring(laid[1]) == {(60, 60), (-2690, 60), (-2690, -440), (60, -440)}
    assert ring(laid[2]) == {(60, 60), (60, -2690), (560, -2690), (560, 60)}
    assert ring(laid[3]) == ring(laid[2])


def test_an_angle_turns_anticlockwise_about_at() -> None:
    # 3-4-5: cos 0.8, sin 0.6; length 1000, width 500 from (100, 200).
    laid = corners([(100, 200)], 1000, 500, angle_deg=np.degrees(np.arctan2(0.6, 0.8)))
    by_hand = [(100, 200), (900, 800), (600, 1200), (-200, 600)]
    assert laid[0] == pytest.approx(np.array(by_hand), abs=1e-9)


def test_ends_are_the_middles_of_the_short_sides() -> None:
    laid = corners([(0, 0), (0, 0)], 2750, 500, along_y=[False, True])
    start, far = ends(laid)
    assert start.tolist() == [[0, 250], [250, 0]]
    assert far.tolist() == [[2750, 250], [250, 2750]]


def test_no_rectangles_make_no_corners() -> None:
    laid = corners(np.empty((0, 2)), [], [], [], [])
    assert laid.shape == (0, 4, 2)
    assert frames(laid).length.shape == (0,)


@settings(max_examples=50, deadline=None)
@given(PLACES, LENGTHS, LENGTHS, ANGLES, st.booleans())
def test_corners_keep_size_and_run_anticlockwise(
    at: tuple[float, float], length: float, width: float, angle: float, upright: bool
) -> None:
    laid = corners([at], length, width, angle, upright)
    polygon = polygons(laid)[0]
    # Rounding of coordinates up to 1e5 mm: 1.5e-11 a corner, times a side of up to 2e4 mm.
    assert shapely.area(polygon) == pytest.approx(length * width, abs=1e-5, rel=1e-9)
    assert polygon.exterior.is_ccw
    frame = frames(laid)
    assert frame.length[0] == pytest.approx(length, abs=1e-9)
    assert frame.width[0] == pytest.approx(width, abs=1e-9)


@settings(max_examples=50, deadline=None)
@given(ANGLES)
def test_directions_are_unit_vectors(angle: float) -> None:
    assert np.hypot(*directions(angle).T) == pytest.approx(1.0, abs=1e-12)


def test_turning_points_by_quarters_is_exact() -> None:
    assert turn([(3, 1)], (1, 1), 90).tolist() == [[1, 3]]
    assert turn([(3, 1)], (1, 1), 180).tolist() == [[-1, 1]]
    assert turn(np.array([(3.0, 1.0), (1.0, 1.0)]), (1, 1), 270).tolist() == [[1, -1], [1, 1]]


def test_growing_moves_every_side() -> None:
    laid = corners([(0, 0)], 1000, 500)
    assert ring(grown(laid, 5)[0]) == {(-5, -5), (1005, -5), (1005, 505), (-5, 505)}
    assert ring(grown(laid, -5)[0]) == {(5, 5), (995, 5), (995, 495), (5, 495)}
