"""What is marked in the text: problems, findings, points that could not be judged."""

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from underfoot.checking.report import ReportedFinding
from underfoot.editor.judgement import Judgement, Unjudged
from underfoot.editor.text_places import Span, span_at, split_lines
from underfoot.reading.problem import Problem
from underfoot.reporting.phrases import as_sentence, say_decision, say_waiver

Severity = Literal["error", "warning", "information", "hint"]

_OF_FINDING: dict[str, Severity] = {"error": "error", "warning": "warning", "note": "information"}
# No editor is to be filled with more; the gravest come first.
MOST_MARKS = 500
UNREADABLE = "unreadable"
UNJUDGED = "not-judged"


class Mark(Struct, frozen=True, kw_only=True):
    """One thing to be marked; `code` is a rule, `page` the place of its page.

    `related` are other places that belong to it, with what stands there. `number` is the
    finding's in the report, `missing` a key to be put in at `path`.
    """

    span: Span
    severity: Severity
    message: str
    code: str
    page: str | None = None
    related: tuple[tuple[Span, str], ...] = ()
    number: int | None = None
    path: str = ""


def list_marks(told: Judgement, text: str) -> tuple[Mark, ...]:
    """List what is to be marked in a text, the gravest first."""
    lines = split_lines(text)
    marks = [
        *_mark_remarks(told, lines),
        *(_mark_problem(each, lines) for each in told.problems),
        *_mark_held_back(told, lines),
        *(_mark_finding(each, told, lines) for each in told.findings),
        *_mark_unjudged(told, lines),
    ]
    return tuple(marks[:MOST_MARKS])


def _mark_remarks(told: Judgement, lines: Sequence[str]) -> Iterator[Mark]:
    first = span_at(lines, 1, 1)
    for remark in told.remarks:
        yield Mark(span=first, severity="error", message=as_sentence(remark), code=UNREADABLE)
    for fault in told.faults:
        said = f"a fault of the tool, not of the plan: {fault.message}"
        yield Mark(span=first, severity="error", message=as_sentence(said), code=fault.rule)


def _mark_problem(problem: Problem, lines: Sequence[str]) -> Mark:
    message = as_sentence(problem.message)
    if problem.file is not None:
        place = f"{problem.file}:{problem.line}:{problem.column}"
        key = next((row for row, line in enumerate(lines, 1) if line.startswith("catalogue:")), 1)
        return Mark(
            span=span_at(lines, key, 1),
            severity="error",
            message=f"{place}: {message}",
            code=UNREADABLE,
            path=problem.path,
        )
    return Mark(
        span=span_at(lines, problem.line, problem.column),
        severity="error",
        message=message,
        code=UNREADABLE,
        path=problem.path,
    )


def _mark_held_back(told: Judgement, lines: Sequence[str]) -> Iterator[Mark]:
    """Say that not all is told while something cannot be read."""
    if not told.problems or not told.verdict:
        return
    first = told.problems[0]
    line = first.line if first.file is None else 1
    message = "The plan is not judged whole: nothing is said of what hangs on what cannot be read."
    if told.held_back:
        message += f" Not told until then: {', '.join(told.held_back)}."
    yield Mark(
        span=span_at(lines, line, first.column if first.file is None else 1),
        severity="information",
        message=message,
        code=UNJUDGED,
    )


def _mark_finding(finding: ReportedFinding, told: Judgement, lines: Sequence[str]) -> Mark:
    severity = _OF_FINDING[finding.severity]
    said = [finding.message, finding.remedy]
    if finding.waiver is not None:
        severity = "hint"
        said.append(f"Waived: {say_waiver(finding.waiver)}.")
    if finding.decision is not None:
        said.append(f"Decided: {say_decision(finding.decision)}.")
    related = [
        (span_at(lines, line, column), path)
        for path, (line, column) in zip(finding.related, finding.related_at, strict=True)
    ]
    return Mark(
        span=span_at(lines, finding.line, finding.column),
        severity=severity,
        message=" ".join(said),
        code=finding.rule,
        page=told.pages.get(finding.rule),
        related=tuple((span, f"This belongs to it: {path}.") for span, path in related),
        number=finding.number,
        path=finding.path,
    )


def _mark_unjudged(told: Judgement, lines: Sequence[str]) -> Iterator[Mark]:
    """What may be an error, and could not be judged, keeps a plan from being passed."""
    seen: dict[tuple[str, str], list[Unjudged]] = {}
    for each in told.unjudged:
        if each.worst == "error":
            seen.setdefault((each.path, each.why), []).append(each)
    for (path, why), points in seen.items():
        first = points[0]
        rules = ", ".join(dict.fromkeys(each.rule for each in points))
        writes = " ".join(dict.fromkeys(each.write for each in points if each.write))
        yield Mark(
            span=span_at(lines, first.line, first.column),
            severity="information",
            message=f"Not judged ({rules}): {as_sentence(why)} {writes}".rstrip(),
            code=UNJUDGED,
            page=told.pages.get(first.rule),
            path=path,
        )
