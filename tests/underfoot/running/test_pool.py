"""Several processes: the same reports in the same order, and nothing lost but what kills them."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.commands.deadly_set import DEADLY, keep
from underfoot.checking.report import UNREADABLE, PlanReport
from underfoot.running import pool
from underfoot.running.checking import Terms, check_apart, examiner, rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile, collect_plans
from underfoot.running.pool import cores

DAY = date(2026, 10, 1)

pytestmark = [
    pytest.mark.process,
    pytest.mark.skipif(sys.platform != "linux", reason="only there are processes forked"),
    # The tests have threads of their own; the command has none when it forks.
    pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning"),
]


def plan(title: str) -> str:
    return (
        f"plan_format: 1\njob: {{title: {title}}}\nmaterials: {{}}\nsupply: {{voltage: 230 V}}\n"
        "rooms: {hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]}}\n"
    )


@pytest.fixture
def titled(tmp_path: Path) -> list[PlanFile]:
    """Twenty plans that do no harm."""
    return put(tmp_path, [f"plan {number}" for number in range(20)])


def put(folder: Path, titles: Sequence[str]) -> list[PlanFile]:
    files = []
    for number, title in enumerate(titles):
        place = folder / f"{number:02}.yaml"
        place.write_text(plan(title), "utf-8")
        files.append(PlanFile(place=str(place), path=place.name))
    return files


def reports(
    files: Sequence[PlanFile], *, jobs: int = 2, seconds: float | None = 30.0
) -> list[PlanReport]:
    terms = Terms(today=DAY, plan_seconds=seconds)
    return list(check_apart(files, (DEADLY,), terms, keep, jobs=jobs))


def said(report: PlanReport) -> str:
    assert report.verdict == UNREADABLE
    return report.problems[0].message


def test_several_processes_report_as_one_does(titled: list[PlanFile]) -> None:
    alone = list(map(examiner((DEADLY,), Terms(today=DAY), keep), titled))
    assert reports(titled) == alone
    assert reports(titled, jobs=5) == alone
    assert [report.path for report in alone] == [file.path for file in titled]


@pytest.mark.parametrize("jobs", [1, 2, 3])
def test_a_plan_that_kills_its_process_costs_no_other(tmp_path: Path, jobs: int) -> None:
    titles = [f"plan {number}" for number in range(20)]
    titles[3] = titles[4] = titles[11] = "die"
    titles[19] = "leave"
    made = reports(put(tmp_path, titles), jobs=jobs)
    assert [report.path for report in made] == [f"{number:02}.yaml" for number in range(20)]
    for number, report in enumerate(made):
        if number in (3, 4, 11):
            assert said(report).startswith(
                "the process that checked this plan was ended by SIGKILL, twice: a fault"
            )
        elif number == 19:
            assert "ended with status 7, twice" in said(report)
        else:
            assert report.findings[0].message == f"It is called plan {number}."


def test_a_process_killed_from_outside_loses_nothing(tmp_path: Path) -> None:
    titles = [f"plan {number}" for number in range(20)]
    titles[7] = f"die once at {tmp_path / 'flag'}"
    made = reports(put(tmp_path, titles))
    assert (tmp_path / "flag").exists()
    assert all(len(report.findings) == 1 for report in made)


@pytest.mark.parametrize("title", ["hang", "loop"])
def test_a_plan_that_takes_too_long_is_given_up(tmp_path: Path, title: str) -> None:
    made = reports(put(tmp_path, ["a", title, "b", title, "c"]), seconds=0.5)
    for number in (1, 3):
        assert said(made[number]) == (
            "the check took longer than 0.5 s and was given up: divide the plan, or allow more by "
            "--plan-seconds"
        )
    assert [len(report.findings) for report in made] == [1, 0, 1, 0, 1]


def test_one_process_gives_up_in_the_same_words(tmp_path: Path) -> None:
    files = put(tmp_path, ["a", "hang", "b"])
    alone = list(map(examiner((DEADLY,), Terms(today=DAY, plan_seconds=0.5), keep), files))
    assert alone == reports(files, seconds=0.5)


def test_a_process_that_hears_no_alarm_is_ended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pool, "_GRACE_SECONDS", 0.3)
    began = time.monotonic()
    titles = ["a", "be deaf", "b", "c", "d", "e", "be deaf", "f"]
    made = reports(put(tmp_path, titles), seconds=0.5)
    assert time.monotonic() - began < 60
    assert [len(report.findings) for report in made] == [1, 0, 1, 1, 1, 1, 0, 1]
    assert "took longer than 0.5 s" in said(made[1])
    assert "took longer than 0.5 s" in said(made[6])


def test_time_is_counted_for_each_plan_and_not_for_what_waits(tmp_path: Path) -> None:
    made = reports(put(tmp_path, ["wait a little"] * 8), seconds=2.0)
    assert [len(report.findings) for report in made] == [1] * 8


def test_no_plan_no_report(titled: list[PlanFile]) -> None:
    assert reports([]) == []


def test_more_processes_than_plans(titled: list[PlanFile]) -> None:
    assert len(reports(titled[:2], jobs=6)) == 2


def test_a_reader_that_stops_leaves_no_process_behind(titled: list[PlanFile]) -> None:
    before = children_of(os.getpid())
    begun = check_apart(titled, (DEADLY,), Terms(today=DAY), keep, jobs=2)
    next(begun)
    assert len(children_of(os.getpid())) == len(before) + 2
    begun.close()  # type: ignore[attr-defined]
    assert children_of(os.getpid()) == before


def test_sets_that_do_not_go_together_are_refused_in_one_line(titled: list[PlanFile]) -> None:
    twice = (DEADLY, DEADLY)
    with pytest.raises(CommandError, match="two rules are called job-title"):
        list(check_apart(titled, twice, Terms(today=DAY), keep, jobs=2))


def test_spawned_processes_report_as_forked_ones_do() -> None:
    sets = rule_sets_to_use()
    files = collect_plans([str(PLANS)]).files[:4]
    terms = Terms(today=DAY, plan_seconds=60.0)
    alone = list(map(examiner(sets, terms, keep), files))
    assert list(check_apart(files, sets, terms, keep, jobs=2, method="spawn")) == alone


def children_of(pid: int) -> list[int]:
    text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    return [int(each) for each in text.split()]


def test_this_process_may_use_some_cores() -> None:
    assert 1 <= cores() <= (os.cpu_count() or 1)


@pytest.fixture
def many(tmp_path: Path) -> Path:
    """A hundred and fifty plans from this house's own scenario, so that a run takes a while."""
    sources = [path.read_bytes() for path in sorted(PLANS.glob("*.yaml"))
               if b"plan_format" in path.read_bytes()]  # fmt: skip
    folder = tmp_path / "plans"
    folder.mkdir()
    (folder / "catalogue.yaml").write_bytes((PLANS / "catalogue.yaml").read_bytes())
    for number in range(150):
        (folder / f"{number:03}.yaml").write_bytes(sources[number % len(sources)])
    return folder


