"""The process that judges texts apart from the server: what it costs there hangs no editor.

It is kept to what a plan may cost, as every check is; one that takes more is ended, and another
begins. Its standard output is not the server's, which belongs to the protocol.
"""

import contextlib
import gc
import multiprocessing
import os
import threading
from collections.abc import Callable
from functools import partial
from typing import Any

from msgspec import Struct

from underfoot.running.limits import ALARM, allowance_for, clock_seconds

# What one question may take by the clock beyond what the plan itself may.
_GRACE_SECONDS = 5.0
_TOO_MUCH = "the check needed more memory than a plan of its size needs: divide it"


class Question(Struct, frozen=True, kw_only=True):
    """What is asked of a plan's text: `what` is the name of an answer, `more` what it needs."""

    what: str
    place: str = ""
    source: bytes = b""
    more: tuple[Any, ...] = ()


class GaveUpError(Exception):
    """No answer: the question cost too much, or the process ended at it."""


class Worker:
    """Asks the process, one question at a time, and starts it anew where it ended."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._process: Any = None
        self._line: Any = None
        self._closed = False

    def warm_up(self) -> None:
        """Start the process, so that the first question need not wait for it."""
        with self._turn:
            self._start()

    def ask(self, question: Question) -> Any:
        """Ask, and wait for the answer; GaveUpError where there is none."""
        allowance = allowance_for(len(question.source))
        with self._turn:
            self._start()
            if self._line is None:
                raise GaveUpError("the server is being ended")
            try:
                self._line.send(question)
                if not self._line.poll(clock_seconds(allowance) + _GRACE_SECONDS):
                    raise GaveUpError(_too_long(allowance.seconds))
                refused, answer = self._line.recv()
            except (EOFError, OSError):
                self._process.join(1.0)
                ended = self._process.exitcode
                self._stop()
                if ALARM and ended == -ALARM:
                    raise GaveUpError(_too_long(allowance.seconds)) from None
                raise GaveUpError(
                    "the process that judges plans ended at this one: a fault of the tool or of "
                    "the machine; please report it"
                ) from None
            except GaveUpError:
                self._stop()
                raise
        if refused is not None:
            raise GaveUpError(refused)
        return answer

    def close(self) -> None:
        """End the process; nothing is asked any more."""
        self._closed = True
        process = self._process
        if process is not None:
            with contextlib.suppress(Exception):
                process.kill()
        with self._turn:
            self._stop()

    def _start(self) -> None:
        if self._closed or (self._process is not None and self._process.is_alive()):
            return
        self._stop()
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._process = context.Process(target=answer_questions, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()
        self._line = ours

    def _stop(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
            self._line.close()
        self._process = self._line = None


def _too_long(seconds: float) -> str:
    return (
        f"the check took longer than {seconds:g} s and was given up: divide the plan, or check it "
        "by the command `underfoot check` with --plan-seconds"
    )


def answer_questions(line: Any) -> None:
    """Answer what is asked through a line until it is closed; the work of the process."""
    _leave_standard_streams()
    gc.disable()  # what is imported stays: the collector need not look at it
    from underfoot.checking.crash import describe
    from underfoot.editor.answering import Answering
    from underfoot.running.checking import rule_sets_to_use, settle_collector
    from underfoot.running.errors import CommandError
    from underfoot.running.pool import hold_apart
    from underfoot.running.signals import end_at_once

    end_at_once()
    answer: Callable[[Question], Any]
    why = ""
    try:
        answer = Answering(rule_sets_to_use()).answer
    except CommandError as error:
        why = str(error)
    settle_collector()
    hold = hold_apart()
    while True:
        try:
            question = line.recv()
        except (EOFError, OSError, KeyboardInterrupt):
            return
        refused, told = why or None, None
        if not why:
            try:
                told = hold(allowance_for(len(question.source)), partial(answer, question))
            except MemoryError:
                refused = _TOO_MUCH
            except Exception as error:  # whatever it is, the next question is answered
                refused = (
                    f"a fault of the tool, not of the plan; please report it: {describe(error)}"
                )
        try:
            _reply(line, refused, told)
        except OSError:
            return


def _reply(line: Any, refused: str | None, told: Any) -> None:
    try:
        line.send((refused, told))
    except MemoryError:  # an answer is packed whole before any of it is sent
        line.send((_TOO_MUCH, None))


def _leave_standard_streams() -> None:
    """Keep what is printed by mistake out of the protocol, and leave its input to the server."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    os.dup2(nowhere, 0)
    os.dup2(nowhere, 1)
    os.close(nowhere)
