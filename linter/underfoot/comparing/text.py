"""Two revisions held side by side, as text."""

from collections.abc import Iterable, Iterator, Sequence

from underfoot.checking.caution import CAUTION
from underfoot.checking.report import ReportedFinding
from underfoot.comparing import Comparison, Side
from underfoot.comparing.words import (
    by_room,
    say_outcome,
    say_settings,
    say_severity,
    say_side,
    say_step,
    say_unjudged,
)
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
from underfoot.reporting.phrases import as_sentence, say_about, say_path
from underfoot.reporting.text import say_problem
from underfoot.reporting.text_problems import write_problems


def write_comparisons_text(
    comparisons: Sequence[Comparison],
    problems: Sequence[Problem] = (),
    *,
    width: int = WIDTH,
    ink: Ink = PLAIN,
    written: Iterable[str] | None = None,
) -> Iterator[str]:
    """Write every pair, then the summary, then the caution, once.

    `written` are the pairs where they are written already.
    """
    yield from written or (write_pair(each, width=width, ink=ink) for each in comparisons)
    lines = ["=" * width]
    for problem in problems:
        lines += hanging_indent("NOT COMPARED  ", say_problem(problem), width, 4)
    if len(comparisons) > 1:
        lines.append(paint(f"{count_of(len(comparisons), 'pair')}".upper(), ink.strong, ink))
        for comparison in comparisons:
            is_read = comparison.is_readable
            came = say_outcome(comparison) if is_read else "could not be compared"
            lines += hanging_indent("  ", f"{comparison.name}  {came}", width, 6)
        lines.append("")
    yield _joined([*lines, *hanging_indent("CAUTION  ", CAUTION, width)])


def write_pair(
    comparison: Comparison, place: int = 1, *, width: int = WIDTH, ink: Ink = PLAIN
) -> str:
    """Write one pair, whatever its `place` among them."""
    return _joined(_pair(comparison, width, ink))


def _joined(lines: Sequence[str]) -> str:
    return "\n".join(lines) + "\n"


def _pair(comparison: Comparison, width: int, ink: Ink) -> list[str]:
    newest = comparison.new or comparison.old
    title = None if newest is None else newest.report.title
    head = (
        both_ends(title, comparison.name, width) if title else [escape_invisible(comparison.name)]
    )
    lines = ["=" * width, *(paint(line, ink.strong, ink) for line in head), ""]
    lines += _side("OLD  ", comparison.old, width)
    lines += _side("NEW  ", comparison.new, width)
    for side in (comparison.old, comparison.new):
        if side is not None:
            lines += _trouble(side, width, ink)
    if any(side is not None and side.plan is None for side in (comparison.old, comparison.new)):
        return [*lines, ""]
    lines += ["", *wrap(say_outcome(comparison), width), ""]
    settings = say_settings(comparison)
    if settings:
        lines.append(paint("THE SETTINGS ARE NOT THE SAME", ink.warning, ink))
        for said in settings:
            lines += hanging_indent("  ", said, width, 6)
        lines.append("")
    lines += _findings(comparison, width, ink)
    lines += _changes(comparison, width, ink)
    return lines


def _side(label: str, side: Side | None, width: int) -> list[str]:
    if side is None:
        return hanging_indent(label, "there is no such plan", width)
    return hanging_indent(label, f"{say_path(side.report.path)} · {say_side(side)}", width)


def _trouble(side: Side, width: int, ink: Ink) -> list[str]:
    lines = write_problems(side.report, width, ink)[:-1]
    for fault in side.report.faults:
        lines += hanging_indent("  ", f"a rule crashed: {fault.rule}: {fault.message}", width, 6)
    return ["", paint("COULD NOT BE COMPARED", ink.error, ink), *lines] if lines else []


def _findings(comparison: Comparison, width: int, ink: Ink) -> list[str]:
    lines: list[str] = []
    if comparison.brought_in:
        lines.append(paint("BROUGHT IN", ink.error, ink))
        for finding in comparison.brought_in:
            lines += [*_finding(finding, width, place=comparison.new), ""]
    if comparison.unjudged:
        lines.append(paint("NOT JUDGED, AND MAY BE AN ERROR", ink.error, ink))
        for lost in comparison.unjudged:
            lines += hanging_indent("  ", f"{lost.rule}: {say_unjudged(lost)}", width, 6)
        lines.append("")
    changed = [each for each in comparison.left if not each.is_as_it_was]
    if changed:
        lines.append(paint("LEFT, AND CHANGED", ink.warning, ink))
        for each in changed:
            rows = _finding(each.new, width, place=comparison.new)
            lines += [*rows, *hanging_indent("      ", as_sentence(say_step(each)), width), ""]
    same = [each for each in comparison.left if each.is_as_it_was]
    if same:
        lines.append(paint("LEFT AS IT WAS", ink.strong, ink))
        for each in same:
            lines += [*_finding(each.new, width, place=comparison.new), ""]
    if comparison.cleared:
        lines.append(paint("CLEARED", ink.good, ink))
        for gone in comparison.cleared:
            lines += _finding(gone.finding, width, place=None)
            if gone.doubt:
                lines += hanging_indent("      ", f"NOT SURE: {gone.doubt}.", width)
            lines.append("")
    return lines


def _finding(finding: ReportedFinding, width: int, place: Side | None) -> list[str]:
    left = f"{finding.number:>3}  {say_severity(finding)}  {say_about(finding)}"
    first, *more = both_ends(left.strip(), finding.rule, width - 2)
    lines = [f"  {first}", *(f"      {line}" for line in more)]
    lines += hanging_indent("      ", finding.message, width)
    if place is not None:
        lines.append(escape_invisible(f"      {place.report.path}:{finding.line}:{finding.column}"))
    return lines


def _changes(comparison: Comparison, width: int, ink: Ink) -> list[str]:
    if comparison.old is None or comparison.new is None:
        return []
    if not comparison.changes:
        return ["Nothing in the plan itself is changed.", ""]
    lines = [paint("CHANGED IN THE PLAN", ink.strong, ink)]
    for room, several in by_room(comparison):
        lines += hanging_indent("  ", room, width)
        for together in several:
            lines += hanging_indent("    ", f"{together.name}: {together.change.text}", width, 8)
    return [*lines, ""]
