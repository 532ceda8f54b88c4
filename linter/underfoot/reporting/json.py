"""The report as JSON, `report_format` 1: one finding a line, the same bytes on every machine."""

import re
from collections.abc import Iterable, Mapping
from json import JSONEncoder
from typing import Any

from underfoot.checking.patch_document import patch_document
from underfoot.checking.report import (
    DecisionUsed,
    Measure,
    PlanReport,
    Reason,
    ReportedFinding,
    ReviewUsed,
    RuleFault,
)
from underfoot.checking.summing import Summary
from underfoot.reading.hidden import INVISIBLE
from underfoot.reading.problem import Problem
from underfoot.reporting.ci_words import disarm_json
from underfoot.reporting.phrases import say_verdict
from underfoot.reporting.spool import Spool

REPORT_FORMAT = 1

# Legal in JSON text as they stand, but obeyed or hidden by a terminal or an editor.
_HIDDEN = re.compile(
    "[\x7f-\x9f\u00ad\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2\u180e\u200b-\u200f"
    "\u2028-\u202e\u2060-\u206f\ufeff\ufff0-\ufffb\U000e0000-\U000e007f"
    f"{INVISIBLE}]"
)
_encode = JSONEncoder(ensure_ascii=False, allow_nan=False, check_circular=False).encode


class JsonWriter:
    """Writes each plan as it comes; held against an earlier report, all of them at the end.

    ValueError where a number is none (NaN, infinity): a fault of the tool.
    """

    def __init__(self, *, is_held: bool = False) -> None:
        self.waiting = Spool() if is_held else None
        self.count = 0

    def begin(self, run: Summary) -> Iterable[str]:
        """Write the head, which tells what came of an earlier report where there is one."""
        return () if self.waiting is not None else (_head(run),)

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write one plan."""
        text = (",\n" if self.count else "\n") + write_plan(plan)
        self.count += 1
        if self.waiting is None:
            return (text,)
        self.waiting.write((text,))
        return ()

    def end(self, run: Summary) -> Iterable[str]:
        """Close the list of the plans."""
        if self.waiting is not None:
            yield _head(run)
            yield from self.waiting.read()
        yield "\n]\n}\n" if self.count else "]\n}\n"


def _head(report: Summary) -> str:
    head: dict[str, Any] = {
        "report_format": REPORT_FORMAT,
        "tool": {"name": "underfoot", "version": report.version},
        **fields_of(report, "caution", "passed_over"),
    }
    if report.rules_asked is not None:
        head["asked"] = {"rules": report.rules_asked.rules, "of": report.rules_asked.of}
    if report.earlier is not None:
        held = report.earlier
        head["earlier"] = {
            "report": held.name,
            **fields_of(held, "cleared", "gone", "left_out"),
        }
    rows = [{**problem_data(each), "file": each.file} for each in report.problems]
    return f'{{\n{write_members(head)},\n"problems": {write_rows(rows, "")},\n"plans": ['


def write_plan(plan: PlanReport) -> str:
    """Write one plan's part of the report, without a line end."""
    rows = [
        {
            **fields_of(row, "rule", "checked", "found", "undecided", "may_be_errors", "why"),
            "reasons": [_reason(reason) for reason in row.reasons],
        }
        for row in plan.checks
    ]
    head: Mapping[str, Any] = {
        **fields_of(plan, "path", "title", "reference", "revision", "status", "verdict"),
        "means": say_verdict(plan),
        "today": plan.today,
    }
    parts = [
        encode(head)[:-1],
        f'"counts": {encode(counts_data(plan))}',
        *([] if plan.review is None else [f'"review": {encode(_review(plan.review))}']),
        f'"checks": {write_rows(rows, " ")}',
        f'"problems": {write_rows(map(problem_data, plan.problems), " ")}',
        f'"faults": {write_rows(map(fault_data, plan.faults), " ")}',
        f'"changed": {write_rows(map(_changed, plan.changed), " ")}',
        f'"findings": {write_rows(map(_finding, plan.findings), " ")}',
    ]
    return ",\n ".join(parts) + "}"


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "why": reason.why,
        "count": reason.points,
        **fields_of(reason, "write", "worst"),
    }


