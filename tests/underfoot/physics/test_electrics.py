"""Film as a resistance; expected numbers are worked out by hand beside them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.physics import electrics

powers_w = st.floats(1.0, 5_000.0)
volts = st.floats(12.0, 400.0)


def test_resistance() -> None:
    # 230 V squared over 500 W.
    assert electrics.compute_resistance(500.0, 230.0) == pytest.approx(105.8)


def test_current() -> None:
    # 1150 W at 230 V is 5 A; at 253 V, a tenth more, 5.5 A.
    assert electrics.compute_current(1150.0, 230.0, 230.0) == pytest.approx(5.0)
    assert electrics.compute_current(1150.0, 230.0, 253.0) == pytest.approx(5.5)


@given(rated_w=powers_w, rated_v=volts, supply_v=volts)
def test_current_and_resistance_agree(rated_w: float, rated_v: float, supply_v: float) -> None:
    current_a = electrics.compute_current(rated_w, rated_v, supply_v)
    resistance_ohm = electrics.compute_resistance(rated_w, rated_v)
    assert supply_v == pytest.approx(current_a * resistance_ohm)


def test_makers_tolerance() -> None:
    # 400 W -10/+5 % is 360 to 420 W.
    band = electrics.allow_power(400.0, (-10.0, 5.0))
    assert (band.least_w, band.most_w) == pytest.approx((360.0, 420.0))


@given(powers_w)
def test_band_without_a_maker_holds_the_rating_and_is_named_where_it_steps(rated_w: float) -> None:
    band = electrics.allow_power(rated_w)
    assert 0.0 < band.least_w < rated_w < band.most_w
    # The widest of its three parts is a fifth either way.
    assert band.least_w >= 0.8 * rated_w
    assert band.most_w <= 1.2 * rated_w


@given(st.floats(25.1, 200.0))
def test_band_of_a_middling_strip_is_as_wide_either_way(rated_w: float) -> None:
    # The figures of the table are from memory and are not expected here, only its shape.
    band = electrics.allow_power(rated_w)
    assert rated_w - band.least_w == pytest.approx(band.most_w - rated_w)


@given(st.floats(200.1, 5_000.0))
def test_band_of_a_large_unit_is_narrower_upward(rated_w: float) -> None:
    band, middling = electrics.allow_power(rated_w), electrics.allow_power(200.0)
    assert band.most_w - rated_w <= rated_w - band.least_w + 1e-9
    assert band.least_w / rated_w == pytest.approx(middling.least_w / 200.0)
    assert band.most_w >= middling.most_w


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: electrics.compute_current(100.0, -230.0, 230.0), "rated voltage"),
        (lambda: electrics.compute_resistance(0.0, 230.0), "rated power"),
        (lambda: electrics.allow_power(100.0, (-100.0, 5.0)), "leaves no power"),
        (lambda: electrics.allow_power(100.0, (5.0, -5.0)), "leaves no power"),
        (lambda: electrics.allow_power(math.nan), "rated power"),
    ],
)
def test_refused(call: object, said: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=said):
        call()


def test_a_tolerance_without_width_is_one() -> None:
    band = electrics.allow_power(100.0, (2.0, 2.0))
    assert (band.least_w, band.most_w) == pytest.approx((102.0, 102.0))
