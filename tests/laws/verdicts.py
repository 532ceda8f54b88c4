"""What the whole standard set says of a plan, in a form that two plans can be compared by."""

import json
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.report import PlanReport
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

Data = dict[str, Any]
# Rule, severity, room, items, and whether it is waived.
Verdict = tuple[str, str, str | None, tuple[str, ...], bool]
Verdicts = Mapping[Verdict, float | None]

# Two values of one measure may part by so much, in the unit reported.
NOISE = 1e-6
A_DAY = date(2026, 10, 1)
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), A_DAY)


def report_on(data: Data) -> PlanReport:
    """Check plan data; no rule may crash on it."""
    report = check_source(json.dumps(data).encode(), BENCH, path="plan.yaml")
    assert not report.faults, report.faults
    return report


def verdicts_of(
    report: PlanReport, rename: Callable[[str], str] = str, *, sort_items: bool = False
) -> Verdicts:
    """Return every finding's verdict with what it measured; a finding stands once only."""
    found: dict[Verdict, float | None] = {}
    for each in report.findings:
        items = tuple(rename(item) for item in each.items)
        verdict = (
            each.rule,
            each.severity,
            None if each.room is None else rename(each.room),
            tuple(sorted(items)) if sort_items else items,
            each.waiver is not None,
        )
        assert verdict not in found, f"found twice: {verdict}"
        found[verdict] = None if each.measured is None else each.measured.value
    return found


def differences(one: Verdicts, other: Verdicts, noise: float = NOISE) -> list[str]:
    """List what one has and the other has not, and the measures that part by more than noise."""
    listed = [f"only before: {verdict} {one[verdict]}" for verdict in one if verdict not in other]
    listed += [f"only after: {verdict} {other[verdict]}" for verdict in other if verdict not in one]
    for verdict in one:
        if verdict not in other:
            continue
        a, b = one[verdict], other[verdict]
        if (a is None) != (b is None) or (a is not None and b is not None and abs(a - b) > noise):
            listed.append(f"measured differently: {verdict} {a} {b}")
    return listed


def tallies_of(report: PlanReport) -> dict[str, tuple[int, int, int]]:
    """Return how many subjects each rule looked at, found fault with, and could not judge."""
    return {row.rule: (row.checked, row.found, row.undecided) for row in report.checks}
