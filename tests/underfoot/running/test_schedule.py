"""How many processes a run takes, and that one plan loads nothing that it does not need."""

import subprocess
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.deadly_set import DEADLY, keep
from underfoot.running import schedule
from underfoot.running.checking import Terms
from underfoot.running.copies import can_copy
from underfoot.running.plan_files import PlanFile
from underfoot.running.schedule import MANY, Parallelism, run_over

PLAN = Path(__file__).parents[3] / "rules" / "underfoot_rules" / "base_plan.yaml"


@pytest.fixture
def jobs(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The numbers of processes that were asked for, on a machine of four cores."""
    asked: list[int] = []

    def check_apart(files: Any, sets: Any, terms: Any, keep: Any, *, jobs: int) -> list[Any]:
        asked.append(jobs)
        return []

    monkeypatch.setattr(schedule, "check_apart", check_apart)
    monkeypatch.setattr(schedule, "cores", lambda: 4)
    return asked


def over(count: int, way: Parallelism) -> None:
    files = [PlanFile(place=f"{number}.yaml", path=f"{number}.yaml") for number in range(count)]
    run_over(files, (DEADLY,), Terms(today=date(2026, 10, 1)), keep, way)


# Where a process can be copied, plans are checked apart from this one, though it be in one.
ONE = [1] if can_copy() else []


@pytest.mark.parametrize(
    ("count", "way", "expected"),
    [
        (1, Parallelism(), ONE),
        (MANY - 1, Parallelism(), ONE),
        (MANY, Parallelism(), [4]),
        (MANY, Parallelism(jobs=1), ONE),
        (MANY, Parallelism(jobs=2), [2]),
        (3, Parallelism(jobs=2), [2]),
        (3, Parallelism(jobs=8), [3]),
        (1, Parallelism(jobs=8), ONE),
        (0, Parallelism(jobs=8), []),
    ],
)
def test_how_many_processes(
    jobs: list[int], count: int, way: Parallelism, expected: Sequence[int]
) -> None:
    over(count, way)
    assert jobs == list(expected)


def test_one_core_needs_no_second_process(jobs: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schedule, "cores", lambda: 1)
    over(MANY, Parallelism())
    assert jobs == ONE


def test_a_cluster_goes_before_all(monkeypatch: pytest.MonkeyPatch) -> None:
    from underfoot.running import cluster

    seen: list[str] = []
    hand_over: Callable[..., Any] = lambda *arguments, address: seen.append(address)  # noqa: E731
    monkeypatch.setattr(cluster, "hand_over", hand_over)
    over(1, Parallelism(jobs=4, cluster="tcp://127.0.0.1:8786"))
    assert seen == ["tcp://127.0.0.1:8786"]


@pytest.mark.parametrize("value", ["0", "-1", "two"])
def test_a_number_of_processes_that_cannot_be(ask: Ask, value: str) -> None:
    assert "--jobs" in ask("check", str(PLAN), "--jobs", value, status=2).err


@pytest.mark.parametrize("value", ["0", "-1", "nan", "inf", "1e9", "soon"])
def test_a_time_that_cannot_be(ask: Ask, value: str) -> None:
    said = ask("check", str(PLAN), "--plan-seconds", value, status=2)
    assert said.out == ""
    assert "--plan-seconds" in said.err


def test_one_plan_loads_nothing_that_it_does_not_need() -> None:
    script = (
        "import sys\nfrom underfoot.__main__ import main\n"
        f"status = main(['check', {str(PLAN)!r}])\n"
        "late = ('multiprocessing', 'distributed', 'concurrent.futures.process', 'jsonschema', "
        "'pint', 'jinja2', 'underfoot.reporting.sarif', "
        "'underfoot.reporting.json')\n"
        "print([name for name in late if name in sys.modules], file=sys.stderr)\n"
        "sys.exit(status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stderr == "[]\n"
