"""What is advised in figures is done to plans, and they are checked anew: nothing comes of it."""

from collections.abc import Iterable
from itertools import islice

import pytest

from tests.underfoot_rules.advice_tried import Trial, harmful, listen, try_advice
from tests.underfoot_rules.advice_tried.must_hold import why_not_tried
from tests.underfoot_rules.advice_tried.samples import damaged, examples, scenario
from tests.underfoot_rules.plans import BASE
from underfoot.api.rules import Data

pytestmark = pytest.mark.oracle

# Of the damages, each of so many.
EVERY = 5


def try_all(plans: Iterable[tuple[str, Data]]) -> tuple[list[Trial], list[str]]:
    trials: list[Trial] = []
    left: list[str] = []
    for name, data in plans:
        for each in try_advice(name, data):
            if isinstance(each, Trial):
                trials.append(each)
            else:
                left.append(each)
    return trials, left


def hold(plans: Iterable[tuple[str, Data]], at_least: int) -> None:
    trials, left = try_all(plans)
    assert len(trials) >= at_least
    assert harmful(trials) == []
    assert [said for said in left if why_not_tried(said) is None] == []


def test_no_figure_in_the_scenario_s_reports_brings_anything() -> None:
    hold(scenario().items(), 40)


def test_no_figure_in_reports_of_damaged_plans_brings_anything() -> None:
    hold(islice(damaged(6, 1), 0, None, EVERY), 20)


@pytest.mark.long
def test_no_figure_in_any_example_or_in_many_damaged_plans_brings_anything() -> None:
    hold((*examples(), *damaged(60, 3)), 400)


def moved(by: float) -> Data:
    row = {**BASE["rooms"]["room"]["rows"]["A"], "at": [60 + by, 60]}
    return {**BASE, "rooms": {"room": {**BASE["rooms"]["room"], "rows": {"A": row}}}}


def test_a_move_that_brings_something_would_be_noticed() -> None:
    from tests.underfoot_rules.advice_tried.doing import move_strips
    from underfoot_rules.mutations.expand_rows import open_rows

    plan = open_rows(moved(0))
    before, after = listen(plan), listen(move_strips("room", ["A7"], (0.0, 40.0))(plan))
    assert not isinstance(before, str)
    assert not isinstance(after, str)
    assert {rule for rule, _, _ in after.found} - {rule for rule, _, _ in before.found}


def test_what_cannot_be_read_of_advice_would_be_noticed() -> None:
    assert why_not_tried("some-rule: Turn A5 by 12 degrees.") is None
    assert why_not_tried("lead-on-lead: Lay W2 beside it, their middles at least 6 mm apart.")
