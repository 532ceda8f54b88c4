"""The ground below a floor: laws, and the step between the two formulas."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.physics import ground

areas_m2 = st.floats(2.0, 500.0)
edges = st.floats(500.0, 90_000.0)
floors_m2k_w = st.floats(0.0, 6.0)


def test_dimension_by_hand() -> None:
    # 4.2 x 3.1 m with 7.3 m of edge: 13.02 / 3.65 = 3.567 m.
    assert ground.compute_floor_dimension(13.02, 7300.0) == pytest.approx(3.567, abs=0.001)


def test_u_value_by_hand() -> None:
    # B' = 3.567; d_t = 0.3 + 2.0 x (0.17 + 1.0 + 0.04) = 2.72 m, below B':
    # 4 / (11.2062 + 2.72) x ln(11.2062 / 2.72 + 1) = 0.28723 x 1.63321 = 0.46911.
    assert ground.compute_ground_u_value(13.02, 7300.0, 1.0) == pytest.approx(0.4691, abs=0.0002)


def test_u_value_of_a_well_insulated_floor_by_hand() -> None:
    # d_t = 0.3 + 2.0 x (0.17 + 2.0 + 0.04) = 4.72 m, above B' = 3.567:
    # 2 / (0.457 x 3.567 + 4.72) = 2 / 6.350 = 0.31496.
    assert ground.compute_ground_u_value(13.02, 7300.0, 2.0) == pytest.approx(0.3150, abs=0.0001)


@given(areas_m2, edges, floors_m2k_w, st.floats(0.0, 3.0))
def test_insulation_never_raises_the_u_value(
    area_m2: float, edge: float, floor: float, more: float
) -> None:
    better = ground.compute_ground_u_value(area_m2, edge, floor + more)
    # The standard's two formulas meet with a step of some tenths of a percent.
    assert better <= ground.compute_ground_u_value(area_m2, edge, floor) * 1.01


@given(areas_m2, edges, floors_m2k_w, st.floats(1.0, 3.0))
def test_more_edge_loses_more(area_m2: float, edge: float, floor: float, factor: float) -> None:
    longer = ground.compute_ground_u_value(area_m2, edge * factor, floor)
    assert longer >= ground.compute_ground_u_value(area_m2, edge, floor) * 0.99


@given(areas_m2, edges, floors_m2k_w)
def test_ground_adds_resistance(area_m2: float, edge: float, below: float) -> None:
    ground_m2k_w = ground.resist_ground(area_m2, edge, below)
    assert ground_m2k_w > 0.0
    u_value = ground.compute_ground_u_value(area_m2, edge, below, surface_m2k_w=0.0)
    assert 1.0 / (below + ground_m2k_w) == pytest.approx(u_value)


@given(areas_m2, edges, floors_m2k_w)
def test_film_errs_to_the_greater_loss(area_m2: float, edge: float, below: float) -> None:
    from_room = 1.0 / ground.compute_ground_u_value(area_m2, edge, below) - 0.17 - below
    assert ground.resist_ground(area_m2, edge, below) <= from_room * 1.01


def test_floor_without_an_exposed_edge_loses_nothing() -> None:
    assert ground.compute_floor_dimension(20.0, 0.0) == math.inf
    assert ground.compute_ground_u_value(20.0, 0.0, 1.0) == 0.0
    assert ground.resist_ground(20.0, 0.0, 1.0) == math.inf


@pytest.mark.parametrize(("area_m2", "edge"), [(0.0, 1000.0), (-1.0, 1000.0), (20.0, -1.0)])
def test_refused(area_m2: float, edge: float) -> None:
    with pytest.raises(ValueError, match="a floor needs"):
        ground.compute_floor_dimension(area_m2, edge)
