"""What stands before a box or thermostat: within 300 mm of its wall, over 80 mm of width."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule

BEHIND = ("box-reach", "thermostat-place")


def behind(at: list[float], things: dict[str, tuple[float, float]], **told: Any) -> list[bool]:
    """Tell what is found where both hang at one place, and cabinets of 200 mm stand at others."""
    fixtures = {
        name: {"at": list(corner), "size": [200, 200], "kind": "floor-mounted", **told}
        for name, corner in things.items()
    }
    change = {"rooms.room.fixtures": fixtures, "rooms.room.junction_box.at": at,
              "rooms.room.thermostat.at": at}  # fmt: skip
    report = check(change)
    said = {rule: " ".join(each.message for each in of_rule(report, rule)) for rule in BEHIND}
    return [f"behind {name}" in " ".join(said.values()) for name in things]


@pytest.mark.parametrize(
    ("at", "corner", "found"),
    [
        # On the left wall: 300 mm of floor before it, 40 mm to either side of it.
        ([0, 1500], (0.5, 1400), True),
        ([0, 1500], (139, 1400), True),
        ([0, 1500], (299.5, 1400), True),
        ([0, 1500], (300, 1400), False),
        ([0, 1500], (100, 1539), True),
        ([0, 1500], (100, 1540), False),
        ([0, 1500], (100, 1261), True),
        ([0, 1500], (100, 1260), False),
        # Up to 100 mm off it hangs on the wall still; the floor counts from the wall on.
        ([100, 1500], (299.5, 1400), True),
        ([100, 1500], (300, 1400), False),
        # On the right wall, and the upper one.
        ([4000, 1500], (3500.5, 1400), True),
        ([4000, 1500], (3500, 1400), False),
        ([2000, 3000], (1900, 2500.5), True),
        ([2000, 3000], (1900, 2500), False),
    ],
)
def test_what_stands_before_it(at: list[float], corner: tuple[float, float], found: bool) -> None:
    assert behind(at, {"cabinet": corner}) == [found]


@pytest.mark.parametrize(
    ("things", "named"),
    [
        # In the lower left corner it may face either way: one that stands in one way leaves the
        # other, two shut it in. On the left wall floor from y = 20 to 100 counts, on the lower one
        # from there up to 300.
        ({"right": (100, 20)}, 0),
        ({"above": (20, 210)}, 0),
        ({"right": (110, 0), "above": (20, 210)}, 1),
        ({"right": (110, 0), "above": (40, 210)}, 0),
        ({"right": (300, 0), "above": (20, 210)}, 0),
    ],
)
def test_in_a_corner(things: dict[str, tuple[float, float]], named: int) -> None:
    assert sum(behind([0, 60], things)) == named


@pytest.mark.parametrize(("height", "found"), [(449, False), (450, False), (451, True)])
def test_what_is_no_higher_hides_no_box(height: int, found: bool) -> None:
    """The box hangs at 450 mm, the thermostat at 1400 mm."""
    assert behind([0, 1500], {"cabinet": (100, 1400)}, height=height) == [found]
