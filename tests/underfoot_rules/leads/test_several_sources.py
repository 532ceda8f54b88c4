"""Of several heat sources each keeps its own distance; nails are looked for under any conduit."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule

ROOM = "rooms.room"


def source(x: float, kind: str, clearance: float | None = None) -> dict[str, Any]:
    """Stand a source right of the lead, which comes down the left wall at x = 30, 3 mm wide."""
    told = {"at": [x, 1000], "size": [100, 100], "kind": kind}
    return told if clearance is None else {**told, "clearance": clearance}


@pytest.mark.parametrize(
    ("stove", "oven", "found"),
    [
        # 300 mm to the stove, whatever the oven's maker asks for; 100 or 400 mm to the oven.
        (320, 640, {"stove"}),
        (340, 640, set()),
        (340, 120, {"oven"}),
        (320, 120, {"stove", "oven"}),
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_each_keeps_its_own_distance(
    stove: float, oven: float, found: set[str], turned: bool
) -> None:
    fixtures = {"stove": source(stove, "heat source"), "oven": source(oven, "floor-mounted", 100)}
    if turned:
        fixtures = dict(reversed(fixtures.items()))
    said = of_rule(check({f"{ROOM}.fixtures": fixtures}), "lead-near-heat")
    assert {each.items[1] for each in said} == found


@pytest.mark.parametrize(
    "route",
    [["junction-box"], ["junction-box", [400, 1500]], ["junction-box", [20, 1400], [400, 1400]]],
)
def test_a_conduit_under_nails_is_found_however_it_is_drawn(route: list[Any]) -> None:
    """Straight from the box to the sensor it has two places, with bends more; the box is at it."""
    border = {"covering": "border", "over": [[0, 0], [60, 0], [60, 3000], [0, 3000]]}
    change = {
        "materials.coverings.border": {"kind": "engineered wood", "fixing": "nailed"},
        f"{ROOM}.covering": None,
        f"{ROOM}.coverings": [border, {"covering": "oak-14"}],
        f"{ROOM}.sensor.route": route,
    }
    items = {each.items for each in of_rule(check(change), "lead-under-nails")}
    assert items == {("sensor", "border"), ("W1", "border")}
