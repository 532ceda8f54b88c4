"""What keeps a file from being read as text: the same wherever it is told."""

from underfoot.checking.report import PlanReport
from underfoot.reporting.ink import Ink, link, paint
from underfoot.reporting.layout import escape_invisible, hanging_indent
from underfoot.reporting.phrases import as_sentence, say_path
from underfoot.reporting.quoted_lines import excerpts_of, quote_problem


def write_problems(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    """Write every problem: where, the line with signs below what is meant, what is wrong."""
    lines: list[str] = []
    excerpts = excerpts_of(plan)
    margin = len(str(len(plan.problems))) + 1
    for number, problem in enumerate(plan.problems, 1):
        file = problem.file or say_path(plan.path)
        place = escape_invisible(f"{file}:{problem.line}:{problem.column}")
        first = f"{number:>{margin}}  "
        blank = " " * len(first)
        linked = link(paint(place, ink.strong, ink), problem.file or plan.path, ink)
        lines.append(paint(first, ink.strong, ink) + linked)
        excerpt = excerpts.get((problem.file, problem.line, problem.column))
        if excerpt is not None:
            lines += quote_problem(excerpt, blank, width, ink)
        if problem.path:
            lines += hanging_indent(blank, problem.path, width)
        lines += [*hanging_indent(blank, as_sentence(problem.message), width), ""]
    return lines
