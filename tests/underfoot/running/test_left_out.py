"""A rule of somebody's own set that ends or holds its process up loses its own findings alone."""

import ctypes
import os
import re
import signal
import sys
import time
import warnings
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from tests.underfoot.asking import Ask
from tests.underfoot.checking.mistaken import PLAN, SOUND, make_rule
from tests.underfoot.commands.deadly_set import keep
from tests.underfoot.marking.demo import FOLDER, demo_desk
from underfoot.__main__ import _run
from underfoot.api.rules import Rule, RuleSet
from underfoot.checking.report import UNREADABLE, PlanReport
from underfoot.checking.rule_order import order_rules
from underfoot.marking.isolation import judge_apart
from underfoot.marking.submissions import Handed
from underfoot.running import checking, pool
from underfoot.running.checking import Terms, check_apart, examiner
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile
from underfoot_rules import STANDARD

pytestmark = [
    pytest.mark.process,
    pytest.mark.skipif(sys.platform != "linux", reason="only there are plans apart"),
    pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning"),
]

DAY = date(2026, 10, 1)
OURS = RuleSet(name="standard", rules=(make_rule(SOUND, "ours"),))


def theirs(**work: Callable[..., Any]) -> RuleSet:
    """A set of rules that do something and find nothing, and of one that is sound."""

    def rule(name: str, do: Callable[..., Any]) -> Rule:
        return make_rule(None, name, check=lambda *given: do() and None)

    rules = [rule(name, do) for name, do in work.items()]
    return RuleSet(name="a-first", rules=(*rules, make_rule(SOUND, "sound")))


def reports(
    folder: Path, *sets: RuleSet, plans: int = 1, seconds: float | None = None
) -> list[PlanReport]:
    files = []
    for number in range(plans):
        place = folder / f"{number}.yaml"
        place.write_bytes(PLAN)
        files.append(PlanFile(place=str(place), path=place.name))
    terms = Terms(today=DAY, plan_seconds=seconds)
    return list(check_apart(files, sets, terms, keep, jobs=1))


def found(report: PlanReport) -> set[str]:
    assert report.verdict != UNREADABLE, report.problems
    return {finding.rule for finding in report.findings}


def turn() -> None:
    while True:
        pass


def leave() -> None:
    os._exit(0)


def fall() -> None:
    ctypes.string_at(0)


def kill() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.parametrize(
    ("end", "how"),
    [
        (leave, "the process ended with status 0 while bad was at work"),
        (fall, "the process was ended by SIGSEGV while bad was at work"),
        (kill, "the process was ended by SIGKILL while bad was at work"),
    ],
)
def test_a_rule_that_ends_its_process_is_left_out(
    tmp_path: Path, end: Callable[[], None], how: str
) -> None:
    for report in reports(tmp_path, theirs(bad=end), OURS, plans=3):
        assert found(report) == {"ours", "sound"}
        (fault,) = report.faults
        assert (fault.rule, fault.message) == (
            "bad", f"{how}, so it was left out: all else has judged this plan",
        )  # fmt: skip


# Of processor time there is enough for all that is sound, however slow the machine.
def test_a_rule_that_never_ends_is_left_out_by_name(tmp_path: Path) -> None:
    (report,) = reports(tmp_path, theirs(bad=turn), OURS, seconds=2)
    assert found(report) == {"ours", "sound"}
    (fault,) = report.faults
    assert fault.message.startswith("bad was still at work when 2 s were over, so it was left out")


def test_a_rule_that_waits_for_ever_is_left_out_by_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asleep = tmp_path / "asleep"

    def sleep() -> None:
        asleep.touch()
        time.sleep(3600)

    # Once it sleeps, a day goes by.
    monkeypatch.setattr(
        pool, "monotonic", lambda: time.monotonic() + (86_400 if asleep.exists() else 0)
    )
    (report,) = reports(tmp_path, theirs(bad=sleep), OURS)
    assert found(report) == {"ours", "sound"}
    assert "bad was still at work" in report.faults[0].message


