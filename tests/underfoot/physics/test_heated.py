"""The heated floor against hand sums, morphology and a raster of cell centres."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.physics.heated import heated_floor, joined
from underfoot.physics.rectangles import corners, polygons, turn


def strips(*places: tuple[float, float], length: float = 2750.0) -> np.ndarray:
    return corners(list(places), length, 500, along_y=True)


def test_butted_strips_are_one_floor() -> None:
    assert heated_floor(strips((0, 0), (500, 0), (1000, 0))).equals(shapely.box(0, 0, 1500, 2750))


@pytest.mark.parametrize(("gap", "parts"), [(0.001, 1), (5, 1), (10, 1), (10.01, 2), (250, 2)])
def test_gaps_up_to_ten_millimetres_are_closed(gap: float, parts: int) -> None:
    floor = heated_floor(strips((0, 0), (500 + gap, 0)))
    assert len(shapely.get_parts(floor)) == parts
    closed = gap if parts == 1 else 0
    assert shapely.area(floor) == pytest.approx((1000 + closed) * 2750, abs=1e-6)


def test_only_the_span_that_faces_is_closed() -> None:
    floor = heated_floor(strips((0, 0), (505, 2000)))
    # By hand: two strips and a gap of 5 mm over 750 mm.
    assert shapely.area(floor) == pytest.approx(2 * 500 * 2750 + 5 * 750)
    assert floor.geom_type == "Polygon"


def test_the_crossing_of_gaps_is_closed_too() -> None:
    four = strips((0, 0), (505, 0), (0, 2755), (505, 2755))
    assert heated_floor(four).equals(shapely.box(0, 0, 1005, 5505))
    brick = strips((0, 0), (505, 0), (250, 2755))
    floor = heated_floor(brick)
    assert not floor.interiors
    # By hand: three strips, the upright gap of 5 x 2,750 and the level one of 5 x 505.
    assert shapely.area(floor) == pytest.approx(3 * 500 * 2750 + 5 * 2750 + 5 * 500)


def test_ends_and_strips_at_right_angles_are_butted_as_well() -> None:
    laid = corners([(0, 0), (508, 0)], [2750, 2000], 500, along_y=[True, False])
    assert shapely.area(heated_floor(laid)) == 500 * 2750 + 2000 * 500 + 8 * 500


def test_corner_to_corner_stays_open() -> None:
    assert len(shapely.get_parts(heated_floor(strips((0, 0), (505, 2755))))) == 2


def test_nothing_heats_nothing() -> None:
    assert heated_floor(np.empty((0, 4, 2))).is_empty


@settings(max_examples=50, deadline=None)
@given(st.floats(-180, 180), st.integers(2, 9), st.floats(0, 10))
def test_turned_rows_have_no_slits(angle: float, count: int, gap: float) -> None:
    laid = strips(*[(index * (500 + gap), 0) for index in range(count)])
    floor = heated_floor(turn(laid, (37, 91), angle))
    whole = turn([(0, 0), (count * 500 + (count - 1) * gap, 2750)], (37, 91), angle)
    assert floor.geom_type == "Polygon"
    assert not floor.interiors
    assert shapely.area(floor) == pytest.approx((count * (500 + gap) - gap) * 2750, rel=1e-9)
    for corner in whole:
        assert shapely.distance(floor.exterior, shapely.Point(corner)) < 1e-6


def test_a_row_turned_against_another_is_joined_in_its_own_frame() -> None:
    upright = strips((0, 0), (505, 0))
    slanted = turn(strips((3000, 0), (3505, 0)), (3000, 0), 20)
    floor = heated_floor(np.concatenate((upright, slanted)))
    assert shapely.area(floor) == pytest.approx(2 * 1005 * 2750)
    assert len(shapely.get_parts(floor)) == 2


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 100_000), st.integers(1, 14))
def test_agrees_with_a_raster_of_cell_centres(seed: int, count: int) -> None:
    """Scattered strips on a grid of 25 mm; no gap is narrower, so nothing is closed."""
    draw = np.random.default_rng(seed)
    laid = corners(
        draw.integers(0, 80, (count, 2)) * 25,
        draw.integers(4, 60, count) * 25,
        draw.integers(8, 21, count) * 25,
        along_y=draw.random(count) < 0.5,
    )
    centre = np.arange(0, 4000, 25) + 12.5
    x, y = np.meshgrid(centre, centre)
    low, high = laid.min(axis=1), laid.max(axis=1)
    covered = np.zeros(x.shape, bool)
    for (x0, y0), (x1, y1) in zip(low, high, strict=True):
        covered |= (x > x0) & (x < x1) & (y > y0) & (y < y1)
    floor = heated_floor(laid)
    assert (shapely.contains_xy(floor, x, y) == covered).all()
    assert shapely.area(floor) == covered.sum() * 625


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 100_000), st.integers(1, 12), st.sampled_from((0, 30, 45, 90)))
def test_joining_without_closing_is_the_union(seed: int, count: int, angle: int) -> None:
    draw = np.random.default_rng(seed)
    laid = corners(
        draw.integers(0, 3000, (count, 2)),
        draw.integers(1, 12, count) * 250,
        draw.choice((300, 500), count),
        draw.choice((0, angle), count),
    )
    plain = shapely.union_all(polygons(laid))
    assert shapely.area(shapely.symmetric_difference(joined(laid), plain)) < 1e-3


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 100_000), st.integers(2, 12))
def test_closing_never_adds_more_than_the_floor_within_reach(seed: int, count: int) -> None:
    """Morphological closing by squares of 10 mm holds every gap that two sides face across."""
    draw = np.random.default_rng(seed)
    laid = strips(*(draw.integers(0, 40, (count, 2)) * (168.0, 917.0)).tolist())
    plain = shapely.union_all(polygons(laid))
    grown = plain.buffer(5.001, join_style="mitre").buffer(-5.001, join_style="mitre")
    floor = heated_floor(laid)
    assert shapely.covers(floor.buffer(1e-6), plain)
    assert shapely.area(shapely.difference(floor, grown)) < 1.0


def test_a_hall_of_ten_thousand_strips_is_one_rectangle() -> None:
    place = np.arange(10_000)
    laid = corners(
        np.stack((place % 100 * 505.0, place // 100 * 2755.0), axis=1), 2750, 500, along_y=True
    )
    assert heated_floor(laid).equals(shapely.box(0, 0, 50_495, 275_495))
