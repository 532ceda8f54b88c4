"""What is kept of a run once its plans have been written: a line a plan, and how it ends."""

from collections.abc import Sequence

from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.exit_status import RefuseAt, plan_status, run_status
from underfoot.checking.report import Brief, HeldAgainst, PlanReport, Report, RulesAsked
from underfoot.reading.problem import Problem


class Summary(Struct, frozen=True, kw_only=True):
    """A run without what was found in its plans; before the first plan `plans` is empty.

    `rules_asked` is set where not all rules were asked.
    """

    version: str
    plans: Sequence[Brief] = ()
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()
    caution: str = CAUTION
    earlier: HeldAgainst | None = None
    rules_asked: RulesAsked | None = None


class Summing:
    """Takes in the plans of a run one by one and keeps of each no more than a line."""

    def __init__(self, refuse_at: RefuseAt) -> None:
        self.refuse_at = refuse_at
        self.plans: list[Brief] = []
        self.statuses: set[int] = set()

    def add(self, plan: PlanReport) -> None:
        """Take in one plan."""
        self.plans.append(plan.in_brief)
        self.statuses.add(plan_status(plan, self.refuse_at))

    def status(self, problems: Sequence[Problem]) -> int:
        """Return the exit status of a run with these `problems` of its own."""
        return run_status(problems, self.statuses)


def sum_up(report: Report) -> Summary:
    """Sum up a report that is at hand as a whole."""
    return Summary(
        version=report.version,
        plans=[plan.in_brief for plan in report.plans],
        passed_over=report.passed_over,
        problems=report.problems,
        caution=report.caution,
        earlier=report.earlier,
        rules_asked=report.asked,
    )
