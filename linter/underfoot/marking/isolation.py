"""Judges what is handed in apart from this process: a hostile file costs nobody else anything."""

import os
from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.crash import describe, is_lack_of_memory
from underfoot.marking.answer_judging import AnswerMarks, mark_list
from underfoot.marking.answers import AnswerKey, read_answers
from underfoot.marking.judging import Attempt, Desk, judge_attempt, refuse
from underfoot.marking.marks import NOTHING
from underfoot.marking.submissions import Handed, read_handed
from underfoot.reading import Problem
from underfoot.running.limits import Allowance, allowance_for, clock_seconds
from underfoot.running.pool import run_in_pool
from underfoot.running.work import Again, Ending, Hold, leave_out

_TOO_LONG = (
    "judging it took more than {seconds:g} s of processor time, so it was stopped: no plan for "
    "this brief needs that long; --plan-seconds allows more"
)
_TOO_BIG = "judging it took more memory than a plan for this brief needs: it was stopped"
_LIST_TOO_LONG = (
    "marking it took more than {seconds:g} s of processor time, so it was stopped: no list of "
    "answers needs that long"
)
_LIST_TOO_BIG = "marking it took more memory than a list of answers needs: it was stopped"
_DIED = (
    "the process that judged it {how}, twice: it takes more memory than it may, or the tool or the "
    "machine is at fault; please report it"
)
_FAULT = "a fault of the tool, not of what was handed in; please report it: {what}"


def judge_apart(
    attempts: Iterable[Handed], desk: Desk, seconds: float | None = None, *, jobs: int = 1
) -> Iterator[Attempt]:
    """Judge attempts in their order, `jobs` at a time; one that takes too much is stopped.

    What one may take goes by its size, as in a check; `seconds` of processor time go before that.
    """
    return run_in_pool(attempts, _Judging(desk=desk, seconds=seconds), processes=jobs)


def mark_lists_apart(
    lists: Iterable[Handed], key: AnswerKey, kinds: Collection[str]
) -> Iterator[AnswerMarks]:
    """Mark lists of answers in their order; one that takes too much is stopped."""
    return run_in_pool(lists, _MarkingLists(key=key, kinds=frozenset(kinds)), processes=1)


class _Judging(Struct, frozen=True, kw_only=True):
    """The judging of attempts as the work of a pool."""

    desk: Desk
    seconds: float | None

    def start(self, hold: Hold) -> Callable[[Handed], Attempt]:
        """Return what judges one attempt, whatever comes of it."""

        def judge_one(handed: Handed) -> Attempt:
            try:
                attempt: Attempt = hold(
                    self.allowance(handed), lambda: judge_attempt(handed, self.desk_for(handed))
                )
            except Exception as error:  # a fault of the tool must not take the class with it
                if is_lack_of_memory(error):
                    return self.refuse(handed, _TOO_BIG)
                return self.refuse(handed, _FAULT.format(what=describe(error)))
            return attempt

        return judge_one

    def desk_for(self, handed: Handed) -> Desk:
        """Return what an attempt is judged by."""
        if not handed.left_out:
            return self.desk
        program = self.desk.program.without(dict(handed.left_out))
        return replace(self.desk, program=program)

    def allowance(self, handed: Handed) -> Allowance:
        """Return what judging an attempt may cost."""
        return allowance_for(_size(handed.place), self.seconds)

    def clock_seconds(self, handed: Handed) -> float:
        """Return how long one may take by the clock."""
        return clock_seconds(self.allowance(handed))

    def is_read_once(self, handed: Handed) -> bool:
        """Whether it can be read once only: pipes are refused."""
        return False

    def give_up(self, handed: Handed, ending: Ending) -> Attempt | Again[Handed]:
        """Refuse an attempt whose process ended; a rule of somebody's own costs its marks alone."""
        if ending.rule:
            sets = self.desk.program.foreign
            left_out = leave_out(handed.left_out, ending, self.allowance(handed), sets)
            return Again(job=replace(handed, left_out=left_out))
        if ending.ran_out_of_time:
            return self.refuse(handed, _TOO_LONG.format(seconds=self.allowance(handed).seconds))
        return self.refuse(handed, _DIED.format(how=ending.how))

    def refuse(self, handed: Handed, why: str) -> Attempt:
        """Give an attempt up for a reason."""
        return refuse(handed, self.desk.scheme, [Problem(message=why)])


class _MarkingLists(Struct, frozen=True, kw_only=True):
    """The marking of lists of answers as the work of a pool."""

    key: AnswerKey
    kinds: frozenset[str]

    def start(self, hold: Hold) -> Callable[[Handed], AnswerMarks]:
        """Return what marks one list, whatever comes of it."""

        def mark_one(handed: Handed) -> AnswerMarks:
            try:
                marks: AnswerMarks = hold(self.allowance(handed), lambda: self.mark(handed))
            except Exception as error:  # a fault of the tool must not take the class with it
                if is_lack_of_memory(error):
                    return self.refuse(handed, _LIST_TOO_BIG)
                return self.refuse(handed, _FAULT.format(what=describe(error)))
            return marks

        return mark_one

    def mark(self, handed: Handed) -> AnswerMarks:
        """Read a list and mark it."""
        try:
            source = read_handed(handed)
        except OSError as error:
            return self.refuse(handed, f"the file cannot be read: {error.strerror or error}")
        answers, problems = read_answers(source, handed.shown, self.kinds)
        if answers is None:
            return self.refuse(handed, *problems)
        return mark_list(handed.name, answers, self.key, problems)

    def allowance(self, handed: Handed) -> Allowance:
        """Return what marking a list may cost."""
        return allowance_for(_size(handed.place))

    def clock_seconds(self, handed: Handed) -> float:
        """Return how long one may take by the clock."""
        return clock_seconds(self.allowance(handed))

    def is_read_once(self, handed: Handed) -> bool:
        """Whether it can be read once only: pipes are refused."""
        return False

    def give_up(self, handed: Handed, ending: Ending) -> AnswerMarks:
        """Refuse a list whose process ended."""
        if ending.ran_out_of_time:
            seconds = self.allowance(handed).seconds
            return self.refuse(handed, _LIST_TOO_LONG.format(seconds=seconds))
        return self.refuse(handed, _DIED.format(how=ending.how))

    def refuse(self, handed: Handed, *why: Problem | str) -> AnswerMarks:
        """Give a list up for reasons."""
        problems = tuple(
            Problem(message=one, file=handed.shown) if isinstance(one, str) else one for one in why
        )
        return AnswerMarks(
            name=handed.name,
            judged=(),
            missed=self.key.faults,
            earned=NOTHING,
            problems=problems,
            is_read=False,
        )


def _size(place: Path | None) -> int:
    try:
        return 0 if place is None else os.lstat(place).st_size
    except OSError:
        return 0
