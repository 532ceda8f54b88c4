"""What is offered on plans of the demo scenario, read as who lays the floor would read it."""

import json
from functools import cache

import pytest
import yaml

from tests.demo_plans import PLANS
from tests.underfoot_rules.menders.asking import judge, says
from underfoot.api.rules import Data
from underfoot.marking.exercise import lay_in_catalogue


@cache
def _read(name: str) -> str:
    plan = yaml.safe_load((PLANS / name).read_text("utf-8"))
    if "catalogue" in plan:
        plan = lay_in_catalogue(plan, yaml.safe_load((PLANS / "catalogue.yaml").read_text("utf-8")))
    return json.dumps(plan)


def read(name: str) -> Data:
    """Return a demo plan's data, with its catalogue laid in."""
    data: Data = json.loads(_read(name))
    return data


@pytest.mark.parametrize(
    ("name", "rule", "item", "said"),
    [
        # The partition came nearer: there is no room left for X1.
        ("study.yaml", "element-overlap", "X1", "Leave out X1, and lead W2 with it."),
        ("study.yaml", "wall-clearance", "X1", "Leave out X1, and lead W2 with it."),
        ("study.yaml", "lead-under-element", "A5",
         "Take lead W2 by [2310, 40], [3055, 40], [3055, 2590] and [2790, 2590]."),
        # The sensor was no deeper than it is; it goes where the floor is deepest.
        ("landing.yaml", "wall-clearance", "E1",
         "Move E1 by 3 mm up (+y). Move the sensor to [1610, 278]. "
         "Take a sensor with 4 m of cable."),
        ("linen-room.yaml", "strip-length", "D1",
         "Let lead W5 join D1, D2, D3 and D4 side by side, and leave out lead W6."),
        ("dining-room.yaml", "membrane-overlap", "M1",
         "Move sheet M2 by 40 mm down. Make M2 1595 mm wide."),
        ("nursery.yaml", "floor-coverage", None,
         "Add A5, 2660 mm long, along y from [2145, 75], on circuit C1, joined to lead W1."),
    ],
)  # fmt: skip
def test_what_is_offered_first(name: str, rule: str, item: str | None, said: str) -> None:
    assert says(read(name), rule, item)[0] == said


def test_a_sensor_left_bare_by_a_cut_is_moved_with_it() -> None:
    """For a while the sensor lies below no strip and cannot be judged; in the end it can."""
    best = says(read("nursery.yaml"), "covered-floor", "A2")[0]
    assert best.startswith("Cut A2 to 2090 mm. ")
    assert best.endswith("Move the sensor to [650, 1650].")


def test_what_is_drawn_of_the_room_has_no_mend() -> None:
    """The bookcase reaches through the wall: only who measured it knows where it stands."""
    _, state = judge(read("snug.yaml"))
    assert any(each.rule.id == "drawn-outside-room" for each in state.standing)
    assert says(read("snug.yaml"), "drawn-outside-room") == []
