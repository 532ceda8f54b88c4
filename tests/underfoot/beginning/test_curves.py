"""Arcs as corners: on the floor's side, and as near as is said."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.beginning.curves import Arc, Side, bulge, flatten
from underfoot.beginning.found import CannotBeginError, area_of

TINY = 1e-6


def circle(radius: float, sweep: float = 2 * math.pi) -> Arc:
    return Arc((0.0, 0.0), (radius, 0.0), (0.0, radius), 0.0, sweep)


def test_a_bulge_of_one_is_half_a_circle() -> None:
    # From (0, 0) to (2, 0) anticlockwise: by (1, -1).
    arc = bulge((0.0, 0.0), (2.0, 0.0), 1.0)
    assert arc.sweep == pytest.approx(math.pi)
    assert arc.at(arc.begin + arc.sweep / 2) == pytest.approx((1.0, -1.0))
    assert arc.end == pytest.approx((2.0, 0.0))


def test_a_bulge_below_nought_runs_clockwise() -> None:
    # tan(90 deg / 4) is a quarter of a circle: round (1, -1) from (0, 0) by (1 - ..., ...) up.
    arc = bulge((0.0, 0.0), (2.0, 0.0), -math.tan(math.pi / 8))
    assert arc.middle == pytest.approx((1.0, -1.0))
    assert arc.at(arc.begin + arc.sweep / 2) == pytest.approx((1.0, math.sqrt(2) - 1))


@pytest.mark.parametrize("sweep", [2 * math.pi, -2 * math.pi])
def test_a_round_room_is_drawn_within_its_wall(sweep: float) -> None:
    corners = flatten([circle(1000.0, sweep)], floor_inside=True, error=2.0)
    assert all(math.hypot(*corner) <= 1000.0 + TINY for corner in corners)
    nearest = min(shapely.LinearRing(corners).distance(shapely.Point(0, 0)), 1000.0)
    assert 998.0 <= nearest < 1000.0
    # No more corners than are needed: with one fewer, sides would end 2 mm and more off.
    angle = math.pi / (len(corners) - 1)
    assert 1000.0 * (1 / math.cos(angle) - 1) > 2.0


@pytest.mark.parametrize("sweep", [2 * math.pi, -2 * math.pi])
def test_a_round_column_is_drawn_without_its_face(sweep: float) -> None:
    corners = flatten([circle(1000.0, sweep)], floor_inside=False, error=2.0)
    ring = shapely.LinearRing(corners)
    assert ring.distance(shapely.Point(0, 0)) >= 1000.0 - TINY
    assert max(math.hypot(*corner) for corner in corners) <= 1002.0 + TINY


@pytest.mark.parametrize(("bulging", "side"), [(0.4, 1), (-0.4, -1)])
def test_a_bay_and_a_round_pier_both_leave_the_floor_free(bulging: float, side: int) -> None:
    # A room of 4 m by 3 m whose right wall swells out by 0.4 * 1.5 m, or as far into it.
    corners = [(0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0)]
    pieces: list[Side | Arc] = [
        Side(corners[0], corners[1]),
        bulge(corners[1], corners[2], bulging),
        Side(corners[2], corners[3]),
        Side(corners[3], corners[0]),
    ]
    drawn = shapely.Polygon(flatten(pieces, floor_inside=True, error=2.0))
    fine = shapely.Polygon(flatten(pieces, floor_inside=True, error=0.001))
    assert drawn.difference(fine.buffer(0.01)).is_empty
    assert fine.difference(drawn.buffer(2.0 + 0.01)).is_empty
    # A segment of a circle with rise h and chord c: r = (c2/4 + h2) / 2h, area r2 (a - sin a) / 2.
    radius = (1500.0**2 + 600.0**2) / 1200.0
    angle = 2 * math.asin(1500.0 / radius)
    swell = radius**2 * (angle - math.sin(angle)) / 2
    assert fine.area == pytest.approx(12e6 + side * swell, rel=1e-6)
    # The way round makes no difference.
    back = [_turned(piece) for piece in reversed(pieces)]
    assert shapely.Polygon(flatten(back, floor_inside=True, error=2.0)).area == pytest.approx(
        drawn.area
    )


def _turned(piece: Side | Arc) -> Side | Arc:
    if isinstance(piece, Side):
        return Side(piece.end, piece.start)
    return Arc(piece.middle, piece.u, piece.v, piece.begin + piece.sweep, -piece.sweep)


@settings(max_examples=40)
@given(
    st.tuples(*[st.floats(-3000, 3000)] * 4).filter(lambda e: abs(e[0] * e[3] - e[1] * e[2]) > 1e4),
    st.booleans(),
    st.floats(0.5, 20),
)
def test_stretched_circles_keep_their_side(
    axes: tuple[float, ...], floor_inside: bool, error: float
) -> None:
    arc = Arc((0.0, 0.0), (axes[0], axes[1]), (axes[2], axes[3]), 0.3, 2 * math.pi)
    corners = flatten([arc], floor_inside=floor_inside, error=error)
    # Turned back into a circle of 1, a chord stays within and a side that touches it without.
    (a, c), (b, d) = arc.u, arc.v
    round_again = [((d * x - b * y) / (a * d - b * c), (a * y - c * x) / (a * d - b * c))
                   for x, y in corners]  # fmt: skip
    ring = shapely.LinearRing(round_again)
    if floor_inside:
        assert all(math.hypot(*corner) < 1 + 1e-9 for corner in round_again)
    else:
        assert ring.distance(shapely.Point(0, 0)) > 1 - 1e-9
    drawn = shapely.LinearRing(corners)
    on_it = [arc.at(step * math.pi / 60) for step in range(120)]
    assert all(drawn.distance(shapely.Point(at)) < error + 1e-6 for at in on_it)


def test_a_thin_pipe_is_four_sided_at_least() -> None:
    # Half a right angle to either side of where each side touches it: a square round it.
    corners = flatten([circle(10.0)], floor_inside=False, error=20.0)
    assert shapely.Polygon(corners).area == pytest.approx(20.0**2)
    assert len(flatten([circle(10.0)], floor_inside=True, error=20.0)) == 4


def test_more_corners_than_can_be_are_refused() -> None:
    with pytest.raises(CannotBeginError, match=r"more than 200,000 corners"):
        flatten([circle(1e9)] * 2, floor_inside=True, error=0.0005)


def test_an_arc_without_radius_is_a_point() -> None:
    corners = flatten(
        [Side((0, 0), (1000, 0)), Side((1000, 0), (0, 1000)), Arc((0, 1000), (0, 0), (0, 0), 0, 6)],
        floor_inside=True,
    )
    assert area_of(corners) == pytest.approx(500_000)
