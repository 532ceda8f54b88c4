"""The geometric rules on random rooms, against a brute-force raster and against pyclipper.

The tolerances are said where each rule is judged.
"""

from collections.abc import Callable

import pytest
from hypothesis import given

from tests.effort import examples
from tests.geometry_oracles.laying import (
    judge_coverage,
    judge_fixtures,
    judge_gaps,
    judge_joints,
    judge_outside,
    judge_overlaps,
    judge_walls,
)
from tests.geometry_oracles.leading import (
    judge_leads_near_heat,
    judge_leads_outside,
    judge_leads_under_fixtures,
    judge_leads_under_strips,
)
from tests.geometry_oracles.rooms import Drawn, rooms
from tests.geometry_oracles.sensing import judge_heat_sources, judge_place, judge_route
from tests.underfoot_rules.plans import check
from underfoot.checking.report import PlanReport

pytestmark = pytest.mark.oracle

JUDGES: tuple[Callable[[Drawn, PlanReport], None], ...] = (
    judge_overlaps,
    judge_outside,
    judge_walls,
    judge_fixtures,
    judge_joints,
    judge_gaps,
    judge_coverage,
    judge_place,
    judge_heat_sources,
    judge_route,
    judge_leads_under_strips,
    judge_leads_under_fixtures,
    judge_leads_outside,
    judge_leads_near_heat,
)


@examples(50, everyday=15)
@given(rooms())
def test_every_rule_finds_what_is_there_and_no_more(room: Drawn) -> None:
    _judge(room)


@examples(40, everyday=12)
@given(rooms(in_a_row=True))
def test_strips_side_by_side(room: Drawn) -> None:
    _judge(room)


def _judge(room: Drawn) -> None:
    report = check({"rooms": {"room": room.data}})
    for judge in JUDGES:
        judge(room, report)
