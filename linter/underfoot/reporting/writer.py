"""How a report is written while its plans come: before them, each of them, after them."""

from collections.abc import Iterable, Iterator
from typing import Any, Protocol

from msgspec.structs import replace

from underfoot.checking.report import PlanReport, Report
from underfoot.checking.summing import Summary, sum_up


class Writer(Protocol):
    """Writes one report. What it yields goes out in that order; plans come in theirs.

    Where the head of a format tells what only the end knows, a writer yields nothing before `end`
    and keeps what it has written so far in a `Spool`.
    """

    def begin(self, run: Summary) -> Iterable[str]:
        """Write what stands before the first plan; `run` has no plan yet."""

    def add(self, plan: PlanReport, page: Any = None) -> Iterable[str]:
        """Write one plan; `page` are its drawings, where they were asked for."""

    def end(self, run: Summary) -> Iterable[str]:
        """Write what stands after the last plan."""


def write_whole(writer: Writer, report: Report, pages: Iterable[Any] = ()) -> Iterator[str]:
    """Write a report that is at hand as a whole, piece by piece."""
    run = sum_up(report)
    yield from writer.begin(replace(run, plans=(), earlier=None))
    given = iter(pages)
    for plan in report.plans:
        yield from writer.add(plan, next(given, None))
    yield from writer.end(run)
