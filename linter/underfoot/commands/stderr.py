"""Problems said on standard error."""

from collections.abc import Sequence

from msgspec.structs import replace

from underfoot.checking.report import PlanReport
from underfoot.commands.on_terminal import ink_err, width_err
from underfoot.commands.output_files import say
from underfoot.reading.problem import Problem
from underfoot.reporting.layout import count_of
from underfoot.reporting.text import say_problem
from underfoot.reporting.text_problems import write_problems


def say_unread(report: PlanReport) -> None:
    """Say why a file could not be read as the check's report does, with the lines at fault.

    Where there is no line to be shown, as of a file that is not there, one line says it.
    """
    if not report.excerpts:
        say_run_problems([replace(one, file=one.file or report.path) for one in report.problems])
        return
    files = {one.file or report.path for one in report.problems}
    named = files.pop() if len(files) == 1 else report.path
    *lines, _ = write_problems(report, width_err(), ink_err())
    say(f"{named}: {report.verdict}: {count_of(len(report.problems), 'problem')}", lines)


def say_run_problems(problems: Sequence[Problem]) -> None:
    """Say what could not be checked as asked and belongs to no plan."""
    for problem in problems:
        say(say_problem(problem))
