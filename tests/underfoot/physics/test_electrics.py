"""Film as a resistance; expected numbers are worked out by hand beside them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.physics import electrics

powers_w = st.floats(1.0, 5_000.0)
volts = st.floats(12.0, 400.0)


def test_power_by_area_and_by_length() -> None:
    # 0.5 m x 2.75 m = 1.375 m2 at 140 W/m2; the same film is 70 W/m over 2.75 m.
    assert electrics.compute_power_by_area(140.0, 500.0, 2750.0) == pytest.approx(192.5)
    assert electrics.compute_power_by_length(70.0, 2750.0) == pytest.approx(192.5)


@pytest.mark.parametrize(
    ("supply_v", "power_w"),
    [
        # 500 W at 230 V: (207 / 230)^2 = 0.81, (253 / 230)^2 = 1.21, (240 / 230)^2 = 1.0888 and
        # (216.2 / 230)^2 = 0.8836.
        (207.0, 405.0),
        (253.0, 605.0),
        (240.0, 544.42),
        (216.2, 441.8),
    ],
)
def test_power_at_another_voltage(supply_v: float, power_w: float) -> None:
    assert electrics.scale_power(500.0, 230.0, supply_v) == pytest.approx(power_w, abs=0.01)


def test_resistance() -> None:
    # 230 V squared over 500 W.
    assert electrics.compute_resistance(500.0, 230.0) == pytest.approx(105.8)


def test_current() -> None:
    # 1150 W at 230 V is 5 A; at 253 V, a tenth more, 5.5 A.
    assert electrics.compute_current(1150.0, 230.0, 230.0) == pytest.approx(5.0)
    assert electrics.compute_current(1150.0, 230.0, 253.0) == pytest.approx(5.5)


@given(rated_w=powers_w, rated_v=volts, supply_v=volts)
def test_power_current_and_resistance_agree(
    rated_w: float, rated_v: float, supply_v: float
) -> None:
    current_a = electrics.compute_current(rated_w, rated_v, supply_v)
    power_w = electrics.scale_power(rated_w, rated_v, supply_v)
    resistance_ohm = electrics.compute_resistance(rated_w, rated_v)
    assert power_w == pytest.approx(current_a * supply_v)
    assert supply_v == pytest.approx(current_a * resistance_ohm)


@given(rated_w=powers_w, rated_v=volts, factor=st.floats(0.5, 2.0))
def test_power_goes_with_the_square_of_the_voltage(
    rated_w: float, rated_v: float, factor: float
) -> None:
    scaled_w = electrics.scale_power(rated_w, rated_v, rated_v * factor)
    assert scaled_w == pytest.approx(rated_w * factor**2)


@given(st.lists(powers_w, min_size=1, max_size=12), volts)
def test_parallel_strips_add_their_powers(strips_w: list[float], rated_v: float) -> None:
    joined_ohm = electrics.join_parallel(
        electrics.compute_resistance(power_w, rated_v) for power_w in strips_w
    )
    assert rated_v**2 / joined_ohm == pytest.approx(sum(strips_w))


def test_nothing_in_parallel_is_an_open_circuit() -> None:
    assert electrics.join_parallel([]) == math.inf


def test_makers_tolerance() -> None:
    # 400 W -10/+5 % is 360 to 420 W; 230 V: 52900 / 420 = 125.95, 52900 / 360 = 146.94 ohm.
    band = electrics.allow_power(400.0, (-10.0, 5.0))
    assert (band.least_w, band.most_w) == pytest.approx((360.0, 420.0))
    allowed = electrics.allow_resistance(band, 230.0)
    assert (allowed.least_ohm, allowed.most_ohm) == pytest.approx((125.952, 146.944), abs=0.001)


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


@given(st.lists(powers_w, min_size=1, max_size=12))
def test_bands_add(strips_w: list[float]) -> None:
    whole = electrics.add_bands(electrics.allow_power(power_w, (-10, 5)) for power_w in strips_w)
    assert whole.least_w == pytest.approx(0.9 * sum(strips_w))
    assert whole.most_w == pytest.approx(1.05 * sum(strips_w))


def test_size_current() -> None:
    assert electrics.size_current([4.0, 6.0]) == 10.0
    assert electrics.size_current([4.0, 6.0], 125.0) == 12.5


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: electrics.scale_power(100.0, 0.0, 230.0), "rated voltage"),
        (lambda: electrics.compute_current(100.0, -230.0, 230.0), "rated voltage"),
        (lambda: electrics.compute_resistance(0.0, 230.0), "rated power"),
        (lambda: electrics.join_parallel([10.0, 0.0]), "resistance"),
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
