"""How much menders try: as much as is allowed, and nothing beyond it.

The bounds are set to what the base plan just has, and to one less; `constants_kept` has their
values. A bound that is off by one, or that no longer holds, makes large rooms slow.
"""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import plan, says
from underfoot.api.rules import Data
from underfoot_rules.menders import dividing, further, joining, leads, openings, sensor, strips

SEVEN = [2750] * 7
HEATER = {"at": [700, 1400], "size": [60, 60], "kind": "heat source"}
STOVE = {"at": [3000, 2600], "size": [300, 300], "kind": "floor-mounted"}


def room(**told: Any) -> Data:
    """Change the room of the base plan, which has seven strips and a lead of ten stops."""
    return plan({"rooms": {"room": told}})


SHORT = room(rows={"A": {"lengths": [1500, 1500, 1500, *SEVEN[3:]]}})
UNFED = room(leads={"W1": None})
AT_ALL = room(leads={"W1": {"route": ["junction-box", "A"]}})
LONG = plan({"materials.films.film-80.longest_circuit": "12 m"})
DOOR = {"kind": "door", "from": [1200, 0], "to": [2000, 0], "hinge": "from", "opens": "outwards",
        "threshold": "glued"}  # fmt: skip
FOUR = room(rows={"A": {"lengths": SEVEN[:4]}}, heat_loss="150 W")


@pytest.mark.parametrize(
    ("module", "name", "most", "data", "rule"),
    [
        (strips, "MOST_STRIPS", 7, room(fixtures={"stove": STOVE}), "fixture-clearance"),
        (further, "MOST_STRIPS", 7, SHORT, "floor-coverage"),
        (openings, "MOST_STRIPS", 7, room(openings={"door": DOOR}), "doorway-joint"),
        (sensor, "MOST_STRIPS", 7, room(sensor=None), "sensor-missing"),
        (sensor, "MOST_STRIPS", 7, room(sensor={"cable": "2 m"}), "sensor-cable-reach"),
        (leads, "MOST_STRIPS", 7, AT_ALL, "lead-under-element"),
        (leads, "_MOST_STOPS", 8, AT_ALL, "lead-under-element"),
        (joining, "MOST_STRIPS", 7, UNFED, "circuit-feed"),
        (dividing, "_MOST_PARTS", 2, LONG, "circuit-element-length"),
        (further, "_MOST", 3, SHORT, "floor-coverage"),
        (further, "_MOST", 3, FOUR, "floor-coverage"),
    ],
)
def test_as_much_is_tried_and_no_more(
    module: Any, name: str, most: int, data: Data, rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, name, most)
    offered = says(data, rule)
    assert offered
    monkeypatch.setattr(module, name, most - 1)
    fewer = says(data, rule)
    assert not fewer or fewer[0] != offered[0], fewer
