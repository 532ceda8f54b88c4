"""Doors and windows that the brief gives: left as they are, or told as changed and put back."""

import copy
import json
from typing import Any

import pytest

from tests.laws.moving import Move, move_rooms
from tests.laws.opening import open_plan
from tests.underfoot.marking.test_hung_elsewhere import read
from tests.underfoot.marking.test_two_rooms import RIGHT, brief_of
from underfoot.marking.brief import restore_brief

Data = dict[str, Any]
DOOR = {"kind": "door", "from": [3650, 120], "to": [3650, 940], "hinge": "from",
        "threshold": "glued"}  # fmt: skip
WINDOW = {"kind": "window", "from": [900, 0], "to": [2400, 0]}


def submitted(openings: Data | None) -> Data:
    plan = copy.deepcopy(RIGHT)
    plan["rooms"]["bedroom"].pop("openings", None)
    if openings is not None:
        plan["rooms"]["bedroom"]["openings"] = openings
    return plan


@pytest.mark.parametrize(
    ("openings", "changes", "remarks"),
    [
        ({"door": DOOR, "window": WINDOW}, [], []),
        # Another name, the other way round, and one more: nothing that the brief gave is gone.
        ({"d": {**DOOR, "from": [3650, 940], "to": [3650, 120], "hinge": "to"}, "w": WINDOW,
          "hatch": {"kind": "passage", "from": [0, 100], "to": [0, 900]}}, [], []),
        ({"door": {**DOOR, "to": [3650, 1040]}, "window": WINDOW},
         ["bedroom: openings – door changed"], []),
        ({"door": {"kind": "passage", "from": [3650, 120], "to": [3650, 940]}, "window": WINDOW},
         ["bedroom: openings – door changed"], []),
        # Hung at its other end, the other way round: its leaf lies elsewhere.
        ({"door": {**DOOR, "from": [3650, 940], "to": [3650, 120]}, "window": WINDOW},
         ["bedroom: openings – door changed"], []),
        ({"door": {**DOOR, "hinge": "both"}, "window": WINDOW},
         ["bedroom: openings – door changed"], []),
        ({"door": {**DOOR, "threshold": "none"}, "window": WINDOW},
         ["bedroom: openings – door changed"], []),
        ({"door": {**DOOR, "opens": "inwards"}, "window": WINDOW}, [], []),
        ({"window": WINDOW}, ["bedroom: openings – door left out"], []),
        (None, [],
         ["bedroom: the openings that the brief gives were left out, and were put back."]),
    ],
    ids=["as given", "otherwise named", "wider", "no leaf", "other end", "two leaves",
         "no threshold", "as it opens", "one gone", "none"],
)  # fmt: skip
def test_what_the_brief_gives_of_openings_binds(
    openings: Data | None, changes: list[str], remarks: list[str]
) -> None:
    brief = brief_of(submitted({"door": DOOR, "window": WINDOW}))
    found = restore_brief(read(submitted(openings)), read(brief), ("openings",))
    assert [each.said for each in found.changes] == changes
    assert list(found.remarks) == remarks
    lines = [sorted(each.line) for each in found.plan.rooms["bedroom"].openings.values()]
    assert [(3650.0, 120.0), (3650.0, 940.0)] in lines


def test_they_are_put_back_where_the_room_was_moved_to() -> None:
    brief = brief_of(submitted({"door": DOOR}))
    rooms = RIGHT["rooms"]
    moved = move_rooms(open_plan(submitted(None)), dict.fromkeys(rooms, Move(turn_deg=90)))
    found = restore_brief(read(json.loads(json.dumps(moved))), read(brief), ("openings",))
    (door,) = found.plan.rooms["bedroom"].openings.values()
    # Turned a quarter to the left: [x, y] lies at [-y, x].
    assert door.line == ((-120.0, 3650.0), (-940.0, 3650.0))
