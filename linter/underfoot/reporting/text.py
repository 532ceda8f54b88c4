"""The report as text, made for the person who has to put the plan right."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from underfoot.checking.report import (
    NO_OBJECTION,
    UNREADABLE,
    WITH_COMMENTS,
    Brief,
    Changed,
    HeldAgainst,
    PlanReport,
    Report,
)
from underfoot.checking.summing import Summary
from underfoot.reading.problem import Problem
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.layout import (
    WIDTH,
    both_ends,
    count_of,
    escape_invisible,
    hanging_indent,
    wrap,
)
from underfoot.reporting.phrases import (
    CRASHED,
    VERDICTS,
    points_not_judged,
    say_asked,
    say_checked,
    say_counts,
    say_held,
    say_path,
    say_review,
    say_verdict,
)
from underfoot.reporting.settings_list import write_changes
from underfoot.reporting.text_findings import write_findings, write_reasons
from underfoot.reporting.text_problems import write_problems
from underfoot.reporting.writer import write_whole


def write_text(report: Report, *, width: int = WIDTH, ink: Ink = PLAIN) -> Iterator[str]:
    """Write a report that is at hand as a whole, piece by piece."""
    return write_whole(TextWriter(width, ink), report)


class TextWriter:
    """Writes each plan as it comes, then the summary, then the caution, once.

    `with_checked` tells how much was checked, which of a part of a report cannot be said.
    """

    def __init__(self, width: int = WIDTH, ink: Ink = PLAIN, *, with_checked: bool = True) -> None:
        self.width = width
        self.ink = ink
        self.with_checked = with_checked
        # What settings changed for the plan above; None above the first.
        self.changed: Sequence[Changed] | None = None

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing."""
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write one plan."""
        lines = _plan(plan, self.changed, self.width, self.ink)
        if self.with_checked and plan.verdict != UNREADABLE:
            checked = hanging_indent("CHECKED  ", say_checked(plan), self.width)
            lines += [*(paint(line, self.ink.faint, self.ink) for line in checked), ""]
        yield _joined(lines)
        self.changed = plan.changed

    def end(self, run: Summary) -> Iterable[str]:
        """Write the summary and the caution."""
        yield _joined(_end(run, self.width, self.ink))


def _joined(lines: Sequence[str]) -> str:
    return "\n".join(lines) + "\n"


def _plan(plan: PlanReport, before: Sequence[Changed] | None, width: int, ink: Ink) -> list[str]:
    lines = [*_head(plan, width, ink), ""]
    if plan.review:
        said = f"{plan.review.file}: {say_review(plan, plan.review)}."
        lines += [*hanging_indent("REVIEW  ", said, width), ""]
    if plan.faults:
        lines += [*_faults(plan, width, ink), ""]
    if plan.verdict == UNREADABLE:
        return [*lines, *write_problems(plan, width, ink)]
    if plan.findings:
        lines += [*write_findings(plan, width, ink), ""]
    if plan.counts.undecided:
        lines += [*_not_judged(plan, width, ink), ""]
    if plan.findings:
        lines += [*write_reasons(plan, width, ink), ""]
    if plan.changed:
        lines += [*_changed(plan, before, width, ink), ""]
    return lines


def _head(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    path = say_path(plan.path)
    title = both_ends(plan.title, path, width) if plan.title else [escape_invisible(path)]
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
    return [*lines, "", *write_verdict(plan, width, ink)]


def write_verdict(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    """Write a plan's verdict, what it means for the work, and how many findings there are."""
    word = plan.verdict.upper()
    first, *more = hanging_indent("", f"{word} – {say_verdict(plan)}", width, 4)
    code = ink.error if plan.faults else verdict_code(plan.verdict, ink)
    first = paint(word, code, ink) + first[len(word) :]
    return [first, *more, *wrap(say_counts(plan.in_brief), width)]


def verdict_code(verdict: str, ink: Ink) -> str:
    """Return the colour of a verdict."""
    if verdict == NO_OBJECTION:
        return ink.good
    return ink.warning if verdict == WITH_COMMENTS else ink.error


