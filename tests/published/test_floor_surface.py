"""What a heated floor gives, and the split of a film's output: ISO 11855-2, EN 1264-2, ISO 6946."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from underfoot.physics import heat

# ISO 11855-2:2021 equation 1, 8.92 dT^1.1, evaluated outside the project; DERIVED.
CURVE_W_M2 = [
    (1, 8.92),
    (2, 19.12),
    (3, 29.87),
    (4, 40.99),
    (5, 52.39),
    (6, 64.02),
    (7, 75.85),
    (8, 87.85),
    (9, 100.01),
    (10, 112.30),
    (11, 124.71),
    (12, 137.23),
    (13, 149.87),
    (14, 162.59),
    (15, 175.41),
]

# The same, inverted: flux upward, surface in a room of 20 degC; DERIVED.
SURFACE_C = [
    (50, 24.79),
    (60, 25.66),
    (80, 27.35),
    (100, 29.00),
    (120, 30.62),
    (150, 33.01),
    (175, 34.97),
]

# ISO 6946:2007 table 2, unventilated air: thickness, direction, m2 K/W; CONFIRMED B.
AIR_LAYERS = [
    (5, "up", 0.11),
    (5, "down", 0.11),
    (7, "up", 0.13),
    (10, "down", 0.15),
    (15, "up", 0.16),
    (15, "level", 0.17),
    (15, "down", 0.17),
    (25, "up", 0.16),
    (25, "level", 0.18),
    (25, "down", 0.19),
    (50, "down", 0.21),
    (100, "down", 0.22),
    (300, "up", 0.16),
    (300, "level", 0.18),
    (300, "down", 0.23),
]


@pytest.mark.outside("ISO 11855-2:2021 equation 1", "DERIVED")
@pytest.mark.parametrize(("rise_k", "output_w_m2"), CURVE_W_M2)
def test_curve(rise_k: float, output_w_m2: float) -> None:
    assert heat.compute_surface_output(rise_k) == pytest.approx(output_w_m2, abs=0.01)


@pytest.mark.outside("ISO 11855-2:2021 equation 1, inverted", "DERIVED")
@pytest.mark.parametrize(("up_w_m2", "surface_c"), SURFACE_C)
def test_surface_temperature(up_w_m2: float, surface_c: float) -> None:
    assert 20.0 + heat.compute_surface_rise(up_w_m2) == pytest.approx(surface_c, abs=0.006)


@pytest.mark.outside(
    "EN 1264-2, limit of an occupied floor: 29 degC in a room of 20", "CONFIRMED B"
)
def test_occupied_floor_limit() -> None:
    assert heat.limit_output(500.0, 29.0, 20.0) == pytest.approx(100.0, rel=0.005)


@pytest.mark.outside("ISO 11855-2:2021 equation A.20, factor (15/9)^1.1 = 1.754", "DERIVED")
def test_limit_factor() -> None:
    ratio = heat.compute_surface_output(15.0) / heat.compute_surface_output(9.0)
    assert ratio == pytest.approx(1.754, abs=0.0005)


@pytest.mark.outside("ISO 11855-2:2021 equation 4, floor cooling 7 W/m2/K", "CONFIRMED A")
def test_cooled_floor() -> None:
    assert heat.compute_surface_output(-3.0) == pytest.approx(-21.0)


@pytest.mark.outside("ISO 11855-2:2021 equation A.30, 1/10.8 = 0.0926 m2 K/W", "CONFIRMED B")
def test_surface_resistance_of_the_split() -> None:
    # No layers above: a room of 20 and 0.0926 above against 0.0926 below shares the output in half.
    split = heat.split_output(100.0, 0.0, 0.0926, 20.0, 20.0)
    assert split.up_w_m2 == pytest.approx(50.0, abs=0.01)


@pytest.mark.outside("linear form against the curve: 29.26 degC at 100 W/m2", "DERIVED")
def test_linear_surface() -> None:
    surface_c = 20.0 + 100.0 / heat.FLOOR_W_M2K
    assert surface_c == pytest.approx(29.26, abs=0.005)


@pytest.mark.outside(
    "trade column 2015: 3000 Btu/h over 20 x 15 ft at 70 degF is 75 degF", "CONFIRMED B"
)
def test_floor_in_btu() -> None:
    # 5 degF = 2.78 K and 10 Btu/h/ft2 = 31.55 W/m2. The column's 2 Btu/h/ft2/degF is 11.4 W/m2/K;
    # the curve has 10 W/m2/K at so small a rise: within 15 %.
    assert heat.compute_surface_output(5 / 1.8) == pytest.approx(31.55, rel=0.15)


@pytest.mark.outside("ISO 6946:2007 table 2", "CONFIRMED B")
@pytest.mark.parametrize(("thickness", "direction", "resistance_m2k_w"), AIR_LAYERS)
def test_air_layer(thickness: float, direction: heat.Direction, resistance_m2k_w: float) -> None:
    assert heat.resist_air_layer(thickness, direction) == pytest.approx(resistance_m2k_w)


@pytest.mark.outside("ISO 6946:2017, surface resistances", "CONFIRMED B")
@pytest.mark.parametrize(
    ("resistance_m2k_w", "expected"),
    [
        (heat.SURFACE_UP_M2K_W, 0.10),
        (heat.SURFACE_LEVEL_M2K_W, 0.13),
        (heat.SURFACE_DOWN_M2K_W, 0.17),
        (heat.SURFACE_OUTSIDE_M2K_W, 0.04),
    ],
)
def test_surface_resistance(resistance_m2k_w: float, expected: float) -> None:
    assert resistance_m2k_w == expected


@pytest.mark.outside("scipy: root of the curve", "LIBRARY")
@pytest.mark.parametrize("up_w_m2", [25.0, 75.9, 100.0, 160.0])
def test_inverse_against_a_root_finder(up_w_m2: float) -> None:
    root = brentq(lambda rise_k: 8.92 * rise_k**1.1 - up_w_m2, 0.0, 40.0)
    assert heat.compute_surface_rise(up_w_m2) == pytest.approx(root, abs=1e-9)


@pytest.mark.outside(
    "ht: free convection over a plate, with grey radiation, emissivity 0.9", "LIBRARY"
)
@pytest.mark.parametrize("surface_c", [26.0, 29.0, 33.0, 35.0])
def test_floor_flux_against_first_principles(surface_c: float) -> None:
    from CoolProp.CoolProp import PropsSI
    from ht.conv_free_immersed import Nu_free_horizontal_plate
    from scipy.constants import g, sigma

    room_c, length_m, emissivity = 20.0, 1.0, 0.9
    film_k = 273.15 + (surface_c + room_c) / 2.0
    density = PropsSI("D", "T", film_k, "P", 101325, "Air")
    viscosity = PropsSI("V", "T", film_k, "P", 101325, "Air")
    prandtl = PropsSI("Prandtl", "T", film_k, "P", 101325, "Air")
    conductivity = PropsSI("L", "T", film_k, "P", 101325, "Air")
    grashof = g * (surface_c - room_c) / film_k * length_m**3 / (viscosity / density) ** 2
    convection = Nu_free_horizontal_plate(prandtl, grashof, buoyancy=True, L=length_m)
    convected_w_m2 = convection * conductivity / length_m * (surface_c - room_c)
    radiated_w_m2 = emissivity * sigma * ((surface_c + 273.15) ** 4 - (room_c + 273.15) ** 4)
    flux_w_m2 = heat.compute_surface_output(surface_c - room_c)
    assert flux_w_m2 == pytest.approx(convected_w_m2 + radiated_w_m2, rel=0.10)


@pytest.mark.outside("numpy: nodal temperatures of film, layer and surface", "LIBRARY")
@pytest.mark.parametrize(
    ("output_w_m2", "above_m2k_w", "below_m2k_w", "beyond_c"),
    [(140.0, 0.14, 1.2, 10.0), (80.0, 0.05, 0.6, -3.0), (200.0, 0.30, 2.5, 20.0)],
)
def test_split_against_nodes(
    output_w_m2: float, above_m2k_w: float, below_m2k_w: float, beyond_c: float
) -> None:
    import numpy as np

    room_c, to_surface, to_room, to_beyond = 20.0, 1 / above_m2k_w, 10.8, 1 / below_m2k_w
    conductances = np.array(
        [[to_surface + to_beyond, -to_surface], [-to_surface, to_surface + to_room]]
    )
    sources = np.array([output_w_m2 + to_beyond * beyond_c, to_room * room_c])
    film_c, surface_c = np.linalg.solve(conductances, sources)
    split = heat.split_output(output_w_m2, above_m2k_w, below_m2k_w, room_c, beyond_c)
    assert split.up_w_m2 == pytest.approx(to_room * (surface_c - room_c), rel=1e-12)
    assert split.down_w_m2 == pytest.approx(to_beyond * (film_c - beyond_c), rel=1e-12)
