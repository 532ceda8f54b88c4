"""Two revisions held side by side, as JSON, `compare_format` 1."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from msgspec.structs import asdict

from underfoot.checking.caution import CAUTION
from underfoot.checking.report import ReportedFinding
from underfoot.comparing import Change, Comparison, Left, Side
from underfoot.reading.problem import Problem
from underfoot.reporting.json import (
    counts_data,
    encode,
    fault_data,
    fields_of,
    measure_data,
    write_members,
    write_rows,
)
from underfoot.reporting.phrases import say_verdict

COMPARE_FORMAT = 1


def write_comparisons_json(
    comparisons: Sequence[Comparison],
    problems: Sequence[Problem],
    version: str,
    written: Iterable[str] | None = None,
) -> Iterator[str]:
    """Write the document piece by piece, one pair at a time.

    `written` are the pairs where they are written already.
    """
    head = {
        "compare_format": COMPARE_FORMAT,
        "tool": {"name": "underfoot", "version": version},
        "caution": CAUTION,
        "problems": [_problem(each) for each in problems],
    }
    yield f'{{\n{write_members(head)},\n"pairs": ['
    for place, pair in enumerate(written or map(write_pair, comparisons)):
        yield (",\n" if place else "\n") + pair
    yield "\n]\n}\n" if comparisons else "]\n}\n"


def write_pair(comparison: Comparison, place: int = 1) -> str:
    """Write one pair, whatever its `place` among them."""
    brought_in = [_finding(finding) for finding in comparison.brought_in]
    cleared = [{**_finding(each.finding), "doubt": each.doubt} for each in comparison.cleared]
    parts = [
        f'{{"name": {encode(comparison.name)}',
        f'"old": {encode(_side(comparison.old))}',
        f'"new": {encode(_side(comparison.new))}',
        f'"brought_in": {write_rows(brought_in, " ")}',
        f'"unjudged": {write_rows(map(asdict, comparison.unjudged), " ")}',
        f'"left": {write_rows(map(_left, comparison.left), " ")}',
        f'"cleared": {write_rows(cleared, " ")}',
        f'"changes": {write_rows(map(_change, comparison.changes), " ")}',
        f'"settings_differ": {write_rows(_settings(comparison), " ")}',
    ]
    return ",\n ".join(parts) + "}"


def _side(side: Side | None) -> dict[str, Any] | None:
    if side is None:
        return None
    report = side.report
    return {
        **fields_of(report, "path", "title", "reference", "revision", "status", "verdict"),
        "means": say_verdict(report),
        "counts": counts_data(report),
        "problems": [_problem(each) for each in report.problems],
        "faults": [fault_data(each) for each in report.faults],
    }


def _finding(finding: ReportedFinding) -> dict[str, Any]:
    return {
        **fields_of(finding, "number", "rule", "severity", "room", "items", "message"),
        "measured": measure_data(finding.measured),
        "waived": finding.waiver is not None,
        **fields_of(finding, "line", "column", "path"),
    }


def _left(left: Left) -> dict[str, Any]:
    return {
        **_finding(left.new),
        "step": left.step,
        "worse": left.is_worse,
        "was": {
            **fields_of(left.old, "number", "severity"),
            "measured": measure_data(left.old.measured),
            "waived": left.old.waiver is not None,
        },
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        **fields_of(change, "room", "kind"),
        "item": change.item or None,
        **fields_of(change, "what", "text"),
        "by": None if change.by is None else {"value": round(change.by, 3), "unit": "mm"},
    }


def _settings(comparison: Comparison) -> list[dict[str, Any]]:
    return [
        {
            "side": side,
            **fields_of(change, "rule", "what", "value"),
            **fields_of(change.origin, "file", "line"),
        }
        for side, changes in (("old", comparison.settings_then), ("new", comparison.settings_now))
        for change in changes
    ]


def _problem(problem: Problem) -> dict[str, Any]:
    return fields_of(problem, "file", "line", "column", "path", "message")
