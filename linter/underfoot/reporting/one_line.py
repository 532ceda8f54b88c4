"""The report a line at a time: plain lines, code hosts' annotations, and their code-quality JSON.

All three hold the same rows: every finding that counts, what of a plan or the settings could not be
read, a rule that crashed, and what could not be judged and may be an error.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from underfoot.checking.matching import identity_of
from underfoot.checking.report import PlanReport, Report
from underfoot.reading.problem import Problem
from underfoot.reporting.json import encode
from underfoot.reporting.layout import reveal

UNREADABLE_RULE = "unreadable"


class Row(NamedTuple):
    """One thing to say, at its place; `key` tells it from all others and names no line."""

    path: str
    line: int
    column: int
    severity: str
    message: str
    rule: str
    key: tuple[str, ...]


def list_rows(report: Report) -> Iterator[Row]:
    """List what is to be said, in order; what a waiver covers or was known before is left out."""
    for number, problem in enumerate(report.problems):
        yield _problem_row(problem, problem.file or "", number)
    for plan in report.plans:
        yield from _plan_rows(plan)


def _plan_rows(plan: PlanReport) -> Iterator[Row]:
    for number, problem in enumerate(plan.problems):
        yield _problem_row(problem, problem.file or plan.path, number)
    met: Counter[tuple[str, ...]] = Counter()
    for finding in plan.findings:
        rule, room, items = identity_of(finding)
        key = (plan.path, rule, room or "", *items)
        met[key] += 1
        known = finding.earlier is not None and finding.earlier.state == "known"
        if finding.waiver is None and not known:
            yield Row(plan.path, finding.line, finding.column, finding.severity,
                      f"{finding.message} {finding.remedy}", finding.rule,
                      (*key, str(met[key])))  # fmt: skip
    for fault in plan.faults:
        said = f"a fault of the tool, not of the plan: {fault.message}"
        yield Row(plan.path, 1, 1, "error", said, fault.rule, (plan.path, fault.rule, "fault"))
    for row in plan.checks:
        for reason in row.reasons:
            if reason.worst == "error":
                points = "a point" if reason.points == 1 else f"{reason.points} points"
                said = f"{points} could not be judged and may be an error: {reason.why}."
                if reason.write:
                    said += f" {reason.write}"
                yield Row(plan.path, 1, 1, "unjudged", said, row.rule,
                          (plan.path, row.rule, "unjudged", reason.why))  # fmt: skip


def _problem_row(problem: Problem, path: str, number: int) -> Row:
    key = (path, UNREADABLE_RULE, problem.path, str(number))
    return Row(path, problem.line, problem.column, "error", problem.message, UNREADABLE_RULE, key)


def write_lines(report: Report) -> Iterator[str]:
    """Write ``path:line:column: severity: message [rule]``, a line each and nothing else."""
    for row in list_rows(report):
        path = _harmless(reveal(row.path))
        said = f"{row.severity}: {_one_line(row.message)} [{row.rule}]"
        yield f"{path}:{row.line}:{row.column}: {said}\n"


# GitHub's workflow commands know three levels.
_LEVELS = {"error": "error", "unjudged": "warning", "warning": "warning", "note": "notice"}


def write_annotations(report: Report) -> Iterator[str]:
    """Write the workflow commands by which GitHub marks lines of a change."""
    for row in list_rows(report):
        level = _LEVELS[row.severity]
        places = f"file={_property(row.path)},line={row.line},col={row.column}"
        title = _property(f"underfoot {row.rule}")
        yield f"::{level} {places},title={title}::{_data(_one_line(row.message))}\n"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(reveal(text)).replace(":", "%3A").replace(",", "%2C")


# GitLab's code quality knows five.
_SEVERITIES = {"error": "critical", "unjudged": "major", "warning": "minor", "note": "info"}


def write_code_quality(report: Report) -> Iterator[str]:
    """Write the JSON list that GitLab shows as code quality; the fingerprint names no line."""
    yield "["
    before = "\n"
    for row in list_rows(report):
        issue = {
            "description": _one_line(row.message),
            "check_name": row.rule,
            "fingerprint": hashlib.sha256("\0".join(row.key).encode()).hexdigest(),
            "severity": _SEVERITIES[row.severity],
            "location": {"path": row.path, "lines": {"begin": row.line}},
        }
        yield f"{before}{encode(issue)}"
        before = ",\n"
    yield "\n]\n"


def _one_line(text: str) -> str:
    return " ".join(reveal(text).split())


def _harmless(path: str) -> str:
    # A file may be called so that a line which begins with its name is a command to a CI service.
    return f"./{path}" if path.startswith((":", "#")) else path
