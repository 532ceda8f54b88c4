"""Copies of this process: lighter to start than new ones, with all that is ready in them."""

import os
import pickle
import select
import signal
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

from underfoot.checking.at_work import Slate, write_on
from underfoot.running.limits import (
    Allowance,
    limit_life,
    limit_memory,
    memory_now,
)

_HEAD = 8


class Line:
    """Both ways between a process and its copy; what is sent is pickled."""

    def __init__(self, read: int, write: int) -> None:
        self._read = read
        self._write = write

    def fileno(self) -> int:
        """The end that is read, to be waited for."""
        return self._read

    def send(self, value: object) -> None:
        """Send a value; OSError where nobody reads."""
        self.send_bytes(pickle.dumps(value, pickle.HIGHEST_PROTOCOL))

    def send_bytes(self, data: bytes) -> None:
        """Send what is pickled already."""
        rest = memoryview(len(data).to_bytes(_HEAD, "big") + data)
        while rest:
            rest = rest[os.write(self._write, rest) :]

    def recv(self) -> Any:
        """Receive a value; EOFError where the other is gone."""
        return pickle.loads(self.recv_bytes())

    def recv_bytes(self) -> bytes:
        """Receive a value that is still pickled."""
        return self._exactly(int.from_bytes(self._exactly(_HEAD), "big"))

    def _exactly(self, count: int) -> bytes:
        pieces = []
        while count:
            piece = os.read(self._read, min(count, 1 << 20))
            if not piece:
                raise EOFError
            pieces.append(piece)
            count -= len(piece)
        return b"".join(pieces)

    def close(self) -> None:
        """Close both ways."""
        for end in (self._read, self._write):
            with suppress(OSError):
                os.close(end)


def join_lines() -> tuple[Line, Line]:
    """Two ends of one line."""
    here, there = os.pipe(), os.pipe()
    return Line(here[0], there[1]), Line(there[0], here[1])


class Copy:
    """A copy at work; `exitcode` is as multiprocessing has it, minus the signal that ended it."""

    def __init__(self, pid: int) -> None:
        self.pid = pid
        self.exitcode: int | None = None

    def kill(self) -> None:
        """End it at once."""
        if self.exitcode is None:
            os.kill(self.pid, signal.SIGKILL)

    def join(self) -> None:
        """Wait for its end."""
        if self.exitcode is None:
            self.exitcode = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


def can_copy() -> bool:
    """Whether a process can be copied; elsewhere than on Linux that is not sure."""
    return sys.platform == "linux"


def fork() -> int:
    """Copy this process; Python warns of threads, and ours hold nothing that the copy needs."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return os.fork()


def start_copy(work: Callable[[], None]) -> Copy:
    """Do `work` in a copy, which ends with it."""
    pid = fork()
    if pid:
        return Copy(pid)
    status = 1
    try:
        work()
        status = 0
    finally:
        os._exit(status)  # nothing of the first process may be ended twice


def wait_for(lines: Sequence[Line], seconds: float | None) -> list[Line]:
    """Wait until something comes through one of the lines, or the time is over."""
    return select.select(lines, (), (), seconds)[0]


def do_apart(
    work: Callable[[], int], allowance: Allowance, patience: float | None, slate: Slate
) -> int:
    """Do a whole command in a copy and give its exit status, or minus the signal that ended it.

    The copy is ended where it takes more than is allowed; by the clock it may take `patience`
    (None: for ever). What asks this process to end, asks it. On the `slate` it tells whose rule is
    at work.
    """
    sys.stdout.flush()
    sys.stderr.flush()
    pid = fork()
    if not pid:
        status = 2
        write_on(slate)
        try:
            limit_memory(memory_now() + allowance.memory_bytes)
            limit_life(allowance.seconds)
            status = work()
            sys.stdout.flush()
        except BaseException:  # who asked to see it would not: nothing is told after the end
            sys.excepthook(*sys.exc_info())
            sys.stderr.flush()
        finally:
            os._exit(status)
    handed_on = {
        number: signal.signal(number, lambda told, _: os.kill(pid, told))
        for number in (signal.SIGINT, signal.SIGTERM)
    }
    timer = signal.signal(signal.SIGALRM, lambda *_: os.kill(pid, signal.SIGXCPU))
    signal.setitimer(signal.ITIMER_REAL, patience or 0.0)
    try:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, timer)
        for number, before in handed_on.items():
            signal.signal(number, before)