def _faults(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    lines: list[str] = []
    for fault in plan.faults:
        lines.append(paint(escape_invisible(f"!!! RULE CRASHED: {fault.rule}"), ink.error, ink))
        lines += hanging_indent("    ", fault.message, width)
    return lines + wrap(CRASHED, width)


def _not_judged(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    counts = plan.counts
    margin = len(str(counts.undecided)) + 1
    lines: list[str] = []
    for may_be_error, head, total in (
        (True, "NOT JUDGED, AND MAY BE AN ERROR", counts.may_be_errors),
        (False, "NOT JUDGED", counts.undecided - counts.may_be_errors),
    ):
        if not total:
            continue
        if lines:
            lines.append("")
        code = ink.error if may_be_error else ink.strong
        head = f"{head}: {count_of(total, 'point')}"
        lines += [paint(line, code, ink) for line in wrap(head, width)]
        for each in points_not_judged(plan):
            if each.may_be_error == may_be_error:
                said = f"{each.why} – {', '.join(each.rules)}"
                lines += hanging_indent(f"{each.points:>{margin}}  ", said, width)
                for write in each.writes:
                    lines += hanging_indent(" " * (margin + 2) + "To do   ", write, width)
    return lines


def _changed(plan: PlanReport, before: Sequence[Changed] | None, width: int, ink: Ink) -> list[str]:
    head = "SETTINGS THAT ARE NOT THE DEFAULTS"
    if before == plan.changed:
        return hanging_indent(f"{head}: ", "the same as for the plan above", width, 4)
    return [paint(head, ink.strong, ink), *write_changes(plan.changed, width)]


def _end(report: Summary, width: int, ink: Ink) -> list[str]:
    lines = ["=" * width, *write_not_as_asked(report, width, ink)]
    if len(report.plans) > 1 or report.passed_over:
        lines += [*_summary(report, width, ink), ""]
    if report.earlier:
        lines += [*write_held(report.earlier, width, ink), ""]
    return lines + hanging_indent("CAUTION  ", report.caution, width)


def write_not_as_asked(report: Summary, width: int, ink: Ink) -> list[str]:
    """Write that not all rules were asked, and what could not be checked as asked."""
    lines: list[str] = []
    if report.rules_asked:
        lines += [*hanging_indent("NOT ALL RULES  ", say_asked(report.rules_asked), width), ""]
    if report.problems:
        lines.append(paint("NOT CHECKED AS ASKED", ink.error, ink))
        for problem in report.problems:
            lines += hanging_indent("  ", say_problem(problem), width, 6)
        lines.append("")
    return lines


def say_problem(problem: Problem) -> str:
    """Say a problem that belongs to no plan in one line."""
    place = problem.file or ""
    if (problem.path, problem.line, problem.column) != ("", 1, 1):
        place += f":{problem.line}:{problem.column}"
    return escape_invisible(f"{place}: {problem.message}" if place else problem.message)


def _summary(report: Summary, width: int, ink: Ink) -> list[str]:
    verdicts = Counter(plan.verdict for plan in report.plans)
    lines = [paint(count_of(len(report.plans), "plan").upper(), ink.strong, ink)]
    margin = len(str(len(report.plans))) + 1
    for verdict in VERDICTS:
        if not verdicts[verdict]:
            continue
        word = paint(verdict, verdict_code(verdict, ink), ink)
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
        lines += hanging_indent("  ", f"{count_of(unjudged, 'point')} could not be judged.", width)
    if report.passed_over:
        said = (
            f"{report.passed_over} passed over in the folders: what is hidden, settings, "
            "catalogues and other files that are no plans."
        )
        lines += hanging_indent("  ", said, width)
    return lines


def write_held(held: HeldAgainst, width: int, ink: Ink) -> list[str]:
    """Write how a run stands against an earlier report."""
    lines = [paint(escape_invisible(f"HELD AGAINST {held.name}"), ink.strong, ink)]
    says = f"{say_held(held)}. Only what is new or worse counts for the exit status."
    lines += hanging_indent("  ", says, width)
    for paths, what in ((held.gone, "no longer there"), (held.left_out, "not checked this time")):
        if paths:
            lines += hanging_indent("  ", f"{count_of(len(paths), 'plan')} {what}:", width)
            lines += [f"    {escape_invisible(path)}" for path in paths]
    return lines


def _summed_up(plan: Brief, width: int) -> list[str]:
    path = escape_invisible(say_path(plan.path))
    counts = say_counts(plan).replace(" · ", ", ")
    if len(path) + 2 + len(counts) <= width:
        return [f"{path}  {counts}"]
    return [path, *hanging_indent("  ", counts, width)]