def begin(folder: Path) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "underfoot", "check", "plans", "--format", "json",
               "--jobs", "2", "--today", "2026-10-01"]  # fmt: skip
    return subprocess.Popen(
        command, cwd=folder.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )


def wait_for_children(process: subprocess.Popen[bytes]) -> list[int]:
    end = time.monotonic() + 60
    while time.monotonic() < end and process.poll() is None:
        found = children_of(process.pid)
        if len(found) == 2:
            return found
        time.sleep(0.01)
    raise AssertionError("no two processes were started")


@pytest.mark.long
def test_killing_a_process_of_a_real_run_loses_nothing(many: Path) -> None:
    with begin(many) as process:
        first, _ = wait_for_children(process)
        time.sleep(0.2)
        os.kill(first, signal.SIGKILL)
        out, err = process.communicate(timeout=300)
    assert err == b""
    whole = subprocess.run(
        [sys.executable, "-m", "underfoot", "check", "plans", "--format", "json", "--jobs", "1",
         "--today", "2026-10-01"],
        cwd=many.parent, capture_output=True, check=False,
    )  # fmt: skip
    assert len(json.loads(out)["plans"]) == 150
    assert out == whole.stdout
    assert process.returncode == whole.returncode


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGKILL])
def test_no_process_outlives_the_command(many: Path, ending: signal.Signals) -> None:
    with begin(many) as process:
        workers = wait_for_children(process)
        process.send_signal(ending)
        _, err = process.communicate(timeout=60)
    assert process.returncode == (130 if ending == signal.SIGINT else -signal.SIGKILL)
    assert err == b""
    end = time.monotonic() + 60
    while any(is_running(worker) for worker in workers):
        assert time.monotonic() < end, "a process goes on without the command"
        time.sleep(0.05)


def is_running(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state not in "ZX"
