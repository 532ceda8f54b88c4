"""Doors and windows too narrow or too wide to be meant: written in metres, with a digit gone."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule


def odd(opening: dict[str, Any]) -> list[tuple[tuple[str, ...], str, str]]:
    report = check({"rooms": {"room": {"openings": {"gap": opening}}}})
    return [(each.items, each.severity, each.message) for each in of_rule(report, "odd-figure")]


@pytest.mark.parametrize("wide", [0.8, 8, 80, 199])
def test_nobody_goes_through_a_door_so_narrow(wide: float) -> None:
    told = {"kind": "door", "from": [4000, 1000], "to": [4000, 1000 + wide], "threshold": "none"}
    ((items, severity, message),) = odd(told)
    assert (items, severity) == (("gap",), "warning")
    assert message == f"Door gap is {wide:g} mm wide; 200 mm to 15 m is usual."


@pytest.mark.parametrize("wide", [200, 900, 2000])
def test_openings_are_as_wide_as_that(wide: float) -> None:
    window = {"kind": "window", "from": [4000, 500], "to": [4000, 500 + wide], "sill": 0}
    assert odd(window) == []


@pytest.mark.parametrize(("sill", "found"), [(3000, False), (3001, True), ("9 m", True)])
def test_a_sill_that_nobody_looks_over(sill: Any, found: bool) -> None:
    window = {"kind": "window", "from": [4000, 500], "to": [4000, 1500], "sill": sill}
    assert [items for items, *_ in odd(window)] == [("gap", "sill")] * found
