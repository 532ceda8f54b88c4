"""Judges each attempt in a process of its own, so that a hostile one costs nobody else anything."""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections.abc import Iterable, Iterator
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from typing import NamedTuple

from underfoot.checking.falling import where_it_fell
from underfoot.marking.judging import Attempt, Desk, judge_attempt, refuse
from underfoot.marking.submissions import Handed
from underfoot.reading import Problem


class Allowance(NamedTuple):
    """What one attempt may cost."""

    seconds: float = 60.0
    memory_bytes: int = 2_000_000_000


def judge_apart(attempts: Iterable[Handed], desk: Desk, allowance: Allowance) -> Iterator[Attempt]:
    """Judge attempts one after another, each for itself; one that takes too much is stopped."""
    context = _context()
    for handed in attempts:
        if handed.refused is not None:
            yield judge_attempt(handed, desk)
        else:
            yield _judge_one(handed, desk, allowance, context)


def _context() -> BaseContext:
    # A copy of a process with threads may hang; a new one takes half a second to begin.
    can_copy = "fork" in multiprocessing.get_all_start_methods() and sys.platform == "linux"
    return multiprocessing.get_context(
        "fork" if can_copy and threading.active_count() == 1 else "spawn"
    )


def _judge_one(handed: Handed, desk: Desk, allowance: Allowance, context: BaseContext) -> Attempt:
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(  # type: ignore[attr-defined]
        target=_work, args=(theirs, handed, desk, allowance), daemon=True
    )
    process.start()
    theirs.close()
    answer: Attempt | str | None = None
    try:
        if ours.poll(allowance.seconds):
            answer = ours.recv()
        else:
            answer = (
                f"judging it took more than {allowance.seconds:g} s, so it was stopped: no plan "
                "for this brief needs that long"
            )
    except EOFError:
        answer = None
    finally:
        ours.close()
        if process.is_alive():
            process.kill()
        process.join()
        process.close()
    if isinstance(answer, Attempt):
        return answer
    said = answer or "judging it took more memory than a plan for this brief needs: it was stopped"
    return refuse(handed, desk.scheme, [Problem(said)])


def _work(connection: Connection, handed: Handed, desk: Desk, allowance: Allowance) -> None:
    try:
        _limit_memory(allowance.memory_bytes)
        connection.send(judge_attempt(handed, desk))
    except MemoryError:
        connection.send(None)
    except Exception as error:  # a fault of the tool must not take the class with it
        fault = f"a fault of the tool, not of the plan; please report it: {where_it_fell(error)}"
        connection.send(fault)
    finally:
        connection.close()
        os._exit(0)  # nothing of the parent's may be ended twice


def _limit_memory(most: int) -> None:
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