def test_where_two_of_a_set_end_it_the_set_is_left_out(tmp_path: Path) -> None:
    (report,) = reports(tmp_path, theirs(bad=leave, worse=leave, never=leave), OURS)
    assert found(report) == {"ours"}
    assert [fault.rule for fault in report.faults] == ["bad", "never", "sound", "worse"]
    assert "while bad was at work" in report.faults[0].message
    assert "while worse was at work" in report.faults[2].message


def test_in_this_process_it_is_left_out_in_the_same_words(tmp_path: Path) -> None:
    sets = (theirs(bad=turn), OURS)
    (apart,) = reports(tmp_path, *sets, seconds=2)
    file = PlanFile(place=str(tmp_path / "0.yaml"), path="0.yaml")
    assert examiner(sets, Terms(today=DAY, plan_seconds=2), keep)(file) == apart


def narrow() -> None:
    sys.setrecursionlimit(sys.getrecursionlimit() // 4)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda: os.chdir("/"),
        narrow,
        os.environ.clear,
        lambda: warnings.simplefilter("error"),
        lambda: np.seterr(all="raise"),
    ],
    ids=["folder", "depth", "environment", "warnings", "numbers"],
)
def test_what_a_rule_changes_of_the_process_is_put_back(
    tmp_path: Path, spoil: Callable[[], object]
) -> None:
    def state() -> tuple[object, ...]:
        return (
            os.getcwd(), sys.getrecursionlimit(), dict(os.environ), list(warnings.filters),
            np.geterr(),
        )  # fmt: skip

    here, seen = state(), []
    sets = (theirs(bad=spoil), RuleSet(name="b", rules=(
        make_rule(None, "later", check=lambda *_: seen.append(state())),)))  # fmt: skip
    (tmp_path / "0.yaml").write_bytes(PLAN)
    file = PlanFile(place=str(tmp_path / "0.yaml"), path="0.yaml")
    report = examiner(sets, Terms(today=DAY), keep)(file)
    assert (found(report), report.faults) == ({"sound"}, ())
    assert seen == [here]
    assert state() == here


def test_a_later_plan_is_found_where_a_rule_leaves_the_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.setattr(
        checking, "installed_rule_sets", lambda: (theirs(bad=lambda: os.chdir("/")), OURS)
    )
    monkeypatch.chdir(tmp_path)
    for name in ("a.yaml", "b.yaml"):
        Path(name).write_bytes(PLAN)
    said = ask("check a.yaml b.yaml --jobs 1 --format lines", status=1).out
    assert said.count("It is 1 mm, not 2 mm.") == 4


def interrupt() -> None:
    raise KeyboardInterrupt


def test_an_interruption_that_a_rule_makes_up_is_its_crash(tmp_path: Path) -> None:
    (report,) = reports(tmp_path, theirs(bad=interrupt), OURS)
    assert found(report) == {"ours", "sound"}
    assert report.faults[0].message.startswith("KeyboardInterrupt at ")


@pytest.mark.parametrize(
    ("end", "says"),
    [
        (leave, "plan.yaml ended while the rule bad was at work, which is of a set beside"),
        (kill, "plan.yaml was ended by SIGKILL while the rule bad was at work, which is of a set"),
        (turn, "took longer than 2 s and was given up while the rule bad was at work: divide"),
    ],
)
def test_what_is_made_of_one_plan_names_the_rule(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, end: Callable[[], None], says: str
) -> None:
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: (theirs(bad=end), OURS))
    monkeypatch.chdir(tmp_path)
    Path("plan.yaml").write_bytes(PLAN)
    with pytest.raises(CommandError, match=re.escape(says)):
        _run(["draw", "plan.yaml", "--output", "x.svg", "--plan-seconds", "2"], is_own=True)


def test_marking_leaves_it_out() -> None:
    place = FOLDER / "submissions" / "apprentice-01.yaml"
    handed = Handed(name="one", attempt=1, shown=place.name, place=place)
    desk = replace(demo_desk(), program=order_rules([STANDARD, theirs(bad=leave)]))
    (attempt,) = judge_apart([handed], desk)
    assert attempt.earned == 70
    assert "while bad was at work" in attempt.report.faults[0].message
