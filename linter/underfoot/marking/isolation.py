"""Judges each attempt in a process of its own, so that a hostile one costs nobody else anything."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from time import monotonic
from typing import Any, NamedTuple

from underfoot.checking.crash import describe
from underfoot.marking.judging import Attempt, Desk, judge_attempt, refuse
from underfoot.marking.submissions import Handed
from underfoot.reading import Problem


class Allowance(NamedTuple):
    """What one attempt may cost: processor time, and memory."""

    seconds: float = 30.0
    memory_bytes: int = 2_000_000_000


# One that waits takes no processor time; so many times its allowance it may take by the clock.
_PATIENCE = 10
_TOO_LONG = (
    "judging it took more than {seconds:g} s of processor time, so it was stopped: no plan for "
    "this brief needs that long; --plan-seconds allows more"
)
_TOO_BIG = "judging it took more memory than a plan for this brief needs: it was stopped"


@dataclass(slots=True)
class _Job:
    """An attempt in the hands of its process, or judged."""

    handed: Handed
    process: BaseProcess | None = None
    connection: Connection[Any, Any] | None = None
    until: float = 0.0
    done: Attempt | None = None


def judge_apart(
    attempts: Iterable[Handed], desk: Desk, allowance: Allowance, *, jobs: int = 1
) -> Iterator[Attempt]:
    """Judge attempts in their order, `jobs` at a time; one that takes too much is stopped."""
    context = _context()
    rest = iter(attempts)
    line: deque[_Job] = deque()
    try:
        while True:
            while sum(one.connection is not None for one in line) < jobs:
                handed = next(rest, None)
                if handed is None:
                    break
                line.append(_begin(handed, desk, allowance, context))
            while line and line[0].done is not None:
                yield line.popleft().done  # type: ignore[misc]
            if not line:
                return
            _take_in([one for one in line if one.connection is not None], desk, allowance)
    finally:
        for one in line:
            if one.process is not None:
                _end(one)


def _context() -> BaseContext:
    # A copy of a process with threads may hang; a new one takes half a second to begin.
    can_copy = "fork" in multiprocessing.get_all_start_methods() and sys.platform == "linux"
    return multiprocessing.get_context(
        "fork" if can_copy and threading.active_count() == 1 else "spawn"
    )


def _begin(handed: Handed, desk: Desk, allowance: Allowance, context: BaseContext) -> _Job:
    if handed.refused is not None:
        return _Job(handed, done=judge_attempt(handed, desk))
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(  # type: ignore[attr-defined]
        target=_work, args=(theirs, handed, desk, allowance), daemon=True
    )
    process.start()
    theirs.close()
    patience = allowance.seconds * (_PATIENCE if _can_count() else 1)
    return _Job(handed, process, ours, monotonic() + patience)


def _take_in(busy: Sequence[_Job], desk: Desk, allowance: Allowance) -> None:
    """Wait for an attempt's marks, an end or a time that is over, and see to it."""
    if not busy:
        return
    patience = max(min(one.until for one in busy) - monotonic(), 0.0)
    heard = wait([one.connection for one in busy if one.connection], patience)
    for one in busy:
        if one.connection in heard:
            one.done = _hear(one, desk, allowance)
        elif monotonic() >= one.until:
            _end(one)
            one.done = refuse(one.handed, desk.scheme, [Problem(_too_long(allowance))])


def _hear(one: _Job, desk: Desk, allowance: Allowance) -> Attempt:
    assert one.connection is not None
    assert one.process is not None
    answer: Attempt | str | None
    try:
        answer = one.connection.recv()
    except (EOFError, OSError):
        one.process.join()
        was_stopped = one.process.exitcode == -_ALARM
        answer = _too_long(allowance) if was_stopped else None
    _end(one)
    if isinstance(answer, Attempt):
        return answer
    return refuse(one.handed, desk.scheme, [Problem(answer or _TOO_BIG)])


def _end(one: _Job) -> None:
    assert one.connection is not None
    assert one.process is not None
    one.connection.close()
    if one.process.is_alive():
        one.process.kill()
    one.process.join()
    one.process.close()
    one.process = one.connection = None


def _too_long(allowance: Allowance) -> str:
    return _TOO_LONG.format(seconds=allowance.seconds)


def _work(
    connection: Connection[Any, Any], handed: Handed, desk: Desk, allowance: Allowance
) -> None:
    try:
        _limit_memory(allowance.memory_bytes)
        _limit_time(allowance.seconds)
        connection.send(judge_attempt(handed, desk))
    except MemoryError:
        connection.send(None)
    except Exception as error:  # a fault of the tool must not take the class with it
        fault = f"a fault of the tool, not of the plan; please report it: {describe(error)}"
        connection.send(fault)
    finally:
        connection.close()
        os._exit(0)  # nothing of the parent's may be ended twice


# What the system ends a process by that has used up its processor time.
_ALARM: int = getattr(signal, "SIGPROF", 0)


def _can_count() -> bool:
    return hasattr(signal, "setitimer") and bool(_ALARM)


def _limit_time(seconds: float) -> None:
    if _can_count():
        # The system itself ends the process, also within a call that does not come back.
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, seconds)


def _limit_memory(most: int) -> None:
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
