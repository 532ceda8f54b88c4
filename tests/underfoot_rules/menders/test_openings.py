"""Doorways are kept clear: joints elsewhere, leads round screws, what hangs beside them."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, plan, says
from underfoot.api.rules import Data

AT_JOINTS = {"from": [1200, 0], "to": [2000, 0]}
AT_LEAD = {"from": [0, 500], "to": [0, 1300], "threshold": "screwed"}
AT_CABLE = {"from": [0, 1000], "to": [0, 1600], "threshold": "screwed"}
BESIDE = {"from": [0, 1700], "to": [0, 2500], "opens": "inwards"}
GAP = {"kind": "passage", "from": [0, 1400], "to": [0, 2600]}
GLUE = "Have the threshold of the door glued, and see that nobody screws it."
ROOM = ("rooms", "room")


def door(**told: Any) -> Data:
    """Return the base plan's room a door; one that says no more is no trouble to anybody."""
    quiet = {"kind": "door", "hinge": "from", "opens": "outwards", "threshold": "glued"}
    return {"rooms": {"room": {"openings": {"door": {**quiet, **told}}}}}


def gap() -> Data:
    return {"rooms": {"room": {"openings": {"gap": GAP}}}}


@pytest.mark.parametrize(
    ("change", "rule", "item", "said"),
    [
        # The floor between wall and strips is 60 mm: with 50 mm to the door there is a lane left.
        (door(**AT_LEAD), "threshold-fixing", "W1",
         ["Take lead W1 by [56, 1500], [56, 30] and [310, 30].", GLUE]),
        # The cable comes up right in the doorway.
        (door(**AT_CABLE), "threshold-fixing", "sensor", [GLUE]),
        # 310 from the wall the joint of a strip 60 from it is 250 from the doorway.
        (door(**AT_JOINTS), "doorway-joint", "A3",
         ["Cut A3 to 2500 mm, at its start, so that it begins at [1060, 310]."]),
        # The hinge is at 1700, the leaf 800 wide: beyond 900 nothing is behind it.
        (door(**BESIDE), "thermostat-behind-door", "thermostat",
         ["Hang the thermostat of room room at [0, 898].", "Hang the door at its other end."]),
        # Of two leaves none hangs at another end.
        (door(**BESIDE, hinge="both"), "thermostat-behind-door", "thermostat",
         ["Hang the thermostat of room room at [0, 1298]."]),
        # Half a box, 40 mm, beside the passage, and 1 mm for rounding.
        (gap(), "hung-in-opening", "junction-box",
         ["Hang the junction box of room room at [0, 1359]."]),
        (gap(), "hung-in-opening", "thermostat",
         ["Hang the thermostat of room room at [0, 1359]."]),
    ],
)  # fmt: skip
def test_what_a_person_would_do_first(change: Data, rule: str, item: str, said: list[str]) -> None:
    assert says(plan(change), rule, item) == said


def test_a_row_too_near_to_screws_is_moved() -> None:
    change = door(**{**AT_LEAD, "from": [0, 2200], "to": [0, 2900]})
    change["rooms"]["room"]["rows"] = {"A": {"at": [30, 60]}}
    assert says(plan(change), "threshold-fixing", "A1")[0] == (
        "Move row A by 28 mm to the right (+x)."
    )


def test_a_strip_is_joined_at_its_other_end_where_its_lead_may_pass_there() -> None:
    """Two strips far apart, each with a lead of its own, one the long way round."""
    change = door(**AT_JOINTS)
    change["rooms"]["room"] |= {
        "rows": {"A": {"at": [1060, 60], "lengths": [2750], "circuit": "C1"}},
        "leads": {"W1": {"route": ["junction-box", [30, 1500], [30, 30], "A"]}},
        "sensor": {"at": [1310, 1500]},
    }
    now = mended(plan(change), "doorway-joint", "A1")["rooms"]["room"]
    assert now["rows"]["A"]["lengths"] == [{"length": 2750, "connected": "end"}]
    assert now["leads"]["W1"]["route"][-1] in ("A", "A1")


@pytest.mark.parametrize(
    ("status", "change", "rule", "said"),
    [
        ("laid", door(**AT_JOINTS), "doorway-joint", []),
        ("laid", door(**AT_LEAD), "threshold-fixing", [GLUE]),
        ("covered", door(**AT_CABLE), "threshold-fixing", [GLUE]),
        ("handed over", door(**AT_LEAD), "threshold-fixing", []),
        ("laid", door(**BESIDE), "thermostat-behind-door",
         ["Hang the thermostat of room room at [0, 898]."]),
        ("laid", gap(), "hung-in-opening", []),
    ],
)  # fmt: skip
def test_what_is_done_is_not_drawn_otherwise(
    status: str, change: Data, rule: str, said: list[str]
) -> None:
    assert says(plan({**change, "status": status}), rule) == said


def test_a_joint_moved_keeps_every_other_strip_joined() -> None:
    now = mended(plan(door(**AT_JOINTS)), "doorway-joint", "A3")["rooms"]["room"]
    stops = [stop for stop in now["leads"]["W1"]["route"] if isinstance(stop, str)]
    assert stops == ["junction-box", *(f"A{place}" for place in range(1, 8))]
