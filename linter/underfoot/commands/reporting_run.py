"""The reports of a run, written while its plans come: standard output at once, files at the end."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import TYPE_CHECKING

from msgspec.structs import replace

from underfoot.checking.summing import Summary
from underfoot.commands.output_files import Writing, disarmed, write_files, write_out
from underfoot.commands.outputs import Asked, Output, open_main_writer, open_writer
from underfoot.reporting.spool import Spool
from underfoot.running.errors import CommandError

if TYPE_CHECKING:
    from underfoot.checking.report import PlanReport
    from underfoot.page import DrawnPlan


class RunReports:
    """All reports of one run. A file is put in place when it is whole, and with all others.

    Nothing is begun before there is a plan to tell of: what cannot run leaves no half report.
    """

    def __init__(self, outputs: Sequence[Output], asked: Asked, run: Summary) -> None:
        self.outputs = outputs
        main, *beside = outputs
        whole = replace(asked, quiet=False)
        writers = [open_writer(each, whole) for each in beside]
        self.writers = [open_main_writer(main, asked), *writers]
        self.waiting = [None if _goes_out(each) else Spool() for each in outputs]
        # Without a plan the text has nothing to say that standard error does not.
        self.is_silent = main.format == "text" and main.place is None and not asked.plans
        self.run = run
        self.has_begun = False

    def _begin(self) -> None:
        if not self.has_begun:
            self.has_begun = True
            for place, writer in enumerate(self.writers):
                self._take(place, writer.begin(self.run))

    def add(self, plan: PlanReport, page: DrawnPlan | None) -> None:
        """Write one plan into every report."""
        self._begin()
        for place, writer in enumerate(self.writers):
            self._take(place, writer.add(plan, page))

    def end(self, run: Summary) -> None:
        """Write what stands after the plans, and put the files in place."""
        self._begin()
        writings = (
            Writing(
                place=output.place,
                pieces=disarmed(self._rest(place, run), output.format),
                option=output.option,
            )
            for place, output in enumerate(self.outputs)
            if output.place is not None
        )
        goes_out = self.outputs[0].place is None and not self.is_silent
        write_files(writings, ends_the_run=not goes_out)
        if goes_out:
            write_out(self._rest(0, run), self.outputs[0].format)

    def _rest(self, place: int, run: Summary) -> Iterator[str]:
        waiting = self.waiting[place]
        return chain(() if waiting is None else waiting.read(), self.writers[place].end(run))

    def _take(self, place: int, pieces: Iterable[str]) -> None:
        waiting = self.waiting[place]
        if waiting is None:
            write_out(pieces, self.outputs[place].format)
            return
        try:
            waiting.write(pieces)
        except OSError as error:
            why = error.strerror or error
            raise CommandError(f"the reports cannot be kept until they are whole: {why}") from None


def _goes_out(output: Output) -> bool:
    """On a terminal the line that shows how far a run is would be written over the report."""
    return output.place is None and not sys.stdout.isatty()
