"""Where strips may lie, to the thousandth of a millimetre, however quickly it is seen."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot_rules.laying.rooms import Strips, change_of
from tests.underfoot_rules.plans import BASE, change_plan
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.physics import rectangles
from underfoot.reading.plan_file import read_plan
from underfoot_rules.laying.may_lie import may_lie

LAID: Strips = {"E1": {"at": [2000, 2000], "length": 2000}}
# A turned strip far off: then no strip of the room counts as upright.
TURNED: Strips = {**LAID, "E2": {"at": [4500, 4500], "along": "30 deg", "length": 600}}


def room_of(strips: Strips) -> RoomFacts:
    text = json.dumps(change_plan(BASE, change_of(strips, None)))
    reading = read_plan(text.encode(), path="plan.yaml", folder=Path())
    assert reading.plan is not None, reading.problems
    return Facts(reading.plan, {}).rooms["room"]


def laid(*places: tuple[float, float], angle: float = 0.0) -> Any:
    return rectangles.corners(places, 1000, 500, angle)


@pytest.mark.parametrize("strips", [LAID, TURNED])
def test_another_strip_may_touch_and_no_more(strips: Strips) -> None:
    room = room_of(strips)
    assert room.is_upright == (strips is LAID)
    # E1 reaches from x = 2000 to 2500 and from y = 2000 to 4000; an edge is 0.001 mm wide.
    tries = laid((2500.0, 2500), (2499.9995, 2500), (2499.998, 2500), (2300, 2500), (2300, 4000),
                 (2300, 3999.9995), (2300, 3999.998), (1000, 2500), (1000.002, 2500))  # fmt: skip
    free = [True, True, False, False, True, True, False, True, False]
    assert may_lie(room, tries, 60, 50).tolist() == free
    assert may_lie(room, tries, 60, 50, apart_from=(0,)).all()


def test_of_a_turned_one_what_is_shared_counts() -> None:
    room = room_of(LAID)
    # It passes the corner of E1 at (2500, 4000), where boxes round the two share 200 x 500 mm.
    tries = laid((2300, 4200.01), (2300, 4199.9995), (2300, 4199.9), angle=-45)
    assert may_lie(room, tries, 60, 50).tolist() == [True, True, False]
    # Its corner lies on the lower side of E2, 300 mm along it.
    tries = laid((4759.80762, 4149.99), (4759.80762, 4150.0005), (4759.80762, 4150.1))
    assert may_lie(room_of(TURNED), tries, 60, 50).tolist() == [True, True, False]


def test_walls_are_kept_clear_of_on_every_side() -> None:
    room = room_of(LAID)
    tries = laid((60, 60), (59.99, 60), (60, 59.99), (4940, 5440), (4940.01, 5440),
                 (4940, 5440.01), (60, -2000), (-1, -1))  # fmt: skip
    assert may_lie(room, tries, 60, 50).tolist() == [True, False, False, True] + 4 * [False]
    # Without a distance to keep, an edge may reach 0.001 mm beyond the wall and no more.
    tries = laid(
        (0, 60), (-0.0009, 60), (-0.0011, 60), (5000, 60), (5000.0009, 60), (5000.0011, 60)
    )
    assert may_lie(room, tries, 0, 50).tolist() == [True, True, False, True, True, False]
