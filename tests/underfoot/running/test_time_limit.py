"""A limit to how long a piece of work may take."""

import signal
import sys
import threading
import time

import pytest

from tests.underfoot.commands.tiny_plans import RIGHT
from underfoot.__main__ import main
from underfoot.running.time_limit import OutOfTimeError, within

pytestmark = pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="there are no alarms")


def test_work_in_time_is_done() -> None:
    assert within(60.0, lambda: 7) == 7
    assert within(None, lambda: 8) == 8


def test_work_that_takes_too_long_is_stopped() -> None:
    began = time.monotonic()
    with pytest.raises(OutOfTimeError):
        within(0.1, lambda: time.sleep(60))
    assert time.monotonic() - began < 30


def test_no_rule_can_take_the_end_for_an_error_of_its_own() -> None:
    assert not issubclass(OutOfTimeError, Exception)


def test_nothing_is_left_behind() -> None:
    before = signal.getsignal(signal.SIGALRM)
    within(60.0, lambda: None)
    with pytest.raises(OutOfTimeError):
        within(0.05, lambda: time.sleep(60))
    with pytest.raises(KeyError):
        within(60.0, lambda: {}["gone"])
    assert signal.getsignal(signal.SIGALRM) is before
    assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)


def test_in_another_thread_there_is_no_limit() -> None:
    done: list[int] = []
    thread = threading.Thread(
        target=lambda: done.append(within(0.01, lambda: time.sleep(0.1) or 1))
    )
    thread.start()
    thread.join()
    assert done == [1]


class Typing:
    """Standard input of somebody who takes his time."""

    def __init__(self, source: bytes) -> None:
        self.buffer = self
        self.source = source

    def read(self, most: int) -> bytes:
        time.sleep(1.2)
        return self.source


@pytest.mark.usefixtures("folder", "tiny")
def test_what_comes_late_through_a_pipe_is_no_slow_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", Typing(RIGHT.encode()))
    assert main(["check", "-", "--plan-seconds", "1"]) == 0


def test_what_is_left_of_a_limit_holds_after_one_within_it() -> None:
    def twice() -> None:
        assert within(60.0, lambda: 1) == 1
        time.sleep(60)

    with pytest.raises(OutOfTimeError):
        within(0.2, twice)
