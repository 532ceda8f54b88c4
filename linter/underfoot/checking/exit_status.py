"""The exit status, a function of the finished report."""

from __future__ import annotations

from typing import Literal

from underfoot.checking.report import UNREADABLE, Report

RefuseAt = Literal["error", "warning", "note", "never"]

PASSED = 0
REFUSED = 1
INCOMPLETE = 2


def exit_status(report: Report, refuse_at: RefuseAt = "error") -> int:
    """Give 0, or 1 where something at or above `refuse_at` stands, or 2.

    2 goes before 1: a plan or the settings could not be read, no plan was found, or a rule
    crashed. Waived findings never count.
    """
    if report.problems or not report.plans:
        return INCOMPLETE
    if any(plan.verdict == UNREADABLE or plan.faults for plan in report.plans):
        return INCOMPLETE
    if refuse_at == "never":
        return PASSED
    refused = any(
        plan.counts.error
        or (plan.counts.warning and refuse_at != "error")
        or (plan.counts.note and refuse_at == "note")
        for plan in report.plans
    )
    return REFUSED if refused else PASSED
