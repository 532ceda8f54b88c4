"""What is advised against a voltage drop clears it, and the next smaller size would not."""

import re
from typing import Any

import pytest

from tests.there import there
from tests.underfoot_rules.plans import check

# IEC 60228 lists these sizes (mm2).
SIZES = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0)


def plan(cable_m: float, cable: float = 2.5, leads: float = 1.5) -> dict[str, Any]:
    return {
        "circuits.C1.cable": {"size": f"{cable:g} mm2", "length": f"{cable_m:g} m"},
        "rooms.room.leads.W1.size": f"{leads:g} mm2",
    }


def remedy(change: dict[str, Any], most: float) -> str | None:
    report = check(change, limits={"voltage-drop": {"maximum": most}})
    return next((f.remedy for f in report.findings if f.rule == "voltage-drop"), None)


def smaller(size: float) -> float:
    return SIZES[SIZES.index(size) - 1]


@pytest.mark.parametrize("cable_m", [250, 300, 400, 600, 900])
def test_the_cable_advised_is_the_smallest_that_will_do(cable_m: float) -> None:
    said = there(remedy(plan(cable_m), 5.0))
    found = re.match(r"A cable of ([\d.]+) mm² would do", said)
    assert found, said
    size = float(found[1])
    assert size > 2.5
    assert remedy(plan(cable_m, cable=size), 5.0) is None
    assert remedy(plan(cable_m, cable=smaller(size)), 5.0) is not None


@pytest.mark.parametrize("most", [0.12, 0.1, 0.08, 0.05])
def test_the_leads_advised_are_the_smallest_that_will_do(most: float) -> None:
    said = there(remedy(plan(1, cable=10.0), most))
    found = re.match(r"Leads of ([\d.]+) mm²(?: and a cable of ([\d.]+) mm²)? would do", said)
    assert found, said
    leads, cable = float(found[1]), float(found[2] or 10.0)
    assert leads > 1.5
    assert remedy(plan(1, cable, leads), most) is None
    # No cable that is advised makes leads of the next smaller size do.
    assert all(remedy(plan(1, size, smaller(leads)), most) is not None for size in SIZES)


def test_where_no_size_will_do_the_strips_are_divided() -> None:
    said = remedy(plan(1000), 0.01)
    assert said == "Divide the strips over more circuits, each with a cable of its own."
