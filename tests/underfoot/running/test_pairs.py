"""A pair that costs too much is refused with words, and the pairs beside it are compared."""

import os
import signal
from collections.abc import Callable
from datetime import date

import pytest

from tests.underfoot.commands.tiny_plans import RIGHT, put
from underfoot.comparing import Comparison
from underfoot.running import pairs as module
from underfoot.running.checking import Terms
from underfoot.running.copies import can_copy
from underfoot.running.pairs import Pair, WrittenPair, compare_pairs
from underfoot.running.plan_files import PlanFile
from underfoot_rules import STANDARD

BAD = "b.yaml"


def file(place: str) -> PlanFile:
    return PlanFile(place=place, path=place)


def go_on() -> None:
    while True:
        pass


def give_out() -> None:
    raise MemoryError


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def compared(costly: Callable[[], None]) -> list[WrittenPair]:
    def write(pair: Comparison, number: int) -> str:
        if pair.name == BAD and all(side.plan for side in (pair.old, pair.new) if side):
            costly()
        return f"{number}: {pair.name}"

    names = ["a.yaml", BAD, "c.yaml"]
    for name in names:
        put(f"old/{name}", RIGHT)
        put(f"new/{name}", RIGHT)
    pairs = [Pair(name=name, old=file(f"old/{name}"), new=file(f"new/{name}")) for name in names]
    terms = Terms(today=date(2026, 10, 1), plan_seconds=1.0)
    return list(compare_pairs(pairs, (STANDARD,), terms, write))


@pytest.mark.process
@pytest.mark.parametrize(
    ("costly", "said"),
    [
        (go_on, "comparing it with the earlier plan took longer than 1 s and was given up: divide"),
        (give_out, "comparing it with the earlier plan needed more memory than 400 MB, and was"),
        (die, "(the process that compared them was ended by SIGKILL, twice)"),
    ],
)
@pytest.mark.skipif(not can_copy(), reason="only there are pairs compared in a copy")
def test_a_pair_that_costs_too_much_costs_no_other(
    folder: object, costly: Callable[[], None], said: str
) -> None:
    made = compared(costly)
    assert [each.text for each in made] == ["1: a.yaml", "2: b.yaml", "3: c.yaml"]
    assert [each.comparison.is_readable for each in made] == [True, False, True]
    bad = made[1].comparison
    assert bad.old is not None
    assert bad.old.report.problems == ()
    assert bad.new is not None
    assert said in bad.new.report.problems[0].message
    assert bad.new.report.path == "new/b.yaml"


def test_elsewhere_they_are_compared_here_within_the_same_time(
    folder: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "can_copy", lambda: False)
    made = compared(go_on)
    assert [each.comparison.is_readable for each in made] == [True, False, True]
