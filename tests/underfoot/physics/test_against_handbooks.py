"""Physics against printed figures that are too coarse, or worked out beside them, to prove 1 %.

What proves more stands in tests/published; these windows only show that nothing is grossly off.
"""

import math

import pytest

from underfoot.physics import conductors, heat
from underfoot.physics.ground import compute_floor_dimension, compute_ground_u_value
from underfoot.physics.heat import resist_layer
from underfoot.physics.materials import find_conductivity

CLAY_W_MK = 1.5

# ISO 11855-2:2021 equation 1, 8.92 dT^1.1, evaluated by hand.
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

# The same, inverted: flux upward, surface in a room of 20 degC; by hand.
SURFACE_C = [
    (50, 24.79),
    (60, 25.66),
    (80, 27.35),
    (100, 29.00),
    (120, 30.62),
    (150, 33.01),
    (175, 34.97),
]

# BS 7671 tables 4D2B and 4D5, one phase, 70 degC PVC: mV per A and m; CONFIRMED B.
DROP_MV_A_M = [(1.0, 44), (1.5, 29), (2.5, 18), (4.0, 11), (6.0, 7.3), (10.0, 4.4), (16.0, 2.8)]

# ISO 13370 equations 2 to 5, P/A in 1/m and U in W/m2/K, with lambda 1.5, walls of 0.3 m and
# surfaces of 0.21 together; worked out by hand.
UNINSULATED = [
    (0.05, 0.126),
    (0.10, 0.219),
    (0.15, 0.299),
    (0.20, 0.370),
    (0.25, 0.435),
    (0.30, 0.495),
    (0.35, 0.551),
    (0.40, 0.603),
    (0.45, 0.651),
    (0.50, 0.698),
    (0.55, 0.741),
    (0.60, 0.783),
    (0.65, 0.822),
    (0.70, 0.859),
    (0.75, 0.895),
    (0.80, 0.929),
    (0.85, 0.962),
    (0.90, 0.993),
    (0.95, 1.023),
    (1.00, 1.051),
]

# IHVE Guide 1977 A3: length and width in m, four exposed edges; CONFIRMED A. Its formula is
# an older one, which ISO 13370 follows within 10 % but for the 3 x 3 m row (-17 %), left out.
HANDBOOK = [
    (150, 60, 0.11),
    (150, 30, 0.18),
    (60, 60, 0.15),
    (60, 30, 0.21),
    (60, 15, 0.32),
    (30, 30, 0.26),
    (30, 15, 0.36),
    (30, 7.5, 0.55),
    (15, 15, 0.45),
    (15, 7.5, 0.62),
    (7.5, 7.5, 0.76),
]


def compute_clay_u_value(area_m2: float, perimeter_m: float, floor_m2k_w: float = 0.0) -> float:
    return compute_ground_u_value(area_m2, perimeter_m * 1e3, floor_m2k_w, ground_w_mk=CLAY_W_MK)


@pytest.mark.parametrize(("rise_k", "output_w_m2"), CURVE_W_M2)
def test_curve(rise_k: float, output_w_m2: float) -> None:
    assert heat.compute_surface_output(rise_k) == pytest.approx(output_w_m2, abs=0.01)


@pytest.mark.parametrize(("up_w_m2", "surface_c"), SURFACE_C)
def test_surface_temperature(up_w_m2: float, surface_c: float) -> None:
    assert 20.0 + heat.compute_surface_rise(up_w_m2) == pytest.approx(surface_c, abs=0.006)


def test_limit_factor() -> None:
    ratio = heat.compute_surface_output(15.0) / heat.compute_surface_output(9.0)
    assert ratio == pytest.approx(1.754, abs=0.0005)


def test_floor_in_btu() -> None:
    # 5 degF = 2.78 K and 10 Btu/h/ft2 = 31.55 W/m2. The column's 2 Btu/h/ft2/degF is 11.4 W/m2/K;
    # the curve has 10 W/m2/K at so small a rise: within 15 %.
    assert heat.compute_surface_output(5 / 1.8) == pytest.approx(31.55, rel=0.15)


