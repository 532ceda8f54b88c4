"""A pool of processes for jobs that may cost too much; one that dies costs only the job in hand.

One process is the least: whatever a job does, the run goes on. A job at which a process died is
tried once more: what killed it may have come from outside. What takes more time than it may is
ended by the system, and is not tried again.
"""

import os
import pickle
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from time import monotonic
from typing import Any, Generic, TypeVar

from underfoot.checking.at_work import Slate, write_on
from underfoot.checking.crash import describe
from underfoot.running.copies import Line, can_copy, join_lines, start_copy, wait_for
from underfoot.running.errors import CommandError
from underfoot.running.limits import (
    ALARM,
    Allowance,
    lift_life,
    lift_time,
    limit_memory,
    limit_time,
    memory_now,
)
from underfoot.running.signals import end_at_once
from underfoot.running.time_limit import hold_here
from underfoot.running.work import Again, Ending, Hold, Work

Job = TypeVar("Job")
Result = TypeVar("Result")

# A process has its next jobs at hand while its last result is being received.
_AHEAD = 4
_TRIES = 2
# By the clock the system's own count goes first, unless the process waits for something.
_GRACE_SECONDS = 5.0
# So often it is looked whether a process is overdue.
_TICK_SECONDS = 0.25


def cores() -> int:
    """Count the processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_in_pool(
    jobs: Iterable[Job],
    work: Work[Job, Result],
    *,
    processes: int,
    method: str | None = None,
    ahead: int = _AHEAD,
) -> Iterator[Result]:
    """Do jobs in so many processes and yield their results in order.

    A process has up to `ahead` jobs at hand: one, where jobs are larger than a line holds. Forking
    (`method`) is quick, but sure on Linux alone; elsewhere processes are spawned.
    CommandError where a process cannot be made ready.
    """
    copies = can_copy() if method is None else method == "fork"
    return _Pool(work, copies=copies, ahead=ahead).run(jobs, processes)


@dataclass(slots=True)
class _Task(Generic[Job]):
    number: int
    job: Job
    tries: int = 0


@dataclass(slots=True)
class _Worker(Generic[Job]):
    process: Any
    connection: Any
    slate: Slate | None
    tasks: deque[_Task[Job]] = field(default_factory=deque)
    since: float = 0.0


class _Pool(Generic[Job, Result]):
    """The processes at work, and the tasks that are to be done again."""

    def __init__(self, work: Work[Job, Result], *, copies: bool, ahead: int) -> None:
        self.work = work
        self.ahead = ahead
        self.copies = copies
        self.workers: list[_Worker[Job]] = []
        self.again: deque[_Task[Job]] = deque()
        self.results: dict[int, Result] = {}
        self.looked = 0.0
        self.here: Callable[[Job], Result] | None = None

    def run(self, jobs: Iterable[Job], processes: int) -> Iterator[Result]:
        """Yield the results in order."""
        fresh = (_Task(number, job) for number, job in enumerate(jobs))
        following = 0
        try:
            for _ in range(processes):
                self.start_worker()
            while True:
                self.send_tasks(fresh)
                while following in self.results:
                    yield self.results.pop(following)
                    following += 1
                if not any(worker.tasks for worker in self.workers):
                    return
                self.wait_for_results()
        finally:
            for worker in self.workers:
                _stop(worker)
            self.workers.clear()

    def start_worker(self) -> None:
        """Start a process. It closes what it inherits of the others, so that each sees its end."""
        slate = None
        if self.copies:
            ours, theirs = join_lines()
            inherited: list[Line] = [ours, *(worker.connection for worker in self.workers)]
            slate = shared = Slate()
            process: Any = start_copy(lambda: _do_tasks(theirs, inherited, self.work, shared))
        else:
            from multiprocessing import get_context

            context = get_context("spawn")
            ours, theirs = context.Pipe()  # type: ignore[assignment]
            process = context.Process(target=_do_tasks, args=(theirs, [], self.work), daemon=True)
            process.start()
        theirs.close()
        self.workers.append(_Worker(process, ours, slate))

    def wait(self, seconds: float | None) -> Sequence[Any]:
        """Wait for a word from any process, and return the lines that it came through."""
        lines = [worker.connection for worker in self.workers]
        if self.copies:
            return wait_for(lines, seconds)
        from multiprocessing.connection import wait

        return wait(lines, seconds)

    def send_tasks(self, fresh: Iterator[_Task[Job]]) -> None:
        """Send every process so many tasks that it need not wait."""
        while free := [worker for worker in self.workers if len(worker.tasks) < self.ahead]:
            worker = min(free, key=lambda each: len(each.tasks))
            task = self.again.popleft() if self.again else next(fresh, None)
            if task is None:
                return
            if self.work.is_read_once(task.job):
                if not self.copies:
                    self.results[task.number] = self.do_here(task.job)
                    continue
                task.tries = _TRIES - 1
            if not worker.tasks:
                worker.since = monotonic()
            worker.tasks.append(task)
            try:
                worker.connection.send((task.number, task.job))
            except OSError:  # it is dead: that is seen, and mended, when its results are received
                return

    def do_here(self, job: Job) -> Result:
        """Do what no other process can."""
        if self.here is None:
            self.here = self.work.start(hold_here)
        return self.here(job)

    def wait_for_results(self) -> None:
        """Wait for a result, an end or a time that is over, and see to it."""
        ready = self.wait(_TICK_SECONDS)
        for worker in list(self.workers):
            if worker.connection in ready:
                self.receive(worker)
        if monotonic() - self.looked >= _TICK_SECONDS:
            self.stop_overdue()
            self.looked = monotonic()

    def stop_overdue(self) -> None:
        """End the processes that have been at one task for longer than it may take by the clock."""
        for worker in list(self.workers):
            if not worker.tasks:
                continue
            most = self.work.clock_seconds(worker.tasks[0].job) + _GRACE_SECONDS
            if monotonic() - worker.since > most:
                task = self.replace(worker)
                if task is not None:
                    self.give_up(task, Ending(ran_out_of_time=True, rule=_rule_at_work(worker)))

    def receive(self, worker: _Worker[Job]) -> None:
        """Receive a result, or see to the process's end."""
        answer = None
        with suppress(EOFError, OSError):
            answer = worker.connection.recv_bytes()
        if answer is None:
            self.handle_death(worker)
            return
        number, refused, result = pickle.loads(answer)
        if refused is not None:
            raise refused
        task = worker.tasks.popleft()
        assert task.number == number, "a process does its tasks in order"
        worker.since = monotonic()
        self.results[number] = result

    def handle_death(self, worker: _Worker[Job]) -> None:
        """Replace a process that died; the task that it died at is tried again, or given up."""
        task = self.replace(worker)
        if task is None:
            return
        code, rule = worker.process.exitcode, _rule_at_work(worker)
        if ALARM and code == -ALARM:
            self.give_up(task, Ending(ran_out_of_time=True, rule=rule))
            return
        task.tries += 1
        # With a status a process ends by itself: that is the rule's doing, and no accident.
        if task.tries < _TRIES and not (rule and code is not None and code >= 0):
            self.again.append(task)
        else:
            how = _how_it_ended(worker.process)
            self.give_up(task, Ending(ran_out_of_time=False, how=how, rule=rule))

    def give_up(self, task: _Task[Job], ending: Ending) -> None:
        """Let the work say what comes of a task whose process ended."""
        found = self.work.give_up(task.job, ending)
        if isinstance(found, Again):
            self.again.append(_Task(task.number, found.job))
        else:
            self.results[task.number] = found

    def replace(self, worker: _Worker[Job]) -> _Task[Job] | None:
        """End a process, start another, and return the task that the first was at."""
        _stop(worker)
        self.workers.remove(worker)
        self.start_worker()
        if not worker.tasks:
            return None
        task, *untouched = worker.tasks
        self.again.extend(untouched)
        return task


