"""A term as text and as CSV: one line an apprentice."""

import csv
import io
from collections.abc import Iterator

from underfoot.checking.caution import CAUTION
from underfoot.marking.term import Standing, Term
from underfoot.reporting.layout import WIDTH, escape_invisible, hanging_indent
from underfoot.reporting.spreadsheet import Cell, safe_text

# An outcome that stands in place of a number which nobody may record.
_COUNTS = ("passed", "not passed")


def write_term_text(term: Term) -> Iterator[str]:
    """Write a term for a terminal."""
    for number, marking in enumerate(term.markings, 1):
        said = (
            f"{escape_invisible(marking.title)}: {marking.marks:g} marks, {marking.pass_mark:g} "
            "to pass"
        )
        yield from hanging_indent(f"{number}  ", said, WIDTH)
    yield ""
    for course in term.courses:
        marks = ", ".join(_say(one) for one in course.standings)
        still = ", ".join(
            f"{escape_invisible(habit.rule)} ({number} times)"
            if (number := sum(map(bool, habit.times))) > 1
            else escape_invisible(habit.rule)
            for habit in course.still
        )
        first = f"  {escape_invisible(course.name)}  "
        yield from hanging_indent(first, f"{marks}; still wrong: {still or 'nothing'}", WIDTH, 6)
    if term.still:
        yield ""
        told = ", ".join(
            f"{escape_invisible(rule)} ({len(names)})" for rule, names in term.still[:8]
        )
        yield from hanging_indent("Still wrong with most  ", told, WIDTH)
    yield ""
    yield from hanging_indent("CAUTION  ", CAUTION, WIDTH)


def _say(standing: Standing | None) -> str:
    if standing is None:
        return "–"
    if standing.mark is None:
        return standing.outcome
    more = standing.grade or (standing.outcome if standing.outcome != "passed" else "")
    return f"{standing.mark:g} {escape_invisible(more)}".strip()


def write_term_csv(term: Term) -> str:
    """Write a term as CSV: marks and outcomes in columns of their own, numbers as numbers."""
    out = io.StringIO()
    writer = csv.writer(out)
    head: list[Cell] = ["apprentice"]
    for number, marking in enumerate(term.markings, 1):
        title = f"{number} {marking.title}"
        head += [
            safe_text(f"{title}: {what}")
            for what in (f"mark of {marking.marks:g}", "outcome", "grade")
        ]
    writer.writerow([*head, "still wrong"])
    for course in term.courses:
        row: list[Cell] = [safe_text(course.name)]
        for one in course.standings:
            row += _cells(one)
        writer.writerow([*row, safe_text(", ".join(habit.rule for habit in course.still))])
    return "\ufeff" + out.getvalue()


def _cells(standing: Standing | None) -> list[Cell]:
    if standing is None:
        return [None, None, None]
    counts = standing.mark is not None and standing.outcome in _COUNTS
    mark = f"{standing.mark:g}" if counts else None
    grade = None if standing.grade is None else safe_text(standing.grade)
    return [mark, safe_text(standing.outcome), grade]
