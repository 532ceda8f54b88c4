"""Checks plans in processes of their own; one that dies costs no plan but the one in its hands.

One process is the least: whatever a plan does, the run goes on. A plan at which a process died is
tried once more: what killed it may have come from outside. What takes more time than it may is
ended by the system, and is not tried again.
"""

from __future__ import annotations

import os
import pickle
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from time import monotonic
from typing import Any, Generic, TypeVar

from underfoot.checking.apart import (
    ALARM,
    PATIENCE,
    Allowance,
    can_count,
    lift_time,
    limit_memory,
    limit_time,
    memory_now,
)
from underfoot.checking.check import CheckedPlan
from underfoot.checking.crash import describe
from underfoot.checking.rule import RuleSet
from underfoot.commands.copies import Line, can_copy, join_lines, start_copy, wait_for
from underfoot.commands.errors import CommandError
from underfoot.commands.plan_files import STANDARD_INPUT, PlanFile
from underfoot.commands.reviewing import (
    Terms,
    allowance_of,
    examiner,
    give_up,
    rule_sets_to_use,
    settle_collector,
    took_too_long,
)
from underfoot.commands.signals import end_at_once
from underfoot.commands.taking_in import PATIENCE_SECONDS

Kept = TypeVar("Kept")

# A process has its next plans at hand while its last report is being taken in.
_AHEAD = 4
_TRIES = 2
# By the clock the system's own count goes first, unless the process waits for something.
_GRACE_SECONDS = 5.0
# So often it is looked whether a process is overdue.
_TICK_SECONDS = 0.25


@dataclass(slots=True)
class _Job:
    number: int
    file: PlanFile
    tries: int = 0


@dataclass(slots=True)
class _Worker:
    process: Any
    connection: Any
    given: deque[_Job] = field(default_factory=deque)
    since: float = 0.0


