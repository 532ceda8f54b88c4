"""All papers of a checked plan, with the verdict at their head."""

from msgspec import Struct

from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import INSUFFICIENT, REVISE, PlanReport
from underfoot.plan import Plan
from underfoot.reporting.phrases import say_counts, say_verdict
from underfoot.schedule.cuts import cut_films, schedule_cuts
from underfoot.schedule.document import Head, Papers
from underfoot.schedule.energy import Season, schedule_energy
from underfoot.schedule.handover import schedule_handover
from underfoot.schedule.order import schedule_order
from underfoot.schedule.stock import Stock
from underfoot.schedule.strips import schedule_strips
from underfoot.schedule.test_sheet import schedule_tests

PARTS = ("strips", "cuts", "order", "tests", "handover", "energy")

_NOT_IN_ORDER = {
    REVISE: "This plan is not in order. These papers show it as it is drawn, faults and all: cut, "
    "order and connect nothing by them until the findings are cleared and the papers made anew.",
    INSUFFICIENT: "It is not known whether this plan is in order: points that may be errors could "
    "not be judged. Cut, order and connect nothing by these papers until they are.",
}
_CRASHED = "A rule crashed over this plan, so that it is not known to be in order."


class Wishes(Struct, frozen=True, kw_only=True):
    """What the papers are worked out with that no plan says."""

    stock: Stock = Stock()
    season: Season = Season()


NO_WISHES = Wishes()


def gather_papers(checked: CheckedPlan, wishes: Wishes = NO_WISHES) -> Papers:
    """Work out all parts of a plan's papers. The plan must have been readable."""
    facts = checked.facts
    assert facts is not None, "papers are made of plans that can be read"
    cuts = cut_films(facts, wishes.stock)
    return Papers(
        head=make_head(checked.report, facts.plan),
        parts=(
            schedule_strips(facts),
            schedule_cuts(facts, wishes.stock, cuts),
            schedule_order(facts, wishes.stock, cuts),
            schedule_tests(facts, checked.settings),
            schedule_handover(facts, checked.settings),
            schedule_energy(facts, checked.settings, wishes.season),
        ),
    )


def make_head(report: PlanReport, plan: Plan) -> Head:
    """Say whose papers they are, and how the plan was judged."""
    job = plan.job
    warning = _NOT_IN_ORDER.get(report.verdict, "")
    if report.faults:
        warning = f"{_CRASHED} {warning}".strip()
    return Head(
        path=report.path,
        title=job.title if job else None,
        reference=job.reference if job else None,
        revision=job.revision if job else None,
        date=job.date if job else None,
        site=job.site if job else None,
        status=plan.status,
        verdict=report.verdict,
        means=say_verdict(report),
        counts=say_counts(report.in_brief),
        warning=warning,
    )
