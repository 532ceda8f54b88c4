"""The exit status, a function of the finished report."""

from __future__ import annotations

from typing import Literal

from underfoot.checking.finding import SEVERITIES
from underfoot.checking.report import UNREADABLE, Report, ReportedFinding

RefuseAt = Literal["error", "warning", "note", "never"]

PASSED = 0
REFUSED = 1
INCOMPLETE = 2


def exit_status(report: Report, refuse_at: RefuseAt = "error") -> int:
    """Give 0, or 1 where something at or above `refuse_at` counts, or 2.

    2 goes before 1: a plan or the settings could not be read, no plan was found, or a rule
    crashed.
    """
    if report.problems or not report.plans:
        return INCOMPLETE
    if any(plan.verdict == UNREADABLE or plan.faults for plan in report.plans):
        return INCOMPLETE
    counted = any(
        counts_for_status(finding, refuse_at) for plan in report.plans for finding in plan.findings
    )
    return REFUSED if counted else PASSED


def counts_for_status(finding: ReportedFinding, refuse_at: RefuseAt) -> bool:
    """Tell whether a finding refuses its plan: severe enough, not waived, not known before."""
    if refuse_at == "never" or finding.waiver is not None:
        return False
    if finding.earlier is not None and finding.earlier.state == "known":
        return False
    return SEVERITIES.index(finding.severity) <= SEVERITIES.index(refuse_at)
