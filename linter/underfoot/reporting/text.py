"""The report as text, made for the person who has to put the plan right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from underfoot.checking.report import (
    NO_OBJECTION,
    REVISE,
    UNREADABLE,
    WITH_COMMENTS,
    Changed,
    PlanReport,
    Report,
)
from underfoot.reading.problem import Problem
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.layout import WIDTH, both_ends, count_of, hang, reveal, wrap
from underfoot.reporting.text_findings import write_findings

VERDICTS = (REVISE, WITH_COMMENTS, NO_OBJECTION, UNREADABLE)
_MEANS = {
    REVISE: "work must not start as drawn.",
    WITH_COMMENTS: "put them right, or have a reviewer agree.",
    NO_OBJECTION: "nothing was found that speaks against the plan.",
    UNREADABLE: "the plan was not checked.",
}
_STANDARD_INPUT = "-"


def write_text(report: Report, *, width: int = WIDTH, ink: Ink = PLAIN) -> Iterator[str]:
    """Write the report piece by piece: each plan, then the summary, then the caution, once."""
    before: PlanReport | None = None
    for plan in report.plans:
        yield _joined(_plan(plan, before, width, ink))
        before = plan
    yield _joined(_end(report, width, ink))


def _joined(lines: Sequence[str]) -> str:
    return "\n".join(lines) + "\n"


def _plan(plan: PlanReport, before: PlanReport | None, width: int, ink: Ink) -> list[str]:
    lines = [*_head(plan, width, ink), ""]
    if plan.faults:
        lines += [*_faults(plan, width, ink), ""]
    if plan.verdict == UNREADABLE:
        return [*lines, *_problems(plan, width, ink)]
    if plan.findings:
        lines += [*write_findings(plan, width, ink), ""]
    if plan.counts.undecided:
        lines += [*_not_judged(plan, width, ink), ""]
    if plan.changed:
        lines += [*_changed(plan, before, width, ink), ""]
    return [*lines, *_checked(plan, width, ink), ""]


def _head(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    path = "standard input" if plan.path == _STANDARD_INPUT else plan.path
    title = both_ends(plan.title, path, width) if plan.title else [reveal(path)]
    marks = [
        mark
        for mark in (
            plan.reference,
            f"revision {plan.revision}" if plan.revision else None,
            plan.status,
        )
        if mark
    ]
    lines = ["=" * width, *(paint(line, ink.strong, ink) for line in title)]
    if marks:
        lines += wrap(" · ".join(marks), width)
    return [*lines, "", *_verdict(plan, width, ink)]


def _verdict(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    means = _MEANS[plan.verdict]
    if plan.faults:
        means = f"but {count_of(len(plan.faults), 'rule')} crashed and could not say anything."
        if plan.verdict == REVISE:
            means = f"{_MEANS[REVISE]} {means[4].upper()}{means[5:]}"
    elif plan.verdict == NO_OBJECTION and plan.counts.undecided:
        means = f"but {count_of(plan.counts.undecided, 'point')} could not be judged."
    first, *more = hang("", f"{plan.verdict.upper()} – {means}", width, 4)
    word = plan.verdict.upper()
    code = ink.error if plan.faults else _verdict_code(plan.verdict, ink)
    first = paint(word, code, ink) + first[len(word) :]
    return [first, *more, *wrap(_counts(plan), width)]


def _verdict_code(verdict: str, ink: Ink) -> str:
    if verdict == NO_OBJECTION:
        return ink.good
    return ink.warning if verdict == WITH_COMMENTS else ink.error


def _counts(plan: PlanReport) -> str:
    if plan.verdict == UNREADABLE:
        return count_of(len(plan.problems), "problem")
    counts = plan.counts
    parts = [
        count_of(number, thing)
        for number, thing in (
            (counts.error, "error"),
            (counts.warning, "warning"),
            (counts.note, "note"),
        )
        if number
    ]
    if counts.waived:
        parts.append(f"{counts.waived} waived")
    if not parts:
        parts.append("no findings")
    if counts.undecided:
        parts.append(f"{count_of(counts.undecided, 'point')} not judged")
    return " · ".join(parts)


def _faults(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    lines: list[str] = []
    for fault in plan.faults:
        lines.append(paint(reveal(f"!!! RULE CRASHED: {fault.rule}"), ink.error, ink))
        lines += hang("    ", fault.message, width)
    says = (
        "A crash is a fault of the tool, not of the plan: please report it. What crashed has not "
        "judged this plan."
    )
    return lines + wrap(says, width)


def _problems(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    lines: list[str] = []
    for number, problem in enumerate(plan.problems, 1):
        place = f"{problem.file or plan.path}:{problem.line}:{problem.column}"
        first = f"{number:>2}  "
        lines.append(first + paint(reveal(place), ink.strong, ink))
        if problem.path:
            lines += hang(" " * len(first), problem.path, width)
        lines += [*hang(" " * len(first), _sentence(problem.message), width), ""]
    return lines


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else text + "."


def _not_judged(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    points: Counter[str] = Counter()
    rules: dict[str, list[str]] = {}
    for row in plan.checks:
        if not row.undecided:
            continue
        for why, number in row.reasons or ((row.why or "no reason is given", row.undecided),):
            points[why] += number
            rules.setdefault(why, []).append(row.rule)
    total = plan.counts.undecided
    lines = [paint(f"NOT JUDGED: {count_of(total, 'point')}", ink.strong, ink)]
    margin = len(str(total)) + 1
    for why, number in sorted(points.items(), key=lambda pair: (-pair[1], pair[0])):
        said = f"{why} – {', '.join(rules[why])}"
        lines += hang(f"{number:>{margin}}  ", said, width)
    return lines


def _changed(plan: PlanReport, before: PlanReport | None, width: int, ink: Ink) -> list[str]:
    head = "SETTINGS THAT ARE NOT THE DEFAULTS"
    if before is not None and before.changed == plan.changed:
        return hang(f"{head}: ", "the same as for the plan above", width, 4)
    lines = [paint(head, ink.strong, ink)]
    for change in plan.changed:
        lines += hang("  ", f"{change.rule}: {_said(change)}", width, 6)
        origin = change.origin
        lines += hang("      ", f"{origin.file}:{origin.line}: {origin.because}", width)
    return lines


def _said(change: Changed) -> str:
    if change.what == "off":
        return "switched off, so that nothing was checked by it"
    if change.what == "severity":
        return f"counts as {_with_article(change.value)}"
    if change.what == "undecided":
        return f"what it cannot judge counts as {_with_article(change.value)}"
    if change.default is None:
        return f"{change.what} {change.value}"
    return f"{change.what} {change.value}, not {change.default}"


def _with_article(word: str) -> str:
    return f"{'an' if word[:1] in 'aeiou' else 'a'} {word}"


def _checked(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    points = sum(row.checked for row in plan.checks)
    found = sum(row.found for row in plan.checks)
    undecided = plan.counts.undecided
    idle = sum(not row.checked for row in plan.checks)
    said = (
        f"{count_of(points, 'point')} by {count_of(len(plan.checks) - idle, 'rule')}: "
        f"{points - found - undecided} in order, {found} with a finding, {undecided} not judged."
    )
    if idle:
        said += f" {count_of(idle, 'rule')} found nothing in the plan to look at."
    if plan.today:
        said += f" Dates were judged as of {plan.today}."
    return [paint(line, ink.faint, ink) for line in hang("CHECKED  ", said, width)]


def _end(report: Report, width: int, ink: Ink) -> list[str]:
    lines = ["=" * width]
    if report.problems:
        lines += [*_run_problems(report.problems, width, ink), ""]
    if len(report.plans) > 1 or report.passed_over:
        lines += [*_summary(report, width, ink), ""]
    return lines + hang("CAUTION  ", report.caution, width)


def _run_problems(problems: Sequence[Problem], width: int, ink: Ink) -> list[str]:
    lines = [paint("NOT CHECKED AS ASKED", ink.error, ink)]
    for problem in problems:
        lines += hang("  ", say_problem(problem), width, 6)
    return lines


def say_problem(problem: Problem) -> str:
    """Say a problem that belongs to no plan in one line."""
    place = problem.file or ""
    if (problem.path, problem.line, problem.column) != ("", 1, 1):
        place += f":{problem.line}:{problem.column}"
    return reveal(f"{place}: {problem.message}" if place else problem.message)


def _summary(report: Report, width: int, ink: Ink) -> list[str]:
    verdicts = Counter(plan.verdict for plan in report.plans)
    lines = [paint(count_of(len(report.plans), "plan").upper(), ink.strong, ink)]
    margin = len(str(len(report.plans))) + 1
    for verdict in VERDICTS:
        if not verdicts[verdict]:
            continue
        word = paint(verdict, _verdict_code(verdict, ink), ink)
        lines.append(f"{verdicts[verdict]:>{margin}}  {word}")
        if verdict == NO_OBJECTION:
            continue
        for plan in report.plans:
            if plan.verdict == verdict:
                blank = " " * (margin + 4)
                lines += [blank + line for line in _summed_up(plan, width - len(blank))]
    crashed = sum(bool(plan.faults) for plan in report.plans)
    if crashed:
        lines.append(paint(f"  !!! rules crashed on {count_of(crashed, 'plan')}", ink.error, ink))
    unjudged = sum(plan.counts.undecided for plan in report.plans)
    if unjudged:
        lines += hang("  ", f"{count_of(unjudged, 'point')} could not be judged.", width)
    if report.passed_over:
        said = (
            f"{report.passed_over} passed over in the folders: what is hidden, settings, "
            "catalogues and other files that are no plans."
        )
        lines += hang("  ", said, width)
    return lines


def _summed_up(plan: PlanReport, width: int) -> list[str]:
    path = "standard input" if plan.path == _STANDARD_INPUT else reveal(plan.path)
    counts = _counts(plan).replace(" · ", ", ")
    if len(path) + 2 + len(counts) <= width:
        return [f"{path}  {counts}"]
    return [path, *hang("  ", counts, width)]
