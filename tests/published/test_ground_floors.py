"""Ground floors: ISO 13370 against governments' and handbooks' tables and older formulas."""

from __future__ import annotations

import math

import pytest

from underfoot.physics.ground import compute_floor_dimension, compute_ground_u_value

CLAY_W_MK = 1.5


def compute_clay_u_value(area_m2: float, perimeter_m: float, floor_m2k_w: float = 0.0) -> float:
    return compute_ground_u_value(area_m2, perimeter_m * 1e3, floor_m2k_w, ground_w_mk=CLAY_W_MK)


# ISO 13370 equations 2 to 5, P/A in 1/m and U in W/m2/K, with lambda 1.5, walls of 0.3 m and
# surfaces of 0.21 together; DERIVED.
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


@pytest.mark.outside("ISO 13370:2017 equations 2 to 5", "DERIVED")
@pytest.mark.parametrize(("ratio_1_m", "u_value_w_m2k"), UNINSULATED)
def test_uninsulated_floor(ratio_1_m: float, u_value_w_m2k: float) -> None:
    assert compute_clay_u_value(1.0, ratio_1_m) == pytest.approx(u_value_w_m2k, abs=0.0006)


@pytest.mark.outside("IHVE Guide 1977 A3, solid floors with four exposed edges", "CONFIRMED A")
@pytest.mark.parametrize(("length_m", "width_m", "u_value_w_m2k"), HANDBOOK)
def test_handbook_floor(length_m: float, width_m: float, u_value_w_m2k: float) -> None:
    computed = compute_clay_u_value(length_m * width_m, 2.0 * (length_m + width_m))
    # The table has two decimals: half of the last, and the stated agreement.
    assert computed == pytest.approx(u_value_w_m2k, abs=0.005 + 0.10 * u_value_w_m2k)


@pytest.mark.outside(
    "Scottish Executive, annex 6.C: P/A below 0.12 meets 0.25 W/m2/K", "CONFIRMED A"
)
def test_government_ratio() -> None:
    assert compute_clay_u_value(1.0, 0.12) == pytest.approx(0.25, abs=0.005)
    assert compute_clay_u_value(1.0, 0.11) < 0.25


@pytest.mark.outside("textbook house: P 33.8 m, A 58.89 m2, P/A 0.57", "CONFIRMED B")
def test_house_perimeter_to_area() -> None:
    dimension_m = compute_floor_dimension(58.89, 33.8e3)
    assert 2.0 / dimension_m == pytest.approx(0.57, abs=0.005)
    assert compute_clay_u_value(58.89, 33.8) == pytest.approx(0.761, abs=0.001)


@pytest.mark.outside("CIBSE A3, floor of 20 x 10 m: U 0.482 (ISO 13370 +2.6 %)", "CONFIRMED B")
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


@pytest.mark.outside("U = 0.05 + 1.65 P/A - 0.6 (P/A)^2, a fit to measured floors", "CONFIRMED B")
@pytest.mark.parametrize("ratio_1_m", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_fitted_formula(ratio_1_m: float) -> None:
    fitted = 0.05 + 1.65 * ratio_1_m - 0.6 * ratio_1_m**2
    assert compute_clay_u_value(1.0, ratio_1_m) == pytest.approx(fitted, rel=0.07)


@pytest.mark.outside("UK Approved Document L1B: 2.5 m2 K/W added gives 0.20 to 0.25", "CONFIRMED B")
@pytest.mark.parametrize("ratio_1_m", [0.3, 0.5])
def test_insulated_floor(ratio_1_m: float) -> None:
    assert 0.20 <= compute_clay_u_value(1.0, ratio_1_m, 2.5) <= 0.25