def fields_of(value: object, *names: str) -> dict[str, Any]:
    """Return some fields of a value as plain data, in this order."""
    return {name: getattr(value, name) for name in names}


def write_members(head: Mapping[str, Any]) -> str:
    """Write the members of an object, each on its line, without its braces."""
    return ",\n".join(f"{_encode(key)}: {encode(value)}" for key, value in head.items())


def write_rows(rows: Iterable[Any], blank: str) -> str:
    """Write a list with a row a line; `blank` stands before its end, and one more before each."""
    lines = [f"{blank} {encode(row)}" for row in rows]
    return "[\n" + ",\n".join(lines) + f"\n{blank}]" if lines else "[]"


def encode(value: Any) -> str:
    """Write a value as JSON on one line, what is hidden in its text written out."""
    return spell_out(_encode(value))


def spell_out(text: str) -> str:
    """Write out in JSON text what is hidden, or what a CI service would obey."""
    text = disarm_json(text)
    return text if text.isascii() and "\x7f" not in text else _HIDDEN.sub(_written_out, text)


def _written_out(match: re.Match[str]) -> str:
    units = match[0].encode("utf-16-be")
    return "".join(f"\\u{units[i : i + 2].hex()}" for i in range(0, len(units), 2))


def counts_data(plan: PlanReport) -> dict[str, int]:
    """Return a report's counts as plain data."""
    counts = plan.counts
    return fields_of(counts, "error", "warning", "note", "waived", "undecided", "may_be_errors")


def fault_data(fault: RuleFault) -> dict[str, str]:
    """Return a rule's crash as plain data."""
    return {"rule": fault.rule, "message": fault.message}


def problem_data(problem: Problem) -> dict[str, Any]:
    """Return a problem as plain data."""
    written: dict[str, Any] = {
        **fields_of(problem, "message", "line", "column", "path"),
    }
    if problem.file is not None:
        written["file"] = problem.file
    return written


def _changed(change: Any) -> dict[str, Any]:
    origin = change.origin
    return {
        **fields_of(change, "rule", "what", "value", "default"),
        **fields_of(origin, "file", "line", "because"),
    }


def _finding(finding: ReportedFinding) -> dict[str, Any]:
    measured, limit, waiver = finding.measured, finding.limit, finding.waiver
    written = {
        **fields_of(finding, "number", "rule", "severity", "message", "room", "items"),
        "measured": measure_data(measured),
        "limit": None
        if limit is None
        else {"least": _float(limit.least), "most": _float(limit.most), "unit": limit.unit},
        **fields_of(finding, "line", "column", "path", "shape", "remedy", "why"),
        "basis": {"kind": finding.basis.kind, "text": finding.basis.text},
        "waiver": None
        if waiver is None
        else {"reason": waiver.reason, "agreed_by": waiver.agreed_by, "until": waiver.until},
        "details": [{"name": name, "text": text} for name, text in finding.details],
        "related": finding.related,
    }
    if finding.earlier is not None:
        earlier = finding.earlier
        written["earlier"] = {"state": earlier.state, "was": measure_data(earlier.was)}
    if finding.decision is not None:
        written["decision"] = _decision(finding.decision)
    if finding.mends is not None:
        written["mends"] = [
            {"says": mend.says, "patch": patch_document(mend.patch)} for mend in finding.mends
        ]
    return written


def _decision(decision: DecisionUsed) -> dict[str, Any]:
    return fields_of(decision, "decision", "reason", "by", "date", "note", "lapsed")


def _review(review: ReviewUsed) -> dict[str, Any]:
    return {
        "file": review.file,
        "overall": None if review.overall is None else _decision(review.overall),
        "changed": review.changed,
        "no_longer_found": [
            {"rule": rule, "room": room, "items": items}
            for rule, room, items in review.no_longer_found
        ],
        "problems": [problem_data(problem) for problem in review.problems],
    }


def measure_data(measure: Measure | None) -> dict[str, Any] | None:
    """Return a measure as plain data."""
    return None if measure is None else {"value": float(measure.value), "unit": measure.unit}


def _float(value: float | None) -> float | None:
    return None if value is None else float(value)