def _stop(worker: _Worker[Any]) -> None:
    worker.connection.close()
    worker.process.kill()
    worker.process.join()


def _rule_at_work(worker: _Worker[Any]) -> str:
    return worker.slate.read() if worker.slate is not None else ""


def _how_it_ended(process: Any) -> str:
    code = process.exitcode
    if code is not None and code < 0:
        try:
            return f"was ended by {signal.Signals(-code).name}"
        except ValueError:
            return f"was ended by signal {-code}"
    return f"ended with status {code}"


def _pack(answer: tuple[int, CommandError | None, object]) -> bytes:
    return pickle.dumps(answer, pickle.HIGHEST_PROTOCOL)


def _do_tasks(
    connection: Any,
    inherited: Sequence[Line],
    work: Work[Any, Any],
    slate: Slate | None = None,
) -> None:
    """Do the tasks that come through `connection`, until it is closed."""
    if slate is not None:
        write_on(slate)
    end_at_once()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us ends us
    for other in inherited:
        other.close()
    try:
        do_one = work.start(hold_apart())
        while True:
            number, job = connection.recv()
            connection.send_bytes(_pack((number, None, do_one(job))))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        return
    except CommandError as error:
        connection.send_bytes(_pack((-1, error, None)))
    except Exception as error:  # no job has been lost yet, but none will be got through
        fault = CommandError(f"a fault of the tool: {describe(error)}")
        connection.send_bytes(_pack((-1, fault, None)))


def hold_apart() -> Hold:
    """Return what keeps this process to its allowance; the system ends it where it takes more."""
    had, may_have = memory_now(), 0
    lift_life()

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

    return hold
