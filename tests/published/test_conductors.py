"""Copper conductors: IEC 60228, IEC 60028, ASTM B258, NEC chapter 9."""

import math

import pytest

from tests.published.agreeing import assert_agrees
from underfoot.physics import conductors

# IEC 60228:2004 tables 1 and 2, ohm/km at 20 degC; CONFIRMED B.
STRANDED = [
    (0.5, 36.0),
    (0.75, 24.5),
    (1.0, 18.1),
    (1.5, 12.1),
    (2.5, 7.41),
    (4.0, 4.61),
    (6.0, 3.08),
    (10.0, 1.83),
    (16.0, 1.15),
]

# IEC 60228:2004 table 3; CONFIRMED B.
FLEXIBLE = [
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
]

# NEC chapter 9 table 8, solid uncoated copper at 75 degC: AWG 14 to 8, circular mils (one is
# pi/4 x (0.0254 mm)^2) and ohm per 1000 ft; CONFIRMED B.
GAUGES = [(4110, 3.07), (6530, 1.93), (10380, 1.21), (16510, 0.764)]


@pytest.mark.as_printed("IEC 60228:2004 tables 1 and 2", "CONFIRMED B")
@pytest.mark.parametrize(("size_mm2", "ohm_per_km"), STRANDED)
def test_stranded(size_mm2: float, ohm_per_km: float) -> None:
    assert conductors.find_resistance(size_mm2) == ohm_per_km


@pytest.mark.as_printed("IEC 60228:2004 table 3", "CONFIRMED B")
@pytest.mark.parametrize(("size_mm2", "ohm_per_km"), FLEXIBLE)
def test_flexible(size_mm2: float, ohm_per_km: float) -> None:
    assert conductors.find_resistance(size_mm2, "flexible") == ohm_per_km


@pytest.mark.as_printed("IEC 60028: 0.00393 /K and 1/58 ohm mm2/m", "CONFIRMED B")
def test_copper() -> None:
    # Heated by 1 K from 20 degC.
    assert conductors.heat_resistance(1.0, 21.0) == pytest.approx(1.00393)
    # 3.309 mm2 stands in no table, so that its resistance is resistivity / area.
    assert conductors.find_resistance(3.309) == pytest.approx(1e3 / 58.0 / 3.309, rel=1e-4)


@pytest.mark.outside("BS 7671: (230 + 70) / (230 + 20) = 1.20", "CONFIRMED B")
def test_copper_by_another_rule() -> None:
    assert_agrees(conductors.heat_resistance(1.0, 70.0), 1.20, within=0.005)


@pytest.mark.outside("NEC chapter 9 table 8, solid rows", "CONFIRMED B")
@pytest.mark.parametrize(("circular_mils", "ohm_per_kft"), GAUGES)
def test_gauge_resistance(circular_mils: float, ohm_per_kft: float) -> None:
    # 14 AWG is 2.081 mm2 and so on: no size of IEC 60228 among them.
    at_20_ohm = conductors.find_resistance(circular_mils * math.pi / 4.0 * 0.0254**2)
    at_75_ohm = conductors.heat_resistance(at_20_ohm, 75.0)
    assert_agrees(at_75_ohm * 0.3048, ohm_per_kft, within=0.005 * ohm_per_kft)
