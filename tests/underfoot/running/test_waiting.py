"""How long a command may take by the clock, and on how many processors plans are checked."""

import os
import sys
from pathlib import Path

import pytest

from underfoot.commands import limited
from underfoot.running import limits, pool
from underfoot.running.limits import Allowance
from underfoot.running.taking_in import PATIENCE_SECONDS

ALLOWED = Allowance(seconds=7.0, memory_bytes=1)


class Terminal:
    """Standard input, at a terminal or not."""

    def __init__(self, *, is_person: bool) -> None:
        self.is_person = is_person

    def isatty(self) -> bool:
        return self.is_person


def test_a_person_who_is_asked_may_take_as_long_as_he_likes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal(is_person=True))
    assert limited._patience((), ALLOWED) is None
    assert limited._patience(("plan.yaml",), ALLOWED) is not None


def test_what_comes_through_a_pipe_is_waited_for_and_what_lies_in_files_is_not(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # Ten times the processor time that is allowed.
    work = 70.0
    assert limits.clock_seconds(ALLOWED) == work
    for stdin in (Terminal(is_person=False), None):
        monkeypatch.setattr(sys, "stdin", stdin)
        assert limited._patience((), ALLOWED) == work + PATIENCE_SECONDS
    plan = tmp_path / "plan.yaml"
    plan.write_bytes(b"")
    assert limited._patience((str(plan),), ALLOWED) == work
    for files in (("-",), (str(plan), "-"), (str(tmp_path),)):
        assert limited._patience(files, ALLOWED) == work + PATIENCE_SECONDS


def test_without_a_count_of_processor_time_the_clock_is_all_there_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(limits, "ALARM", 0)
    assert limits.clock_seconds(ALLOWED) == 7.0


def test_as_many_processors_as_this_process_may_use(monkeypatch: pytest.MonkeyPatch) -> None:
    allowed = {0: {1, 4, 5}}  # 0 is the process that asks
    monkeypatch.setattr(os, "sched_getaffinity", allowed.__getitem__, raising=False)
    assert pool.cores() == 3
    monkeypatch.delattr(os, "sched_getaffinity")
    for count, cores in ((6, 6), (None, 1)):
        monkeypatch.setattr(os, "cpu_count", lambda count=count: count)
        assert pool.cores() == cores
