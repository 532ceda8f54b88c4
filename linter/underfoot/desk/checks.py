"""The checks that the desk asks for, each done within the limits of `underfoot check`.

A copy of the process, made before it has any threads, does them one after another; each plan is
checked in a copy of that one, which the system ends where it takes too much.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from threading import Lock
from typing import TypeVar

from msgspec import Struct

from underfoot.checking.check import CheckedPlan
from underfoot.checking.rule import RuleSet
from underfoot.page import draw_plan
from underfoot.running.checking import Terms, check_apart, examiner
from underfoot.running.copies import Copy, Line, can_copy, join_lines, start_copy
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile
from underfoot.running.pool import cores
from underfoot.running.signals import end_at_once

Kept = TypeVar("Kept")
_END, _RESULT, _REFUSED = "end", "result", "refused"


class Asking(Struct, frozen=True, kw_only=True):
    """On what terms plans are checked at the desk; the day is that of each check."""

    settings: str | None = None
    root: str | None = None
    today: date | None = None

    def terms(self) -> Terms:
        """Return the terms of a check that is done now."""
        today = self.today or date.today()
        return Terms(today=today, settings=self.settings, root=self.root)


class Checks:
    """Checks plans when asked, one request after another."""

    def __init__(self, sets: Sequence[RuleSet], asking: Asking) -> None:
        self.sets = sets
        self.asking = asking
        self._lock = Lock()
        self._line: Line | None = None
        self._copy: Copy | None = None

    def start(self, others: Sequence[Checks] = ()) -> None:
        """Make the copy that checks; it closes what it inherits of `others`."""
        if not can_copy():
            return
        ours, theirs = join_lines()
        inherited = [ours, *(each._line for each in others if each._line is not None)]
        self._copy = start_copy(lambda: _answer(theirs, inherited, self.sets, self.asking))
        theirs.close()
        self._line = ours

    def ask(self, files: Sequence[PlanFile], keep: Callable[[CheckedPlan], Kept]) -> Iterator[Kept]:
        """Yield what `keep`, a module's function or a part of one, gives of each plan, in order."""
        with self._lock:
            if self._line is None:
                yield from _check(files, self.sets, self.asking, keep)
                return
            try:
                self._line.send((tuple(files), keep))
                while True:
                    how, what = self._line.recv()
                    if how == _END:
                        return
                    if how == _REFUSED:
                        raise CommandError(what)
                    yield what
            except (EOFError, OSError):
                raise CommandError(
                    "the process that checks plans has ended: start the desk again"
                ) from None

    def end(self) -> None:
        """End the copy."""
        if self._line is not None and self._copy is not None:
            self._line.close()
            self._copy.kill()
            self._copy.join()


def _check(
    files: Sequence[PlanFile],
    sets: Sequence[RuleSet],
    asking: Asking,
    keep: Callable[[CheckedPlan], Kept],
) -> Iterator[Kept]:
    return check_apart(
        files, sets, asking.terms(), keep, jobs=max(1, min(cores(), len(files) // 4))
    )


def _answer(line: Line, inherited: Sequence[Line], sets: Sequence[RuleSet], asking: Asking) -> None:
    end_at_once()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us ends us
    for other in inherited:
        other.close()
    _warm_up(sets)
    with suppress(EOFError, BrokenPipeError, ConnectionResetError):
        while True:
            files, keep = line.recv()
            try:
                for each in _check(files, sets, asking, keep):
                    line.send((_RESULT, each))
                line.send((_END, None))
            except CommandError as error:
                line.send((_REFUSED, str(error)))


def _warm_up(sets: Sequence[RuleSet]) -> None:
    """Check and draw a right plan, so that what is made ready once is so in every copy."""
    text = next((rule_set.base_plan for rule_set in sets if rule_set.base_plan), "")
    place = os.path.join(os.devnull, "plan.yaml")
    file = PlanFile(place=place, path=place, source=text.encode())
    with suppress(Exception):  # a fault of a rule is told where it is met
        examiner(sets, Terms(today=date.today(), root=os.devnull), draw_plan)(file)
