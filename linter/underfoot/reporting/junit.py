"""The report as JUnit XML, for the test page of a CI service: one case for each rule and plan.

A case fails where the exit status does: what is not severe enough, waived or known stands in its
output.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from underfoot.checking.exit_status import RefuseAt, counts_for_status, lacks_for_status
from underfoot.checking.report import CheckRow, PlanReport, Report, ReportedFinding
from underfoot.reading.problem import Problem
from underfoot.reporting.layout import count_of, reveal
from underfoot.reporting.phrases import (
    say_basis,
    say_decision,
    say_earlier,
    say_path,
    say_review,
    say_verdict,
    say_waiver,
)

_IN_TEXT = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_IN_ATTRIBUTE = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})


class _Case(NamedTuple):
    name: str
    # What came of it: `failure`, `error`, `skipped`, or "" where it passed.
    came: str = ""
    message: str = ""
    text: str = ""
    output: str = ""


def write_junit(report: Report, refuse_at: RefuseAt = "error") -> Iterator[str]:
    """Write the report piece by piece: a suite for each plan."""
    suites = [
        (name, _properties(plan, report.caution), _cases(plan, refuse_at))
        for plan, name in zip(report.plans, _names(report.plans), strict=True)
    ]
    if report.problems:
        cases = _numbered(report.problems, "what was named to be checked")
        suites.append(("the run", [("caution", report.caution)], cases))
    every = [case for _, _, cases in suites for case in cases]
    yield '<?xml version="1.0" encoding="UTF-8"?>\n'
    yield f'<testsuites name="underfoot"{_counts(every)}>\n'
    for name, properties, cases in suites:
        yield f'<testsuite name="{_attribute(name)}"{_counts(cases)}>\n<properties>\n'
        for key, value in properties:
            yield f'<property name="{key}" value="{_attribute(value)}"/>\n'
        yield "</properties>\n" + "".join(_written(case, name) for case in cases)
        yield "</testsuite>\n"
    yield "</testsuites>\n"


def _names(plans: Sequence[PlanReport]) -> list[str]:
    # Two files may be shown alike where their names cannot be decoded; names must differ.
    names: dict[str, int] = {}
    given = []
    for plan in plans:
        path = say_path(plan.path)
        names[path] = names.get(path, 0) + 1
        given.append(path if names[path] == 1 else f"{path} ({names[path]})")
    return given


def _properties(plan: PlanReport, caution: str) -> list[tuple[str, str]]:
    told = {
        "verdict": plan.verdict,
        "means": say_verdict(plan),
        "title": plan.title,
        "reference": plan.reference,
        "revision": plan.revision,
        "status": plan.status,
        "today": plan.today,
        "review": plan.review and f"{plan.review.file}: {say_review(plan, plan.review)}",
        "caution": caution,
    }
    return [(key, value) for key, value in told.items() if value]


def _cases(plan: PlanReport, refuse_at: RefuseAt) -> list[_Case]:
    if plan.problems:
        return _numbered(plan.problems, "the plan can be read", plan.path)
    by_rule: dict[str, list[ReportedFinding]] = {}
    for finding in plan.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    cases = [_judged(row, by_rule.get(row.rule, ()), plan.path, refuse_at) for row in plan.checks]
    cases += [
        _Case(fault.rule, "error", "the rule crashed: a fault of the tool", fault.message)
        for fault in plan.faults
    ]
    return sorted(cases, key=lambda case: case.name)


def _numbered(problems: Sequence[Problem], name: str, path: str = "") -> list[_Case]:
    told = []
    for problem in problems:
        place = f"{problem.file or path}:{problem.line}:{problem.column}"
        told.append(f"{place}: {problem.message}")
    return [_Case(name, "error", problems[0].message, "\n".join(told))]


def _judged(
    row: CheckRow, findings: Sequence[ReportedFinding], path: str, refuse_at: RefuseAt
) -> _Case:
    failing = [finding for finding in findings if counts_for_status(finding, refuse_at)]
    rest = [finding for finding in findings if not counts_for_status(finding, refuse_at)]
    lacking = lacks_for_status(row, refuse_at)
    left = [_left(row)] if row.undecided else []
    output = "\n\n".join([*(_told(finding, path) for finding in rest), *([] if lacking else left)])
    if failing or lacking:
        if failing:
            message = failing[0].message
            if len(failing) > 1:
                message += f" ({count_of(len(failing), 'finding')})"
        else:
            message = f"not judged, and may be an error: {row.why}"
        told = "\n\n".join(
            [*(_told(finding, path) for finding in failing), *(left if lacking else [])]
        )
        return _Case(row.rule, "failure", message, told, output)
    if rest and all(finding.waiver for finding in rest):
        return _Case(row.rule, "skipped", f"waived: {_waivers(rest)}", output=output)
    if not row.checked:
        return _Case(row.rule, "skipped", "the plan has nothing that this rule is about")
    if row.undecided == row.checked:
        return _Case(row.rule, "skipped", f"not judged: {row.why}", output=output)
    return _Case(row.rule, output=output)


def _left(row: CheckRow) -> str:
    lines = [f"{count_of(row.undecided, 'point')} not judged: {row.why}"]
    for reason in row.reasons:
        if reason.write:
            grave = " (may be an error)" if reason.worst == "error" else ""
            lines.append(f"To do{grave}: {reason.write}")
    return "\n".join(map(reveal, lines))


def _waivers(findings: Sequence[ReportedFinding]) -> str:
    said = [say_waiver(finding.waiver) for finding in findings if finding.waiver]
    return "; ".join(dict.fromkeys(said))


def _told(finding: ReportedFinding, path: str) -> str:
    about = " · ".join(part for part in (finding.room, ", ".join(finding.items)) if part)
    lines = [
        f"{finding.number}  {finding.severity}  {about or 'the whole plan'}",
        f"{path}:{finding.line}:{finding.column}",
        finding.message,
        f"To do: {finding.remedy}",
        *(f"{name}: {text}" for name, text in finding.details),
        f"Why: {finding.why}",
        f"Basis: {say_basis(finding.basis)}",
    ]
    if finding.waiver:
        lines.append(f"Waived: {say_waiver(finding.waiver)}")
    if finding.decision:
        lines.append(f"Decided: {say_decision(finding.decision)}")
    if finding.earlier:
        lines.append(f"Earlier: {say_earlier(finding, finding.earlier)}")
    return "\n".join(map(reveal, lines))


def _counts(cases: Sequence[_Case]) -> str:
    came = [case.came for case in cases]
    return (
        f' tests="{len(cases)}" failures="{came.count("failure")}" errors="{came.count("error")}"'
        f' skipped="{came.count("skipped")}"'
    )


def _written(case: _Case, suite: str) -> str:
    head = f'<testcase classname="{_attribute(suite)}" name="{_attribute(case.name)}"'
    inner = ""
    if case.came:
        inner += (
            f'<{case.came} message="{_attribute(case.message)}">{_text(case.text)}</{case.came}>'
        )
    if case.output:
        inner += f"<system-out>{_text(case.output)}</system-out>"
    return f"{head}>{inner}</testcase>\n" if inner else f"{head}/>\n"


def _attribute(text: str) -> str:
    return reveal(text).translate(_IN_ATTRIBUTE)


def _text(text: str) -> str:
    # What XML cannot hold is not printable, and so is written out.
    return "\n".join(map(reveal, text.split("\n"))).translate(_IN_TEXT)
