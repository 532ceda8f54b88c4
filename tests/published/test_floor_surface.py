"""What a heated floor gives, and surface and air layers: EN 1264-2, ISO 11855-2, ISO 6946."""

import pytest

from tests.published.agreeing import assert_agrees
from underfoot.physics import heat

# ISO 6946:2007 table 2, unventilated air: thickness, then up, level and down, m2 K/W; CONFIRMED B.
PRINTED = {
    5: (0.11, 0.11, 0.11), 7: (0.13, 0.13, 0.13), 10: (0.15, 0.15, 0.15), 15: (0.16, 0.17, 0.17),
    25: (0.16, 0.18, 0.19), 50: (0.16, 0.18, 0.21), 100: (0.16, 0.18, 0.22),
    300: (0.16, 0.18, 0.23),
}  # fmt: skip
AIR_LAYERS = [
    (thickness, direction, resistance_m2k_w)
    for thickness, row in PRINTED.items()
    for direction, resistance_m2k_w in zip(("up", "level", "down"), row, strict=True)
]


@pytest.mark.outside(
    "EN 1264-2, limit of an occupied floor: 29 degC in a room of 20", "CONFIRMED B"
)
def test_occupied_floor_limit() -> None:
    assert_agrees(heat.compute_surface_output(29.0 - 20.0), 100.0, within=0.5)


@pytest.mark.as_printed("ISO 11855-2:2021 equation 4, floor cooling 7 W/m2/K", "CONFIRMED A")
def test_cooled_floor() -> None:
    assert heat.compute_surface_output(-3.0) == pytest.approx(-21.0)


@pytest.mark.as_printed("ISO 11855-2:2021 equation A.30, 1/10.8 = 0.0926 m2 K/W", "CONFIRMED B")
def test_surface_resistance_of_the_split() -> None:
    # No layers above: a room of 20 and 0.0926 above against 0.0926 below shares the output in half.
    split = heat.split_output(100.0, 0.0, 0.0926, 20.0, 20.0)
    assert split.up_w_m2 == pytest.approx(50.0, abs=0.01)


@pytest.mark.as_printed("ISO 6946:2007 table 2", "CONFIRMED B")
@pytest.mark.parametrize(("thickness", "direction", "resistance_m2k_w"), AIR_LAYERS)
def test_air_layer(thickness: float, direction: heat.Direction, resistance_m2k_w: float) -> None:
    assert heat.resist_air_layer(thickness, direction) == pytest.approx(resistance_m2k_w)


@pytest.mark.as_printed("ISO 6946:2017, surface resistances", "CONFIRMED B")
@pytest.mark.parametrize(
    ("resistance_m2k_w", "expected"),
    [
        (heat.SURFACE_DOWN_M2K_W, 0.17),
        (heat.SURFACE_OUTSIDE_M2K_W, 0.04),
    ],
)
def test_surface_resistance(resistance_m2k_w: float, expected: float) -> None:
    assert resistance_m2k_w == expected