@pytest.mark.parametrize(("size_mm2", "drop_mv_a_m"), DROP_MV_A_M)
def test_drop_per_ampere_and_metre(size_mm2: float, drop_mv_a_m: float) -> None:
    # The table is rounded and has 44 for 43.3 and 7.3 for 7.37: within 2 %.
    loop_ohm = conductors.compute_loop_resistance(size_mm2, 1000.0)
    assert loop_ohm * 1e3 == pytest.approx(drop_mv_a_m, rel=0.02)


@pytest.mark.parametrize("ambient_c", range(10, 70, 5))
def test_ambient_factor_against_its_law(ambient_c: float) -> None:
    law = math.sqrt((70.0 - ambient_c) / 40.0)
    assert conductors.find_ambient_factor(ambient_c) == pytest.approx(law, abs=0.0051)


@pytest.mark.parametrize(
    ("thickness", "name", "resistance_m2k_w"),
    [(8, "plywood", 0.0615), (14, "hardwood", 0.0778), (22, "softwood", 0.169)],
)
def test_layer(thickness: float, name: str, resistance_m2k_w: float) -> None:
    resistance = resist_layer(thickness, find_conductivity(name).conductivity_w_mk)
    assert resistance == pytest.approx(resistance_m2k_w, abs=0.0005)


@pytest.mark.parametrize(("ratio_1_m", "u_value_w_m2k"), UNINSULATED)
def test_uninsulated_floor(ratio_1_m: float, u_value_w_m2k: float) -> None:
    assert compute_clay_u_value(1.0, ratio_1_m) == pytest.approx(u_value_w_m2k, abs=0.0006)


@pytest.mark.parametrize(("length_m", "width_m", "u_value_w_m2k"), HANDBOOK)
def test_handbook_floor(length_m: float, width_m: float, u_value_w_m2k: float) -> None:
    computed = compute_clay_u_value(length_m * width_m, 2.0 * (length_m + width_m))
    # The table has two decimals: half of the last, and the stated agreement.
    assert computed == pytest.approx(u_value_w_m2k, abs=0.005 + 0.10 * u_value_w_m2k)


def test_government_ratio() -> None:
    assert compute_clay_u_value(1.0, 0.12) == pytest.approx(0.25, abs=0.005)
    assert compute_clay_u_value(1.0, 0.11) < 0.25


def test_house_perimeter_to_area() -> None:
    dimension_m = compute_floor_dimension(58.89, 33.8e3)
    assert 2.0 / dimension_m == pytest.approx(0.57, abs=0.005)
    assert compute_clay_u_value(58.89, 33.8) == pytest.approx(0.761, abs=0.001)


def test_older_handbook_formula() -> None:
    wall_m, length_m, width_m, ground_w_mk = 0.3, 20.0, 10.0, 1.4
    older = (
        2.0
        * ground_w_mk
        * math.exp(width_m / (2.0 * length_m))
        / (math.pi * width_m / 2.0)
        * math.atanh(0.5 * width_m / (0.5 * width_m + 0.5 * wall_m))
    )
    assert older == pytest.approx(0.482, abs=0.0005)
    assert compute_clay_u_value(200.0, 60.0) == pytest.approx(0.482, rel=0.03)


@pytest.mark.parametrize("ratio_1_m", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_fitted_formula(ratio_1_m: float) -> None:
    fitted = 0.05 + 1.65 * ratio_1_m - 0.6 * ratio_1_m**2
    assert compute_clay_u_value(1.0, ratio_1_m) == pytest.approx(fitted, rel=0.07)


@pytest.mark.parametrize("ratio_1_m", [0.3, 0.5])
def test_insulated_floor(ratio_1_m: float) -> None:
    assert 0.20 <= compute_clay_u_value(1.0, ratio_1_m, 2.5) <= 0.25


def test_change_of_air() -> None:
    assert heat.compute_ventilation(50.0, 0.5, 20.0, -10.0) == pytest.approx(255.0)
