"""Heat through the floor: laws, and floors worked out by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from underfoot.physics import heat

outputs_w_m2 = st.floats(0.0, 300.0)
resistances_m2k_w = st.floats(0.0, 1.0)
below_m2k_w = st.floats(0.05, 10.0)
temperatures_c = st.floats(-20.0, 25.0)


def test_split_by_hand() -> None:
    # Above: 1/10.8 + 0.14 = 0.23259; below 0.90, to 10 degC.
    # up = (140 - 10 / 0.90) / (1 + 0.23259 / 0.90) = 128.889 / 1.258436 = 102.420 W/m2.
    split = heat.split_output(140.0, 0.14, 0.90, 20.0, 10.0)
    assert split.up_w_m2 == pytest.approx(102.420, abs=0.001)
    assert split.down_w_m2 == pytest.approx(37.580, abs=0.001)
    assert split.down_percent == pytest.approx(26.843, abs=0.001)


@given(outputs_w_m2, resistances_m2k_w, below_m2k_w, temperatures_c, temperatures_c)
def test_split_conserves_energy_and_meets_at_one_film(
    output_w_m2: float, above: float, below: float, room_c: float, beyond_c: float
) -> None:
    split = heat.split_output(output_w_m2, above, below, room_c, beyond_c)
    assert split.up_w_m2 + split.down_w_m2 == pytest.approx(output_w_m2, abs=1e-9)
    from_above_c = room_c + split.up_w_m2 * (1.0 / heat.FLOOR_W_M2K + above)
    from_below_c = beyond_c + split.down_w_m2 * below
    assert from_above_c == pytest.approx(from_below_c, abs=1e-6)


@given(outputs_w_m2, resistances_m2k_w, below_m2k_w, st.floats(0.0, 5.0), temperatures_c)
def test_insulation_below_never_lowers_the_share_upward(
    output_w_m2: float, above: float, below: float, more: float, beyond_c: float
) -> None:
    # So long as the film is warmer than what lies below, as with any output it is: room >= beyond.
    thin = heat.split_output(output_w_m2, above, below, 25.0, beyond_c)
    thick = heat.split_output(output_w_m2, above, below + more, 25.0, beyond_c)
    assert thick.up_w_m2 >= thin.up_w_m2 - 1e-9


@given(outputs_w_m2, resistances_m2k_w, st.floats(0.0, 1.0), below_m2k_w, temperatures_c)
def test_covering_never_lowers_the_share_downward(
    output_w_m2: float, above: float, more: float, below: float, beyond_c: float
) -> None:
    # With an output that outweighs what the room would lose by itself, so that heat flows upward.
    output_w_m2 += (25.0 - beyond_c) / below
    bare = heat.split_output(output_w_m2, above, below, 25.0, beyond_c)
    covered = heat.split_output(output_w_m2, above + more, below, 25.0, beyond_c)
    assert covered.down_w_m2 >= bare.down_w_m2 - 1e-9


@given(outputs_w_m2, st.floats(0.1, 100.0), resistances_m2k_w, below_m2k_w, temperatures_c)
def test_more_output_is_a_warmer_floor(
    output_w_m2: float, more: float, above: float, below: float, beyond_c: float
) -> None:
    low, high = (
        heat.compute_temperatures(
            heat.split_output(power_w_m2, above, below, 20.0, beyond_c), above, 20.0
        )
        for power_w_m2 in (output_w_m2, output_w_m2 + more)
    )
    assert high.surface_c > low.surface_c
    assert high.film_c > low.film_c


def test_no_heat_goes_down_where_nothing_lets_it() -> None:
    split = heat.split_output(140.0, 0.14, math.inf, 20.0, 10.0)
    assert (split.up_w_m2, split.down_w_m2, split.down_percent) == (140.0, 0.0, 0.0)


def test_temperatures_by_hand() -> None:
    # 100 W/m2 up through 0.14: surface 29.00 (by the curve), and seen from above the film has
    # 29.00 + 14.00 = 43.00 degC. Seen from below: 20 + 100 / 10.8 + 14.00 = 43.26; that counts.
    # 40 W/m2 down through 6 mm of 0.033 W/m/K (0.1818): the sensor below it has 43.26 - 7.27.
    state = heat.compute_temperatures(
        heat.Split(up_w_m2=100.0, down_w_m2=40.0), 0.14, 20.0, 0.006 / 0.033
    )
    assert state.surface_c == pytest.approx(29.00, abs=0.005)
    assert state.film_c == pytest.approx(43.26, abs=0.005)
    assert state.sensor_c == pytest.approx(35.99, abs=0.005)


def test_film_seen_from_above_is_warmer_where_little_goes_up() -> None:
    # 50 W/m2: on the curve 4.79 K (published value, DERIVED), and 50 / 10.8 = 4.63 K by A.30.
    state = heat.compute_temperatures(heat.Split(up_w_m2=50.0, down_w_m2=10.0), 0.14, 20.0)
    assert state.film_c == pytest.approx(20 + 4.79 + 7.00, abs=0.005)


@given(
    st.floats(40.0, 300.0), resistances_m2k_w, below_m2k_w, st.floats(15.0, 30.0), temperatures_c
)
def test_film_seen_from_below_is_what_lies_beyond_and_the_flux_down(
    output: float, above: float, below: float, room_c: float, beyond_c: float
) -> None:
    split = heat.split_output(output, above, below, room_c, beyond_c)
    film_c = heat.compute_temperatures(split, above, room_c).film_c
    from_above_c = room_c + heat.compute_surface_rise(split.up_w_m2) + split.up_w_m2 * above
    from_below_c = beyond_c + split.down_w_m2 * below
    assert film_c == pytest.approx(max(from_above_c, from_below_c), abs=1e-6)


def test_sensor_that_touches_the_film_feels_the_film() -> None:
    state = heat.compute_temperatures(heat.Split(up_w_m2=100.0, down_w_m2=40.0), 0.14, 20.0)
    assert state.sensor_c == state.film_c


@given(
    st.floats(20.5, 40.0),
    resistances_m2k_w,
    below_m2k_w,
    temperatures_c,
    st.floats(0.0, 0.05),
)
def test_held_surface_is_the_inverse_of_the_split(
    surface_c: float, above: float, below: float, beyond_c: float, to_sensor: float
) -> None:
    held = heat.hold_surface(surface_c, above, below, 20.0, beyond_c, to_sensor)
    split = heat.split_output(held.split.output_w_m2, above, below, 20.0, beyond_c)
    state = heat.compute_temperatures(split, above, 20.0, to_sensor)
    assert state.surface_c == pytest.approx(surface_c, abs=1e-6)
    assert state.film_c == pytest.approx(held.film_c, abs=1e-6)
    assert state.sensor_c == pytest.approx(held.sensor_c, abs=1e-6)


def test_reading_by_hand() -> None:
    # 27 degC in a room of 20: 75.85 W/m2 up. From above the film has 27 + 75.85 x 0.14 = 37.62,
    # from below 20 + 75.85 x (1 / 10.8 + 0.14) = 37.64 degC, and so reads a sensor that touches it.
    held = heat.hold_surface(27.0, 0.14, 0.90, 20.0, 10.0)
    assert held.sensor_c == pytest.approx(37.64, abs=0.005)


@given(st.floats(-10.0, 30.0))
def test_curve_and_inverse(rise_k: float) -> None:
    there_and_back = heat.compute_surface_rise(heat.compute_surface_output(rise_k))
    assert there_and_back == pytest.approx(rise_k, abs=1e-9)


def test_curve_would_hardly_move_the_split() -> None:
    """Holds the split's fixed 10.8 W/m2/K to what the module says that it costs."""
    floors = [
        (output_w_m2, above, below, beyond_c)
        for output_w_m2 in (60.0, 80.0, 140.0, 200.0)
        for above in (0.0, 0.05, 0.15, 0.3)
        for below in (0.3, 0.6, 1.2, 3.0)
        for beyond_c in (-5.0, 0.0, 10.0, 20.0)
        if heat.split_output(output_w_m2, above, below, 20.0, beyond_c).up_w_m2 >= 10.0
    ]
    assert len(floors) > 200  # of 256; the others do not heat their room
    for output_w_m2, above, below, beyond_c in floors:

        def miss(
            up_w_m2: float,
            output_w_m2: float = output_w_m2,
            above: float = above,
            below: float = below,
            beyond_c: float = beyond_c,
        ) -> float:
            film_c = 20.0 + heat.compute_surface_rise(up_w_m2) + up_w_m2 * above
            return up_w_m2 + (film_c - beyond_c) / below - output_w_m2

        split = heat.split_output(output_w_m2, above, below, 20.0, beyond_c)
        assert abs(brentq(miss, 0.0, 400.0) - split.up_w_m2) <= 0.013 * output_w_m2


