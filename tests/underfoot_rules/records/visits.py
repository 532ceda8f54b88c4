"""Tests on site, as plans tell of them, and what rules say of them."""

from typing import Any

from tests.underfoot_rules.plans import check, of_rule
from underfoot.checking.report import PlanReport

# Seven strips of 110 W at 230 V: 480.9 ohm each, 68.7 ohm side by side.
NAMES = [f"A{number}" for number in range(1, 8)]
EVEN = dict.fromkeys(NAMES, "481 ohm")
RIGHT = {
    "circuit": "C1",
    "stage": "laid",
    "date": "2026-09-20",
    "load_resistance": "68.714 ohm",  # 481 / 7
    "strips": EVEN,
    "insulation_resistance": "210 Mohm",
    "test_voltage": "500 V",
    "against": "earth",
    "thermostat_disconnected": True,
    "rcd_trip_time": "24 ms",
}


def visit(stage: str = "laid", **change: Any) -> dict[str, Any]:
    """One test of circuit C1; None takes a reading out."""
    return {
        key: value
        for key, value in {**RIGHT, "stage": stage, **change}.items()
        if value is not None
    }


def report(*tests: dict[str, Any], status: str = "laid", **change: Any) -> PlanReport:
    handover = {"diagram": True, "certificate": "signed", "left_with_customer": True}
    told = {"handover": handover} if status == "handed over" else {}
    return check({"status": status, "tests": list(tests), **told, **change})


def found(rule: str, *tests: dict[str, Any], status: str = "laid") -> list[tuple[Any, ...]]:
    return [(f.severity, f.items) for f in of_rule(report(*tests, status=status), rule)]
