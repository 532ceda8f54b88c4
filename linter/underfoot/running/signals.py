"""Signals that end the process, and standard streams that are closed or that nobody reads."""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TextIO

from underfoot.checking.crash import PassesThroughError

# What ends a process in an orderly way, where the system has it.
_ENDING = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
_USUAL = (signal.SIG_DFL, signal.default_int_handler)


class EndedError(PassesThroughError):
    """A signal has told the process to end; on its way up all that is half done is taken back."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def heed_signals() -> None:
    """Let signals end the process by `EndedError`; those that are ignored already stay so."""
    for each in _ENDING:
        if signal.getsignal(each) in _USUAL:
            signal.signal(each, _end)


def _end(number: int, frame: FrameType | None) -> None:
    # A second one must not disturb the taking back.
    for each in _ENDING:
        signal.signal(each, signal.SIG_IGN)
    raise EndedError(number)


def end_at_once() -> None:
    """Let a signal end this process without ado: it has nothing to take back."""
    for each in _ENDING:
        if signal.getsignal(each) is _end:
            signal.signal(each, signal.SIG_DFL)


def heed_no_more() -> None:
    """Let signals pass by: the work is done, and the status tells of it.

    Else one that comes while the interpreter takes itself down would change that status.
    """
    for each in _ENDING:
        if signal.getsignal(each) is _end:
            signal.signal(each, signal.SIG_IGN)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Put signals off until what must not be done by halves is done."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _ENDING)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def open_closed_streams() -> None:
    """Give the process the standard streams that it was started without.

    What is written to the output ends the process as a closed pipe does; nothing may take a closed
    stream's place, since the next file opened would be written into.
    """
    if sys.stderr is None:
        sys.stderr = _take(2, os.open(os.devnull, os.O_WRONLY))
    if sys.stdout is None:
        read, write = os.pipe()
        sys.stdout = _take(1, write)
        if read not in (1, 2):
            os.close(read)


def _take(number: int, descriptor: int) -> TextIO:
    if descriptor != number:
        os.dup2(descriptor, number)
        os.close(descriptor)
    return open(number, "w", encoding="utf-8", errors="backslashreplace", closefd=False)


def turn_away_from(*streams: TextIO) -> None:
    """Send what is left in streams that nobody reads, or that cannot be written, to nowhere."""
    for stream in streams:
        try:
            stream.flush()
        except OSError:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)
