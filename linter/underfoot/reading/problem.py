"""What keeps a file from being read, and where."""

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace


class Problem(Struct, frozen=True, kw_only=True):
    """One reason why a file cannot be read.

    `line` and `column` are 1-based, columns in Unicode code points. `path` is the place in the
    data (``rooms.hall.outline``), "" for the whole document. `file` is set where the place is in
    another file than the one being read (a catalogue): line and column are positions in that file.
    """

    message: str
    path: str = ""
    line: int = 1
    column: int = 1
    file: str | None = None


def problem_at(message: str, path: str, position: tuple[int, int]) -> Problem:
    """The problem at a line and column."""
    line, column = position
    return Problem(message=message, path=path, line=line, column=column)


def in_file(problems: Iterable[Problem], file: str) -> tuple[Problem, ...]:
    """The problems as those of a file that is named, in reading order."""
    return sort_problems([replace(problem, file=file) for problem in problems])


def order_of(problem: Problem) -> tuple[str, int, int, str, str]:
    """The key that problems are sorted by: the read file first, then line, column, path, words."""
    return (problem.file or "", problem.line, problem.column, problem.path, problem.message)


def sort_problems(problems: list[Problem]) -> tuple[Problem, ...]:
    """The problems in reading order, each once."""
    return tuple(sorted(dict.fromkeys(problems), key=order_of))
