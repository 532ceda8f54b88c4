"""A limit to how long one plan may take, where the system can interrupt us."""

import signal
import threading
from collections.abc import Callable
from types import FrameType
from typing import TypeVar

from underfoot.checking.crash import PassesThroughError
from underfoot.running.limits import PATIENCE, Allowance

Made = TypeVar("Made")
_TIMERS = (signal.ITIMER_REAL, signal.ITIMER_PROF) if hasattr(signal, "setitimer") else ()
_SOON = 1e-3


class OutOfTimeError(PassesThroughError):
    """The whole plan has taken more time than it may."""


def within(
    seconds: float | None, work: Callable[[], Made], *, patience: float | None = None
) -> Made:
    """Do `work`; OutOfTimeError where it takes more processor time than `seconds`.

    By the clock it may take `patience`; left out, ten times as much. There is no limit where
    `seconds` is None, in another thread than the main one, and on a system without alarms. A call
    into compiled code is let come to its end first.
    """
    if (
        seconds is None
        or not hasattr(signal, "setitimer")
        or threading.current_thread() is not threading.main_thread()
    ):
        return work()
    before = {each: signal.signal(each, _stop) for each in (signal.SIGALRM, signal.SIGPROF)}
    by_clock = seconds * PATIENCE if patience is None else patience
    left = [
        signal.setitimer(signal.ITIMER_REAL, by_clock)[0],
        signal.setitimer(signal.ITIMER_PROF, seconds)[0],
    ]
    try:
        return work()
    finally:
        # What holds a larger work, of which this is a part, has that much less left.
        for timer, had, given in zip(_TIMERS, left, (by_clock, seconds), strict=True):
            unused = signal.setitimer(timer, 0)[0]
            if had:
                signal.setitimer(timer, max(had - (given - unused), _SOON))
        for each, handler in before.items():
            signal.signal(each, handler)


def _stop(number: int, frame: FrameType | None) -> None:
    raise OutOfTimeError


def hold_here(allowance: Allowance, work: Callable[[], Made]) -> Made:
    """Do work in this process, which cannot be ended for it: time alone is limited."""
    return within(allowance.seconds, work)
