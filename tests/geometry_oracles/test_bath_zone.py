"""Boxes and thermostats near baths and showers, on random bathrooms.

Distances against every part of the fixture's edge to 1e-6 mm, and against a raster of it to a cell.
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.geometry_oracles.clipping import grow, holds, unite
from tests.geometry_oracles.raster import cells_over, closed, distances_to
from tests.geometry_oracles.rooms import fixture_corners
from tests.underfoot_rules.plans import check, of_rule

pytestmark = pytest.mark.oracle

Data = dict[str, Any]
# 701.30: zone 2 reaches 600 mm, an open shower's zone 1 reaches 1200 mm, up to 2250 mm.
ZONE_2, OPEN_SHOWER, TOP = 600.0, 1200.0, 2250.0
CELL = 10.0


def _spot(draw: st.DrawFn) -> list[float]:
    return [float(draw(st.integers(0, 3000))), float(draw(st.integers(0, 2500)))]


@st.composite
def bathrooms(draw: st.DrawFn) -> Data:
    """Draw a bathroom of 3 x 2.5 m with up to three fixtures, a box and a thermostat."""
    fixtures = {}
    for number in range(1, draw(st.integers(1, 3)) + 1):
        x, y = _spot(draw)
        size = [float(draw(st.sampled_from((700, 900, 1700)))) for _ in range(2)]
        kind = draw(st.sampled_from(("bath", "shower", "open shower", "basin")))
        entry: Data = {"kind": kind}
        if draw(st.booleans()):
            entry |= {"at": [x, y], "size": size}
        else:
            entry |= {"outline": [[x, y], [x + size[0], y + 200], [x + 100, y + size[1]]]}
        if kind == "open shower" and draw(st.booleans()):
            entry["outlet"] = _spot(draw)
        fixtures[f"F{number}"] = entry
    heights = st.sampled_from((None, 450, 1400, 2249, 2250, 2400))
    box: Data = {"at": _spot(draw)}
    thermostat: Data = {"switches": "16 A", "floor_limit": "27 degC"}
    if draw(st.booleans()):
        thermostat["at"] = _spot(draw)
    for thing in (box, thermostat):
        height = draw(heights)
        if height is not None:
            thing["height"] = height
    return {
        "outline": [[0, 0], [3000, 0], [3000, 2500], [0, 2500]],
        "use": "bathroom",
        "fixtures": fixtures,
        "junction_box": {**box, "height": box.get("height")},
        "thermostat": {"at": None, "height": None, **thermostat},
    }


def _zone(entry: Data, at: list[float]) -> tuple[int, float]:
    """Return the zone of a fixture that a place lies in, 3 for none, and its distance."""
    corners = fixture_corners(entry)
    area = unite([corners])
    away = float(distances_to(np.array([at]), closed(corners))[0])
    if holds(area, (at[0], at[1])):
        away = 0.0
    cells = cells_over(corners, CELL)
    mine = cells.within(corners)
    nearest = float(np.hypot(cells.x[mine] - at[0], cells.y[mine] - at[1]).min())
    # A sharp corner holds no cell's centre for some cells' length.
    assert away <= nearest + 1e-6
    assert nearest <= away + 8 * CELL
    if entry["kind"] == "open shower":
        if "outlet" in entry:
            away = float(np.hypot(*(np.array(entry["outlet"]) - at)))
        return (1 if away < OPEN_SHOWER - 1e-6 else 3), away
    if away > 0.05 and abs(away - ZONE_2) > 0.05:
        assert holds(grow(area, ZONE_2), (at[0], at[1])) == (away < ZONE_2)
    if away <= 0.001:
        return 1, away
    return (2 if away < ZONE_2 - 1e-6 else 3), away


@examples(80)
@given(bathrooms())
def test_zones(room: Data) -> None:
    found = {each.items: each for each in of_rule(check({"rooms": {"room": room}}), "bath-zone")}
    wet = {
        name: entry
        for name, entry in room["fixtures"].items()
        if entry["kind"] in ("bath", "shower", "open shower")
    }
    box = room["junction_box"]
    hangs = room["thermostat"]
    things = {"junction-box": box, "thermostat": {**hangs, "at": hangs["at"] or box["at"]}}
    assert {items[0] for items in found} <= set(things)
    for name, thing in things.items():
        zones = {bath: _zone(entry, thing["at"]) for bath, entry in wet.items()}
        worst = min((zone for zone, _ in zones.values()), default=3)
        named = [items for items in found if items[0] == name]
        if worst == 3 or (thing["height"] is not None and thing["height"] >= TOP):
            assert not named, (name, zones)
            continue
        ((_, bath),) = named
        finding = found[name, bath]
        assert zones[bath][0] == worst, (name, zones)
        assert finding.measured is not None
        assert abs(finding.measured.value - zones[bath][1]) <= 1e-6
        is_warning = name == "junction-box" and worst == 2
        assert finding.severity == ("warning" if is_warning else "error")
