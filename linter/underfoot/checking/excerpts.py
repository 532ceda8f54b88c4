"""The lines of a file that a report points at, cut to what can be shown."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from underfoot.checking.report import Excerpt, PlanReport
from underfoot.reading.plan_file import Taken
from underfoot.reading.problem import Problem

# So much of a line is kept on either side: no report is wider.
_AROUND = 120
# A key or a figure as it is written; what else there is, is one mark.
_WORD = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'|[^\s:,\[\]{}#\"']+")
_MOST_MEANT = 60


class _Place(Struct, frozen=True, kw_only=True):
    """A line and a column of a file; `file` is None for the plan itself."""

    line: int
    column: int
    file: str | None = None


def quote_places(report: PlanReport, source: bytes, taken: Taken | None) -> tuple[Excerpt, ...]:
    """Quote every line that a report points at, each place once; what is not there is left out."""
    places = []
    for finding in report.findings:
        places.append(_Place(line=finding.line, column=finding.column))
        places += [_Place(line=line, column=column) for line, column in finding.related_at]
    read: dict[str | None, bytes] = {None: source}
    if taken is not None and taken.source is not None:
        read[taken.file] = taken.source
    problems = quote_problems(report.problems, read)
    return (*_quote(source, places), *problems)


def quote_problems(
    problems: Sequence[Problem], sources: Mapping[str | None, bytes]
) -> Iterator[Excerpt]:
    """Quote the lines in which there are problems; None stands for the file that was read."""
    for file, source in sources.items():
        yield from _quote(
            source,
            [
                _Place(line=problem.line, column=problem.column, file=file)
                for problem in problems
                if problem.file == file
            ],
        )


def _quote(source: bytes, places: Iterable[_Place]) -> Iterator[Excerpt]:
    wanted = dict.fromkeys(places)
    if not wanted:
        return
    text = source.decode("utf-8-sig", "replace")
    # As YAML and the reading of it count lines.
    lines = re.split(r"\r\n|\r|\n", text) if "\r" in text else text.split("\n")
    for place in wanted:
        if place.line <= len(lines):
            excerpt = _cut_out(lines[place.line - 1], place)
            if excerpt.text.strip():
                yield excerpt


def _cut_out(line: str, place: _Place) -> Excerpt:
    at = min(place.column, len(line) + 1) - 1
    start, end = max(at - _AROUND, 0), at + _AROUND
    meant = _WORD.match(line, at, at + _MOST_MEANT)
    return Excerpt(
        file=place.file,
        line=place.line,
        column=place.column,
        text=line[start:end],
        before=at - start,
        meant=max(len(meant[0]), 1) if meant else 1,
        is_begun=start > 0,
        is_cut=end < len(line),
    )
