"""What a glance spares must change nothing: reports with it and without are the same."""

from collections.abc import Mapping
from contextlib import ExitStack
from types import ModuleType
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given

from tests.effort import examples
from tests.geometry_oracles.rooms import Drawn, rooms
from tests.underfoot_rules.plans import check
from underfoot.checking.facts import leads
from underfoot_rules.leads import lead_under_element
from underfoot_rules.sensor import sensor_seam, under_strips
from underfoot_rules.thermostat import at_walls

pytestmark = pytest.mark.oracle

# Each glance with the module that takes it and the answer that spares the measuring.
GLANCES: tuple[tuple[ModuleType, str, bool], ...] = (
    (leads, "is_off_walls", True),
    (lead_under_element, "is_off_strips", True),
    (sensor_seam, "is_near_two", False),
    (under_strips, "is_under_one", True),
    (at_walls, "_is_on_upright_wall", True),
)


@examples(40, everyday=12)
@given(rooms())
def test_random_rooms_are_judged_the_same_without_a_glance(drawn: Drawn) -> None:
    _compare({"rooms": {"room": drawn.data}})


@examples(40, everyday=12)
@given(rooms(in_a_row=True))
def test_strips_side_by_side_are_judged_the_same_without_a_glance(drawn: Drawn) -> None:
    _compare({"rooms": {"room": drawn.data}})


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


@pytest.mark.parametrize("x", [310, 559, 560, 565.9, 566, 566.5, 585, 1060, 59, 60, 30])
def test_sensors_at_seams_and_edges_are_judged_the_same_without_a_glance(x: float) -> None:
    _compare({"rooms": {"room": {"sensor": {"at": [x, 1500]}}}})


@pytest.mark.parametrize("at", [[0, 1500], [0, 0], [0.5, 1500], [-40, 1500], [1000, 0], [140, 90]])
def test_boxes_at_walls_are_judged_the_same_without_a_glance(at: list[float]) -> None:
    _compare({"rooms": {"room": {"junction_box": {"at": at}}}})


def _compare(change: Mapping[str, Any]) -> None:
    quick = check(change)
    with ExitStack() as held:
        for module, name, spares in GLANCES:
            held.enter_context(patch.object(module, name, lambda *_, no=not spares: no))
        assert check(change) == quick


@pytest.mark.parametrize(("module", "name", "spares"), GLANCES)
def test_one_glance_is_enough_for_a_right_room(
    module: ModuleType, name: str, *, spares: bool
) -> None:
    said = []
    glance = getattr(module, name)

    def listen(*given: Any) -> bool:
        said.append(glance(*given))
        return bool(said[-1])

    with patch.object(module, name, listen):
        check({})
    assert said
    assert set(said) == {spares}
