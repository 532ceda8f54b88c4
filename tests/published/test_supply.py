"""Power and resistance at the supply's voltage: IEC 60038 and the bands of national supplies."""

from __future__ import annotations

import pytest

from underfoot.physics import electrics


@pytest.mark.outside("IEC 60038: 230 V +/-10 %, power as the square", "CONFIRMED C")
@pytest.mark.parametrize(("supply_v", "share"), [(207.0, 0.81), (253.0, 1.21)])
def test_supply_band(supply_v: float, share: float) -> None:
    assert electrics.scale_power(500.0, 230.0, supply_v) == pytest.approx(500.0 * share)


@pytest.mark.outside("BS 7671 appendix 2: 230 V +10/-6 %", "CONFIRMED B")
@pytest.mark.parametrize(("supply_v", "change"), [(240.0, 0.089), (216.2, -0.116)])
def test_national_supply_band(supply_v: float, change: float) -> None:
    power_w = electrics.scale_power(500.0, 230.0, supply_v)
    assert power_w == pytest.approx(500.0 * (1.0 + change), abs=0.3)


@pytest.mark.outside("R = V squared / P: 500 W at 230 V", "DERIVED")
def test_resistance() -> None:
    assert electrics.compute_resistance(500.0, 230.0) == pytest.approx(105.8)
