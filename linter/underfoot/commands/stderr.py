"""Problems said on standard error, one a line."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from underfoot.commands.output_files import say
from underfoot.reading.problem import Problem
from underfoot.reporting.text import say_problem


def say_problems(problems: Sequence[Problem], path: str) -> None:
    """Say each problem with its place; `path` is the plan's, as reports name it."""
    for problem in problems:
        say(say_problem(replace(problem, file=problem.file or path)))


def say_run_problems(problems: Sequence[Problem]) -> None:
    """Say what could not be checked as asked and belongs to no plan."""
    if problems:
        for problem in problems:
            say(say_problem(problem))
