"""Copper conductors: IEC 60228, IEC 60028, ASTM B258, and tables of voltage drop."""

from __future__ import annotations

import pytest

from underfoot.physics import conductors, network

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

# BS 7671 tables 4D2B and 4D5, one phase, 70 degC PVC: mV per A and m; CONFIRMED B.
DROP_MV_A_M = [(1.0, 44), (1.5, 29), (2.5, 18), (4.0, 11), (6.0, 7.3), (10.0, 4.4), (16.0, 2.8)]

# Gauge, circular mils; CONFIRMED B. One circular mil is pi/4 x (0.0254 mm)^2.
GAUGES = [(14, 4110), (12, 6530), (10, 10380), (8, 16510)]

# NEC chapter 9 table 8, solid uncoated copper at 75 degC: ohm per 1000 ft; CONFIRMED B.
GAUGE_OHM_KFT = [(14, 3.07), (12, 1.93), (10, 1.21), (8, 0.764)]


@pytest.mark.outside("IEC 60228:2004 tables 1 and 2", "CONFIRMED B")
@pytest.mark.parametrize(("size_mm2", "ohm_per_km"), STRANDED)
def test_stranded(size_mm2: float, ohm_per_km: float) -> None:
    assert conductors.find_resistance(size_mm2) == ohm_per_km


@pytest.mark.outside("IEC 60228:2004 table 3", "CONFIRMED B")
@pytest.mark.parametrize(("size_mm2", "ohm_per_km"), FLEXIBLE)
def test_flexible(size_mm2: float, ohm_per_km: float) -> None:
    assert conductors.find_resistance(size_mm2, "flexible") == ohm_per_km


@pytest.mark.outside("IEC 60028: 0.00393 /K and 1/58 ohm mm2/m", "CONFIRMED B")
def test_copper() -> None:
    assert conductors.heat_resistance(1.0, 70.0) == pytest.approx(1.1965)
    # 3.309 mm2 stands in no table, so that its resistance is resistivity / area.
    assert conductors.find_resistance(3.309) == pytest.approx(1e3 / 58.0 / 3.309, rel=1e-4)


@pytest.mark.outside("BS 7671: (230 + 70) / (230 + 20) = 1.20", "CONFIRMED B")
def test_copper_by_another_rule() -> None:
    assert conductors.heat_resistance(1.0, 70.0) == pytest.approx(1.20, rel=0.004)


@pytest.mark.outside("BS 7671 tables 4D2B and 4D5", "CONFIRMED B")
@pytest.mark.parametrize(("size_mm2", "drop_mv_a_m"), DROP_MV_A_M)
def test_drop_per_ampere_and_metre(size_mm2: float, drop_mv_a_m: float) -> None:
    # The table is rounded and has 44 for 43.3 and 7.3 for 7.37: within 2 %.
    loop_ohm = conductors.compute_loop_resistance(size_mm2, 1000.0)
    assert loop_ohm * 1e3 == pytest.approx(drop_mv_a_m, rel=0.02)


@pytest.mark.outside("ASTM B258, areas in circular mils", "CONFIRMED B")
@pytest.mark.parametrize(("gauge", "circular_mils"), GAUGES)
def test_gauge_area(gauge: int, circular_mils: float) -> None:
    area_mm2 = circular_mils * 3.14159265 / 4.0 * 0.0254**2
    assert conductors.compute_gauge_area(gauge) == pytest.approx(area_mm2, rel=0.001)


@pytest.mark.outside("NEC chapter 9 table 8, solid rows", "CONFIRMED B")
@pytest.mark.parametrize(("gauge", "ohm_per_kft"), GAUGE_OHM_KFT)
def test_gauge_resistance(gauge: int, ohm_per_kft: float) -> None:
    # 14 AWG is 2.081 mm2 and so on: no size of IEC 60228 among them.
    at_20_ohm = conductors.find_resistance(conductors.compute_gauge_area(gauge))
    at_75_ohm = conductors.heat_resistance(at_20_ohm, 75.0)
    assert at_75_ohm * 0.3048 == pytest.approx(ohm_per_kft, rel=0.005)


# One strip at the end of a lead: 230 V, loop ohm, load ohm -> V; the divider of two resistances,
# in agreement with a power-flow program within 1e-5 V.
@pytest.mark.outside("divider, 230 R / (R + r)", "DERIVED")
def test_divider() -> None:
    flow = network.solve_network(
        "board",
        230.0,
        [network.Segment("cable", "board", "strip", 0.5)],
        [network.Load("s", "strip", 37.0)],
    )
    assert flow.load_v["s"] == pytest.approx(230.0 * 37.0 / 37.5, rel=1e-12)
