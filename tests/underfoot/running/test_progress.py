"""Progress is shown on a terminal, of long runs only, and leaves nothing behind."""

import io
import sys
from collections.abc import Iterator

import pytest

from underfoot.running import progress
from underfoot.running.plan_files import PlanFile
from underfoot.running.progress import show_progress, wants_progress

FILES = tuple(
    PlanFile(place=f"plans/{number}.yaml", path=f"plans/{number}.yaml") for number in range(5)
)


class Screen(io.StringIO):
    """Standard error that is a terminal."""

    def isatty(self) -> bool:
        return True


def open_screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    # In the test itself: pytest puts a standard error of its own in place before each.
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    return screen


def every(monkeypatch: pytest.MonkeyPatch, seconds: float) -> None:
    def ticks() -> Iterator[float]:
        now = 0.0
        while True:
            yield now
            now += seconds

    clock = ticks()
    monkeypatch.setattr(progress, "monotonic", lambda: next(clock))


def test_a_long_run_is_shown_and_wiped(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 0.3)
    assert tuple(show_progress(FILES, shown=True)) == FILES
    assert screen.getvalue() == (
        "\r\x1b[Kchecking plan 2 of 5: plans/1.yaml"
        "\r\x1b[Kchecking plan 3 of 5: plans/2.yaml"
        "\r\x1b[Kchecking plan 4 of 5: plans/3.yaml"
        "\r\x1b[Kchecking plan 5 of 5: plans/4.yaml"
        "\r\x1b[K"
    )


def test_a_short_run_is_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 0.01)
    assert tuple(show_progress(FILES, shown=True)) == FILES
    assert screen.getvalue() == ""


def test_nothing_is_shown_in_a_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 9)
    assert tuple(show_progress(FILES, shown=False)) == FILES
    assert screen.getvalue() == ""


def test_a_single_plan_is_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 9)
    assert tuple(show_progress(FILES[:1], shown=True)) == FILES[:1]
    assert screen.getvalue() == ""


def test_a_run_that_ends_early_is_wiped(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 9)
    files = show_progress(FILES, shown=True)
    next(files)
    files.close()  # type: ignore[attr-defined]
    assert screen.getvalue().endswith("\r\x1b[K")


def test_a_name_cannot_command_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = open_screen(monkeypatch)
    every(monkeypatch, 9)
    list(show_progress([PlanFile(place="a", path="\x1b[2J" + "x" * 500)] * 2, shown=True))
    for line in screen.getvalue().split("\r\x1b[K"):
        assert line.isprintable()
        assert len(line) < 80


def test_who_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    open_screen(monkeypatch)
    assert wants_progress({})
    assert not wants_progress({"TERM": "dumb"})
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert not wants_progress({})
