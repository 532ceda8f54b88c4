"""The exit status, a function of the finished report."""

from collections.abc import Collection
from typing import Literal, get_args

from underfoot.checking.report import (
    UNREADABLE,
    CheckRow,
    PlanReport,
    Report,
    ReportedFinding,
)
from underfoot.reading.problem import Problem

RefuseAt = Literal["error", "unjudged", "warning", "note", "never"]
REFUSE_AT: tuple[RefuseAt, ...] = get_args(RefuseAt)
# What is gravest comes first; a point that may be an error stands between error and warning.
_RANK = {level: place for place, level in enumerate(REFUSE_AT)}

PASSED = 0
REFUSED = 1
INCOMPLETE = 2


def exit_status(report: Report, refuse_at: RefuseAt = "error") -> int:
    """Return 0, or 1 where something at or above `refuse_at` counts, or 2.

    2 goes before 1: a plan or the settings could not be read, no plan was found, or a rule
    crashed.
    """
    return run_status(report.problems, [plan_status(plan, refuse_at) for plan in report.plans])


def run_status(problems: Collection[Problem], statuses: Collection[int]) -> int:
    """Return the status of a run whose plans have these; the problems are the run's own."""
    return INCOMPLETE if problems else max(statuses, default=INCOMPLETE)


def plan_status(plan: PlanReport, refuse_at: RefuseAt) -> int:
    """Return the status that a plan would have alone."""
    if plan.verdict == UNREADABLE or plan.faults:
        return INCOMPLETE
    counted = any(counts_for_status(finding, refuse_at) for finding in plan.findings) or any(
        row.undecided and lacks_for_status(row, refuse_at) for row in plan.checks
    )
    return REFUSED if counted else PASSED


def counts_for_status(finding: ReportedFinding, refuse_at: RefuseAt) -> bool:
    """Tell whether a finding refuses its plan: severe enough, not waived, not known before."""
    if refuse_at == "never" or finding.waiver is not None:
        return False
    if finding.earlier is not None and finding.earlier.state == "known":
        return False
    return _RANK[finding.severity] <= _RANK[refuse_at]


def lacks_for_status(row: CheckRow, refuse_at: RefuseAt) -> bool:
    """Tell whether a rule refuses its plan by what it could not judge and may be an error.

    Held against an earlier report, only more such points than it had then count.
    """
    if refuse_at == "never" or _RANK["unjudged"] > _RANK[refuse_at]:
        return False
    return row.may_be_errors > row.may_be_errors_then
