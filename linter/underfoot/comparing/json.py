"""Two revisions held side by side, as JSON, `compare_format` 1."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from underfoot.checking.report import CAUTION, Measure, ReportedFinding
from underfoot.comparing import Change, Comparison, Left, Side
from underfoot.reading.problem import Problem
from underfoot.reporting.json import encode
from underfoot.reporting.phrases import say_verdict

COMPARE_FORMAT = 1


def write_comparisons_json(
    comparisons: Sequence[Comparison], problems: Sequence[Problem], version: str
) -> Iterator[str]:
    """Write the document piece by piece, one pair at a time."""
    head = {
        "compare_format": COMPARE_FORMAT,
        "tool": {"name": "underfoot", "version": version},
        "caution": CAUTION,
        "problems": [_problem(each) for each in problems],
    }
    lines = [f"{encode(key)}: {encode(value)}" for key, value in head.items()]
    yield "{\n" + ",\n".join(lines) + ',\n"pairs": ['
    for place, comparison in enumerate(comparisons):
        yield (",\n" if place else "\n") + _pair(comparison)
    yield "\n]\n}\n" if comparisons else "]\n}\n"


def _pair(comparison: Comparison) -> str:
    brought_in = [_finding(finding) for finding in comparison.brought_in]
    cleared = [{**_finding(each.finding), "doubt": each.doubt} for each in comparison.cleared]
    parts = [
        f'{{"name": {encode(comparison.name)}',
        f'"old": {encode(_side(comparison.old))}',
        f'"new": {encode(_side(comparison.new))}',
        f'"brought_in": {_listed(brought_in)}',
        f'"unjudged": {_listed([each._asdict() for each in comparison.unjudged])}',
        f'"left": {_listed([_left(each) for each in comparison.left])}',
        f'"cleared": {_listed(cleared)}',
        f'"changes": {_listed([_change(each) for each in comparison.changes])}',
        f'"settings_differ": {_listed(_settings(comparison))}',
    ]
    return ",\n ".join(parts) + "}"


def _listed(rows: Sequence[dict[str, Any]]) -> str:
    if not rows:
        return "[]"
    return "[\n  " + ",\n  ".join(encode(row) for row in rows) + "\n ]"


def _side(side: Side | None) -> dict[str, Any] | None:
    if side is None:
        return None
    report = side.report
    counts = report.counts
    return {
        "path": report.path,
        "title": report.title,
        "reference": report.reference,
        "revision": report.revision,
        "status": report.status,
        "verdict": report.verdict,
        "means": say_verdict(report),
        "counts": {
            "error": counts.error,
            "warning": counts.warning,
            "note": counts.note,
            "waived": counts.waived,
            "undecided": counts.undecided,
            "may_be_errors": counts.may_be_errors,
        },
        "problems": [_problem(each) for each in report.problems],
        "faults": [{"rule": each.rule, "message": each.message} for each in report.faults],
    }


def _finding(finding: ReportedFinding) -> dict[str, Any]:
    return {
        "number": finding.number,
        "rule": finding.rule,
        "severity": finding.severity,
        "room": finding.room,
        "items": finding.items,
        "message": finding.message,
        "measured": _measure(finding.measured),
        "waived": finding.waiver is not None,
        "line": finding.line,
        "column": finding.column,
        "path": finding.path,
    }


def _left(left: Left) -> dict[str, Any]:
    return {
        **_finding(left.new),
        "step": left.step,
        "worse": left.is_worse,
        "was": {
            "number": left.old.number,
            "severity": left.old.severity,
            "measured": _measure(left.old.measured),
            "waived": left.old.waiver is not None,
        },
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "room": change.room,
        "kind": change.kind,
        "item": change.item or None,
        "what": change.what,
        "text": change.text,
        "by": None if change.by is None else {"value": round(change.by, 3), "unit": "mm"},
    }


def _settings(comparison: Comparison) -> list[dict[str, Any]]:
    return [
        {
            "side": side,
            "rule": change.rule,
            "what": change.what,
            "value": change.value,
            "file": change.origin.file,
            "line": change.origin.line,
        }
        for side, changes in (("old", comparison.settings_then), ("new", comparison.settings_now))
        for change in changes
    ]


def _measure(measure: Measure | None) -> dict[str, Any] | None:
    return None if measure is None else {"value": float(measure.value), "unit": measure.unit}


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "file": problem.file,
        "line": problem.line,
        "column": problem.column,
        "path": problem.path,
        "message": problem.message,
    }