def test_layer_by_hand() -> None:
    # 100 mm of 1.65 W/m/K.
    assert heat.resist_layer(100.0, 1.65) == pytest.approx(0.060606, abs=1e-6)


def test_air_between_the_steps() -> None:
    # Halfway from 25 mm (0.19) to 50 mm (0.21), and beyond the last step.
    assert heat.resist_air_layer(37.5, "down") == pytest.approx(0.20)
    assert heat.resist_air_layer(600.0, "down") == 0.23
    assert heat.resist_air_layer(0.0, "up") == 0.0


def test_room_loss_by_hand() -> None:
    # 11.2 m2 of 1.4 to -3 degC: 360.64 W; 12 m2 of 0.5 to 10: 60 W; 31.2 m3 at 0.5: 121.992 W.
    glazing_w = heat.compute_transmission(11.2, 1.4, 20.0, -3.0)
    wall_w = heat.compute_transmission(12.0, 0.5, 20.0, 10.0)
    air_w = heat.compute_ventilation(31.2, 0.5, 20.0, -3.0)
    assert heat.add_room_loss([glazing_w, wall_w], air_w) == pytest.approx(542.632)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: heat.resist_layer(10.0, 0.0), "conductivity"),
        (lambda: heat.split_output(100.0, -0.1, 1.0, 20.0, 10.0), "above the film"),
        (lambda: heat.split_output(100.0, 0.1, 0.0, 20.0, 10.0), "below the film"),
        (lambda: heat.hold_surface(27.0, 0.1, math.nan, 20.0, 10.0), "below the film"),
    ],
)
def test_refused(call: object, said: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=said):
        call()
