"""Rules on readings at the limits that standards publish, each side of them."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule


def readings(**changed: Any) -> dict[str, Any]:
    test = {
        "circuit": "C1",
        "stage": "laid",
        "insulation_resistance": "210 Mohm",
        "test_voltage": "500 V",
        "against": "earth",
        "thermostat_disconnected": True,
        "rcd_trip_time": "24 ms",
    }
    return {"status": "laid", "tests": [{**test, **changed}]}


@pytest.mark.as_printed("IEC 60364-6:2016, table 6.1: up to 500 V at least 1.0 Mohm", "CONFIRMED A")
@pytest.mark.parametrize(("reading", "found"), [("0.99 Mohm", True), ("1.00 Mohm", False)])
def test_insulation_resistance(reading: str, found: bool) -> None:
    report = check(readings(insulation_resistance=reading))
    assert [f.severity for f in of_rule(report, "insulation-resistance")] == ["error"] * found


@pytest.mark.as_printed(
    "IEC 60364-6:2016, table 6.1: up to 500 V measured at 500 V DC", "CONFIRMED A"
)
@pytest.mark.parametrize(("voltage", "found"), [("250 V", True), ("500 V", False)])
def test_test_voltage(voltage: str, found: bool) -> None:
    report = check(readings(test_voltage=voltage))
    assert [f.severity for f in of_rule(report, "insulation-resistance")] == ["error"] * found


@pytest.mark.as_printed(
    "IEC 60364-6:2016, table 6.1: SELV at least 0.5 Mohm, measured at 250 V DC", "CONFIRMED A"
)
@pytest.mark.parametrize(
    ("reading", "voltage", "found"),
    [
        ("0.49 Mohm", "250 V", True),
        ("0.5 Mohm", "250 V", False),
        ("0.5 Mohm", "249 V", True),
    ],
)
def test_insulation_resistance_of_selv(reading: str, voltage: str, found: bool) -> None:
    change = readings(insulation_resistance=reading, test_voltage=voltage)
    change["supply"] = {
        "voltage": "48 V",
        "system": "SELV",
        "source": {"kind": "safety isolating transformer"},
    }
    change["materials"] = {"films": {"film-80": {"voltage": "48 V"}}}
    assert bool(of_rule(check(change), "insulation-resistance")) == found


@pytest.mark.as_printed(
    "IEC 61008-1: a 30 mA general type trips within 300 ms at its rated current", "CONFIRMED B"
)
@pytest.mark.parametrize(("time", "found"), [("300 ms", False), ("301 ms", True)])
def test_trip_time(time: str, found: bool) -> None:
    assert bool(of_rule(check(readings(rcd_trip_time=time)), "rcd-trip")) == found
