"""What stands, in short: the line that later runs are held against (`known_format` 1).

Identities and measures alone, one finding a line and plans by path: a tenth of the whole report,
and a change of it reads well. Paths are told from the top of the repository.
"""

from collections.abc import Iterable
from typing import Any

from underfoot.checking.report import UNREADABLE, PlanReport, ReportedFinding
from underfoot.checking.summing import Summary
from underfoot.reporting.json import encode
from underfoot.reporting.sarif_places import AS_GIVEN, PathBase
from underfoot.reporting.spool import Spool

KNOWN_FORMAT = 1


class KnownWriter:
    """Writes the plans in which something stands, all at the end: they are sorted by path."""

    def __init__(self, told: PathBase = AS_GIVEN) -> None:
        self.told = told
        self.plans = Spool()
        self.places: list[tuple[str, tuple[int, int]]] = []

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing yet."""
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Take in one plan; one that cannot be read is never known."""
        unjudged = {row.rule: row.may_be_errors for row in plan.checks if row.may_be_errors}
        if plan.verdict != UNREADABLE and (plan.findings or unjudged):
            path = self.told.path(plan.path)
            self.places.append((path, self.plans.keep(_plan(path, plan, unjudged))))
        return ()

    def end(self, run: Summary) -> Iterable[str]:
        """Write all of it."""
        head = {"known_format": KNOWN_FORMAT, "caution": run.caution}
        lines = [f"{encode(key)}: {encode(value)}" for key, value in head.items()]
        yield "{\n" + ",\n".join(lines) + ',\n"plans": ['
        before = "\n"
        for _, place in sorted(self.places):
            yield before + self.plans.read_at(place)
            before = ",\n"
        yield "\n]\n}\n" if self.places else "]\n}\n"


def _plan(path: str, plan: PlanReport, unjudged: dict[str, int]) -> str:
    head: dict[str, Any] = {"path": path}
    if plan.reference is not None:
        head["reference"] = plan.reference
    parts = [encode(head)[:-1]]
    if plan.content is not None:
        content = plan.content
        parts.append(f'"source": {encode(content.source)}, "outlines": {encode(content.outlines)}')
        parts.append(f'"ids": {encode({room: list(ids) for room, ids in content.ids.items()})}')
    if unjudged:
        parts.append(f'"may_be_errors": {encode(unjudged)}')
    findings = sorted(plan.findings, key=_order)
    lines = ",\n  ".join(encode(_finding(finding)) for finding in findings)
    parts.append(f'"findings": [\n  {lines}]' if findings else '"findings": []')
    return ",\n ".join(parts) + "}"


def _order(finding: ReportedFinding) -> tuple[Any, ...]:
    # By what it is: numbers change with every fault that is mended.
    return finding.rule, finding.room or "", finding.items, finding.number


def _finding(finding: ReportedFinding) -> dict[str, Any]:
    written: dict[str, Any] = {"rule": finding.rule, "severity": finding.severity}
    if finding.room is not None:
        written["room"] = finding.room
    if finding.items:
        written["items"] = list(finding.items)
    if finding.measured is not None:
        written["measured"] = {
            "value": float(finding.measured.value),
            "unit": finding.measured.unit,
        }
    if finding.waiver is not None:
        written["waived"] = True
    if finding.mark is not None:
        written["mark"] = finding.mark
    return written
