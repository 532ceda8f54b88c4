"""A trainer's own comments and adjustments, read from a file and kept beside the tool's mark."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from underfoot.marking.marks import NOTHING, read_marks
from underfoot.reading.paths import join_path, locate
from underfoot.reading.problem import Problem, sort_problems
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import parse
from underfoot.reading.wording import show


class Adjustment(NamedTuple):
    """Marks given (+) or taken (-) by hand, and why."""

    by: Fraction
    because: str
    topic: str | None = None


class Comment(NamedTuple):
    """What one marker says of one submission."""

    comment: str | None = None
    handed_in: date | None = None
    adjust: tuple[Adjustment, ...] = ()

    @property
    def by(self) -> Fraction:
        """All adjustments together."""
        return sum((one.by for one in self.adjust), NOTHING)


class Comments(NamedTuple):
    """One marker's comments, by the apprentice's name or number."""

    marker: str
    submissions: Mapping[str, Comment]


class CommentsReading(NamedTuple):
    """What reading a comments file came to; `comments` is None where there are problems."""

    comments: Comments | None
    problems: tuple[Problem, ...]


def read_comments(source: bytes, path: str) -> CommentsReading:
    """Read comments of format 1; `path` names the file in the problems."""
    parsed = parse(source)
    checked = check_data(parsed, "comments")
    problems = [*parsed.problems, *checked.problems]
    found: dict[str, Comment] = {}
    if not problems and checked.data is not None:
        for name, told in checked.data["submissions"].items():
            day = None
            if "handed_in" in told:
                try:
                    day = date.fromisoformat(told["handed_in"])
                except ValueError:
                    place = join_path(("submissions", name, "handed_in"))
                    said = f"there is no day {show(told['handed_in'])}"
                    problems.append(Problem(said, place, *locate(place, parsed.positions)))
            adjust = tuple(
                Adjustment(read_marks(one["by"]), one["because"], one.get("topic"))
                for one in told.get("adjust", ())
            )
            found[name] = Comment(told.get("comment"), day, adjust)
    if problems or checked.data is None:
        located = [Problem(one.message, one.path, one.line, one.column, path) for one in problems]
        return CommentsReading(None, sort_problems(located))
    return CommentsReading(Comments(checked.data["marker"], found), ())
