"""What is kept of each checked plan for the reports of a run: its report, and its drawings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from underfoot import __version__
from underfoot.checking.exit_status import plan_status
from underfoot.reporting.host_limits import PAGE_PLANS_ALL_DRAWN

if TYPE_CHECKING:
    from underfoot.checking.check import CheckedPlan
    from underfoot.checking.content_hash import HashedRules
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.report import PlanReport
    from underfoot.checking.rule import RuleSet
    from underfoot.commands.outputs import Asked, Output
    from underfoot.page import DrawnPlan


def choose_keep(
    outputs: Sequence[Output], asked: Asked, sets: Sequence[RuleSet]
) -> Callable[[CheckedPlan], tuple[PlanReport, DrawnPlan | None]]:
    """Choose what the reports of a run need of each plan, the less the more plans there are."""
    if not any(each.format == "html" for each in outputs):
        return keep_report
    from underfoot.checking.content_hash import hash_rules

    rules = hash_rules(sets, __version__)
    if asked.plans <= PAGE_PLANS_ALL_DRAWN:
        return partial(keep_drawn, rules=rules)
    return partial(keep_drawn_if_refused, rules=rules, refuse_at=asked.refuse_at)


def keep_report(examined: CheckedPlan) -> tuple[PlanReport, DrawnPlan | None]:
    """Keep a plan's report alone."""
    return examined.report, None


def keep_drawn(examined: CheckedPlan, rules: HashedRules) -> tuple[PlanReport, DrawnPlan | None]:
    """Keep a plan's report and its drawings, made while the plan is at hand."""
    from underfoot.running.for_review import draw_for_review

    return examined.report, draw_for_review(examined, rules)


def keep_drawn_if_refused(
    examined: CheckedPlan, rules: HashedRules, refuse_at: RefuseAt
) -> tuple[PlanReport, DrawnPlan | None]:
    """Keep a plan's report, and its drawings where it is refused: of many no others are shown."""
    if plan_status(examined.report, refuse_at) == 0:
        return examined.report, None
    return keep_drawn(examined, rules)
