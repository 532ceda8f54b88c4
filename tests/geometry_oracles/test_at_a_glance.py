"""What a glance spares must change nothing: reports with it and without are the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given

from tests.effort import examples
from tests.geometry_oracles.rooms import Drawn, rooms
from tests.underfoot_rules.plans import BASE, check
from underfoot.checking.facts import at_a_glance, leading

GLANCES = ("is_off_walls", "is_off_strips")


@examples(60)
@given(rooms())
def test_random_rooms_are_judged_the_same_without_a_glance(room: Drawn) -> None:
    _compare({"rooms": {"room": room.data}})


@examples(60)
@given(rooms(in_a_row=True))
def test_strips_side_by_side_are_judged_the_same_without_a_glance(room: Drawn) -> None:
    _compare({"rooms": {"room": room.data}})


@pytest.mark.parametrize(
    "route",
    [
        ["junction-box", [1.4, 1500], [1.4, 30], "A"],  # half of 6 mm lies in the wall
        ["junction-box", [30, 1500], [30, 1.4], "A"],
        ["junction-box", [57.5, 1500], [57.5, 30], "A"],  # and here under the first strip
        ["junction-box", [30, 1500], [30, 57.5], "A"],
        ["junction-box", [30, 1500], [30, 61], "A"],
        ["junction-box", [-30, 1500], [-30, 30], "A"],
        ["junction-box", [0, 1190], [30, 30], "A"],
    ],
)
def test_leads_at_walls_and_strips_are_judged_the_same_without_a_glance(route: list[Any]) -> None:
    _compare({"rooms": {"room": {"leads": {"W1": {"route": route}}}}})


def _compare(change: Mapping[str, Any]) -> None:
    quick = check(change)
    with (
        patch.object(leading, "is_off_walls", lambda *_: False),
        patch.object(leading, "is_off_strips", lambda _: False),
    ):
        assert check(change) == quick


@pytest.mark.parametrize("name", GLANCES)
def test_one_glance_is_enough_for_a_right_room(name: str) -> None:
    said = []

    def listen(*given: Any) -> bool:
        said.append(getattr(at_a_glance, name)(*given))
        return bool(said[-1])

    with patch.object(leading, name, listen):
        check({}, BASE)
    assert said
    assert all(said)
