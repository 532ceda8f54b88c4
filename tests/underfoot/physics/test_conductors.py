"""Conductors between and beyond the steps of the tables; the tables themselves are in published."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.physics import conductors

sizes_mm2 = st.floats(0.5, 30.0)


def test_loop_resistance() -> None:
    # 2 x 14 m x 7.41 ohm/km = 0.20748 ohm at 20 degC; x (1 + 0.00393 x 50) = 0.24825 at 70.
    assert conductors.compute_loop_resistance(2.5, 14_000.0, temperature_c=20.0) == pytest.approx(
        0.20748
    )
    assert conductors.compute_loop_resistance(2.5, 14_000.0) == pytest.approx(0.24825, abs=1e-5)


@given(sizes_mm2)
def test_flexible_never_has_less_resistance(size_mm2: float) -> None:
    solid = conductors.find_resistance(size_mm2)
    assert conductors.find_resistance(size_mm2, "flexible") > solid


@given(sizes_mm2)
def test_resistance_stays_near_resistivity_over_area(size_mm2: float) -> None:
    # The tables allow for conductors drawn a little thin: up to 8 % from 0.5 mm2 up.
    ideal = 1e3 * conductors.COPPER_OHM_MM2_PER_M / size_mm2
    assert 0.999 * ideal <= conductors.find_resistance(size_mm2) <= 1.08 * ideal


def test_listed_sizes_are_those_of_both_tables() -> None:
    assert conductors.list_sizes() == conductors.list_sizes("flexible")
    assert conductors.list_sizes()[0] == 0.5
    assert conductors.list_sizes()[-1] == 16.0


def test_no_size() -> None:
    with pytest.raises(ValueError, match="above zero"):
        conductors.find_resistance(0.0)


def test_gauge_between_sizes_carries_more_than_the_smaller_and_less_than_the_larger() -> None:
    # 12 AWG is 3.309 mm2, between 2.5 mm2 (27 A by method C) and 4 mm2 (36 A).
    found = conductors.find_capacity(3.309, "C")
    assert (found.least_a, found.most_a, found.basis) == (27.0, 36.0, "between two sizes")


def test_size_above_the_table_carries_at_least_its_largest_and_at_most_in_proportion() -> None:
    # 10 mm2 carries 52 A by method B2; 52 x 16 / 10 = 83.2.
    found = conductors.find_capacity(16.0, "B2")
    assert (found.least_a, found.basis) == (52.0, "above the table")
    assert found.most_a == pytest.approx(83.2)


def test_size_below_the_table_carries_at_most_its_smallest() -> None:
    found = conductors.find_capacity(1.0, "C", 40.0)
    assert (found.least_a, found.basis) == (0.0, "below the table")
    assert found.most_a == pytest.approx(19.5 * 0.87)


@given(sizes_mm2, st.sampled_from(["A1", "A2", "B1", "B2", "C"]))
def test_the_best_case_is_never_below_what_a_size_carries(
    size_mm2: float, method: conductors.Method
) -> None:
    found = conductors.find_capacity(size_mm2, method)
    assert found.least_a <= found.most_a <= conductors.find_best_capacity(size_mm2)


def test_capacity_in_a_warm_place() -> None:
    # Method A1, 1.5 mm2 at 40 degC: 14.5 x 0.87 = 12.615 A.
    found = conductors.find_capacity(1.5, "A1", 40.0)
    assert found.least_a == found.most_a == pytest.approx(12.615)
    assert (found.most_table_a, found.ambient_factor) == (14.5, 0.87)


@given(st.floats(-20.0, 90.0))
def test_ambient_factor_is_on_the_safe_side_of_its_law(ambient_c: float) -> None:
    law = math.sqrt(max(0.0, 70.0 - max(ambient_c, 10.0)) / 40.0)
    # 0.0051 is what the table's rounding to two decimals gives away at its own steps.
    assert 0.0 <= conductors.find_ambient_factor(ambient_c) <= law + 0.0051


@given(st.floats(-20.0, 90.0), st.floats(0.0, 50.0))
def test_warmer_never_carries_more(ambient_c: float, more_k: float) -> None:
    warmer = conductors.find_ambient_factor(ambient_c + more_k)
    assert warmer <= conductors.find_ambient_factor(ambient_c)


@pytest.mark.parametrize(
    ("ambient_c", "factor"),
    [(5.0, 1.22), (30.1, 0.94), (38.0, 0.87), (65.0, math.sqrt(5 / 40)), (70.0, 0.0), (80.0, 0.0)],
)
def test_ambient_between_and_beyond_the_steps(ambient_c: float, factor: float) -> None:
    assert conductors.find_ambient_factor(ambient_c) == pytest.approx(factor)


def test_ratings_around_a_current() -> None:
    assert conductors.find_rating_at_least(10.0) == 10.0
    assert conductors.find_rating_at_least(10.1) == 13.0
    assert conductors.find_rating_at_least(126.0) is None
    assert conductors.find_rating_at_most(19.5) == 16.0
    assert conductors.find_rating_at_most(20.0) == 20.0
    assert conductors.find_rating_at_most(5.0) is None