def cores() -> int:
    """Count the processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def start_method() -> str:
    """Choose how processes are started: forking is quick, but sure on Linux alone."""
    return "fork" if can_copy() else "spawn"


def share_out(
    files: Iterable[PlanFile],
    sets: Sequence[RuleSet],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    *,
    jobs: int,
    method: str | None = None,
) -> Iterator[Kept]:
    """Check plans in `jobs` processes and yield what `keep` gives of each, in order.

    `keep` is a module's function. A process that is spawned (`method`) loads the rule sets anew.
    """
    crew = _Crew(sets, terms, keep, forks=(method or start_method()) == "fork")
    return crew.run(files, jobs)


class _Crew(Generic[Kept]):
    """The processes at work, and the plans that are to be done again."""

    def __init__(
        self,
        sets: Sequence[RuleSet],
        terms: Terms,
        keep: Callable[[CheckedPlan], Kept],
        *,
        forks: bool,
    ) -> None:
        self.sets = sets
        self.terms = terms
        self.keep = keep
        self.forks = forks
        self.workers: list[_Worker] = []
        self.again: deque[_Job] = deque()
        self.done: dict[int, Kept] = {}
        self.looked = 0.0
        self.here = examiner(sets, terms, keep)

    def run(self, files: Iterable[PlanFile], jobs: int) -> Iterator[Kept]:
        """Yield what is kept of each plan, in order."""
        fresh = (_Job(number, file) for number, file in enumerate(files))
        following = 0
        try:
            for _ in range(jobs):
                self.hire()
            while True:
                self.hand_out(fresh)
                while following in self.done:
                    yield self.done.pop(following)
                    following += 1
                if not any(worker.given for worker in self.workers):
                    return
                self.take_in()
        finally:
            self.dismiss()

    def hire(self) -> None:
        """Start a process. It closes what it inherits of the others, so that each sees its end."""
        if self.forks:
            ours, theirs = join_lines()
            inherited: list[Line] = [ours, *(worker.connection for worker in self.workers)]
            process: Any = start_copy(
                lambda: _work(theirs, inherited, self.sets, self.terms, self.keep)
            )
        else:
            from multiprocessing import get_context

            context = get_context("spawn")
            ours, theirs = context.Pipe()  # type: ignore[assignment]
            process = context.Process(
                target=_work, args=(theirs, [], None, self.terms, self.keep), daemon=True
            )
            process.start()
        theirs.close()
        self.workers.append(_Worker(process, ours))

    def wait(self, seconds: float | None) -> Sequence[Any]:
        """Wait for a word from any process, and give the lines that it came through."""
        lines = [worker.connection for worker in self.workers]
        if self.forks:
            return wait_for(lines, seconds)
        from multiprocessing.connection import wait

        return wait(lines, seconds)

    def hand_out(self, fresh: Iterator[_Job]) -> None:
        """Give every process so many plans that it need not wait."""
        while hungry := [worker for worker in self.workers if len(worker.given) < _AHEAD]:
            worker = min(hungry, key=lambda each: len(each.given))
            job = self.again.popleft() if self.again else next(fresh, None)
            if job is None:
                return
            if job.file.place == STANDARD_INPUT:
                if not self.forks:
                    # Only this process has it.
                    self.done[job.number] = self.here(job.file)
                    continue
                job.tries = _TRIES - 1  # it can be read once
            if not worker.given:
                worker.since = monotonic()
            worker.given.append(job)
            try:
                worker.connection.send((job.number, job.file))
            except OSError:  # it is dead: that is seen, and mended, when its words are taken in
                return

    def take_in(self) -> None:
        """Wait for a report, an end or a time that is over, and see to it."""
        heard = self.wait(_TICK_SECONDS)
        for worker in list(self.workers):
            if worker.connection in heard:
                self.hear(worker)
        if monotonic() - self.looked >= _TICK_SECONDS:
            self.end_overdue()
            self.looked = monotonic()

    def end_overdue(self) -> None:
        """End the processes that have been at one plan for longer than it may take by the clock."""
        for worker in list(self.workers):
            if worker.given and monotonic() - worker.since > self.limit(worker.given[0].file):
                job = self.replace(worker)
                if job is not None:
                    self.done[job.number] = self.keep(took_too_long(job.file, self.terms))

    def limit(self, file: PlanFile) -> float:
        """How long one plan may keep a process by the clock before it is ended, in seconds."""
        seconds = allowance_of(file, self.terms).seconds
        waiting = 0.0 if os.path.isfile(file.place) else PATIENCE_SECONDS
        return seconds * (PATIENCE if can_count() else 1) + _GRACE_SECONDS + waiting

    def hear(self, worker: _Worker) -> None:
        """Take in what a process says, or see to its end."""
        try:
            number, refused, kept = pickle.loads(worker.connection.recv_bytes())
        except (EOFError, OSError):
            self.bury(worker)
            return
        if refused is not None:
            raise CommandError(refused)
        job = worker.given.popleft()
        assert job.number == number, "a process reports on its plans in order"
        worker.since = monotonic()
        self.done[number] = kept

    def bury(self, worker: _Worker) -> None:
        """Replace a process that died; the plan that it died at is tried again, or named."""
        job = self.replace(worker)
        if job is None:
            return
        if ALARM and worker.process.exitcode == -ALARM:
            self.done[job.number] = self.keep(took_too_long(job.file, self.terms))
            return
        job.tries += 1
        if job.tries < _TRIES:
            self.again.append(job)
            return
        why = (
            f"the process that checked this plan {_how_it_ended(worker.process)}, twice: a fault "
            "of the tool or of the machine; please report it"
        )
        self.done[job.number] = self.keep(give_up(job.file, why))

    def replace(self, worker: _Worker) -> _Job | None:
        """End a process, hire another, and give the plan that the first had in its hands."""
        _end(worker)
        self.workers.remove(worker)
        self.hire()
        if not worker.given:
            return None
        job, *untouched = worker.given
        self.again.extend(untouched)
        return job

    def dismiss(self) -> None:
        """End all processes."""
        for worker in self.workers:
            _end(worker)
        self.workers.clear()


def _pack(answer: tuple[int, str | None, object]) -> bytes:
    return pickle.dumps(answer, pickle.HIGHEST_PROTOCOL)


def _end(worker: _Worker) -> None:
    worker.connection.close()
    worker.process.kill()
    worker.process.join()


def _how_it_ended(process: Any) -> str:
    code = process.exitcode
    if code is not None and code < 0:
        try:
            return f"was ended by {signal.Signals(-code).name}"
        except ValueError:
            return f"was ended by signal {-code}"
    return f"ended with status {code}"


def _work(
    connection: Any,
    inherited: Sequence[Line],
    sets: Sequence[RuleSet] | None,
    terms: Terms,
    keep: Callable[[CheckedPlan], Any],
) -> None:
    """Check the plans that come through `connection`, until it is closed."""
    end_at_once()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever hired us ends us
    for other in inherited:
        other.close()
    had, may_have = memory_now(), 0

    def hold(allowance: Allowance, work: Callable[[], Any]) -> Any:
        nonlocal may_have
        if had and allowance.memory_bytes != may_have:
            may_have = allowance.memory_bytes
            limit_memory(had + may_have)
        limit_time(allowance.seconds)
        try:
            return work()
        finally:
            lift_time()

    try:
        examine_one = examiner(rule_sets_to_use() if sets is None else sets, terms, keep, hold)
        settle_collector()
        while True:
            number, file = connection.recv()
            connection.send_bytes(_pack((number, None, examine_one(file))))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        return
    except CommandError as error:
        connection.send_bytes(_pack((-1, str(error), None)))
    except Exception as error:  # no plan has been lost yet, but none will be got through
        why = f"a fault of the tool: {describe(error)}"
        connection.send_bytes(_pack((-1, why, None)))
