"""A Dask cluster on this machine: the same bytes, and a worker killed midway loses nothing."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.commands.deadly_set import keep
from underfoot.running import cluster
from underfoot.running.checking import Terms
from underfoot.running.cluster import check_batch
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile

pytestmark = pytest.mark.process

TERMS = Terms(today=date(2026, 10, 1))
COUNT = 160


@dataclass(frozen=True, slots=True)
class Cluster:
    """A scheduler and its workers."""

    address: str
    workers: tuple[subprocess.Popen[bytes], ...]


def start(arguments: Sequence[str], folder: Path, stack: ExitStack) -> subprocess.Popen[bytes]:
    log = stack.enter_context((folder / f"{arguments[0]}-{len(arguments)}.log").open("ab"))
    process = subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.dask_{arguments[0]}", *arguments[1:]],
        cwd=folder, stdout=log, stderr=log, start_new_session=True,
    )  # fmt: skip
    stack.callback(process.wait)
    stack.callback(process.kill)
    return process


@pytest.fixture
def two_workers(tmp_path: Path) -> Iterator[Cluster]:
    """A scheduler and two workers, in another folder than the plans."""
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    folder = tmp_path / "cluster"
    folder.mkdir()
    known = folder / "scheduler.json"
    common = ["--scheduler-file", str(known), "--no-dashboard"]
    with ExitStack() as stack:
        start(["scheduler", "--host", "127.0.0.1", "--port", "0", *common], folder, stack)
        workers = tuple(
            start(["worker", "--host", "127.0.0.1", "--no-nanny", "--nthreads", "1", *common,
                   "--name", name], folder, stack)
            for name in ("one", "two")
        )  # fmt: skip
        yield Cluster(wait_for(known), workers)


def wait_for(known: Path) -> str:
    end = time.monotonic() + 90
    while time.monotonic() < end:
        try:
            address = json.loads(known.read_text())["address"]
        except (FileNotFoundError, ValueError, KeyError):
            time.sleep(0.1)
            continue
        script = (
            "import sys; from distributed import Client\n"
            "with Client(sys.argv[1]) as client: client.wait_for_workers(2, timeout=60)"
        )
        subprocess.run([sys.executable, "-c", script, address], check=True, timeout=120)
        return str(address)
    raise AssertionError("no scheduler came up")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A folder with many plans, one of them unreadable, and settings above them."""
    sources = [path.read_bytes() for path in sorted(PLANS.glob("*.yaml"))
               if b"plan_format" in path.read_bytes()]  # fmt: skip
    folder = tmp_path / "house"
    (folder / "plans").mkdir(parents=True)
    (folder / ".git").mkdir()  # settings hold as far up as the repository
    (folder / "underfoot.yaml").write_text(
        "settings_format: 1\nlimits: {wall-clearance: {planned: 70, because: house rule}}\n"
    )
    (folder / "plans" / "catalogue.yaml").write_bytes((PLANS / "catalogue.yaml").read_bytes())
    (folder / "plans" / "000.yaml").write_text("plan_format: 1\nrooms: 5\n")
    for number in range(1, COUNT):
        name = f"{number:03}.yaml"
        (folder / "plans" / name).write_bytes(sources[number % len(sources)])
    return folder


def begin(house: Path, *arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "underfoot", "check", "plans", "--format", "json",
         "--today", "2026-10-01", *arguments],
        cwd=house, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def finish(process: subprocess.Popen[bytes]) -> bytes:
    with process:
        out, err = process.communicate(timeout=400)
    assert err == b""
    assert process.returncode == 2  # one plan cannot be read
    assert len(json.loads(out)["plans"]) == COUNT
    return out


@pytest.mark.long
def test_a_cluster_gives_the_same_bytes_and_a_killed_worker_loses_nothing(
    house: Path, two_workers: Cluster
) -> None:
    alone = finish(begin(house, "--jobs", "1"))
    assert b"house rule (underfoot.yaml:2)" in alone
    assert finish(begin(house, "--cluster", two_workers.address)) == alone
    process = begin(house, "--cluster", two_workers.address)
    first = two_workers.workers[0]
    used = cpu_seconds(first.pid)
    while cpu_seconds(first.pid) < used + 0.3:  # it is at work on this run
        assert process.poll() is None, "the run was over before the worker could be killed"
        time.sleep(0.01)
    first.send_signal(signal.SIGKILL)
    assert process.poll() is None, "the run was over before the worker was killed"
    assert finish(process) == alone


def cpu_seconds(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def test_no_cluster_is_one_line(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    script = (
        "import sys\nfrom underfoot.running import cluster\ncluster._CONNECT_SECONDS = 1\n"
        "from underfoot.__main__ import main\nsys.exit(main())"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, "check", "plans", "--cluster", "tcp://127.0.0.1:1"],
        cwd=house, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("underfoot: --cluster tcp://127.0.0.1:1: it cannot be reached")
    assert done.stderr.count("\n") == 1


def test_without_the_extra_it_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(CommandError, match=r"pip install 'underfoot\[cluster\]'"):
        list(cluster.hand_over([], TERMS, keep, address="tcp://127.0.0.1:1"))


def test_a_worker_that_is_not_alike_is_refused() -> None:
    with pytest.raises(CommandError, match=r"a worker has underfoot .* and not 0\.0\.0 as here"):
        check_batch([], TERMS, keep, "a", ("0.0.0", ()))
    with pytest.raises(CommandError, match="other rule sets"):
        check_batch([], TERMS, keep, "a", (cluster.__version__, ("gone",)))


class LostError(Exception):
    """Workers were lost at a task."""


class Future:
    """A task that is done when it is asked for."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self.result = work


class Client:
    """A cluster that loses its workers at one plan."""

    def submit(
        self, work: Callable[..., Any], files: Sequence[PlanFile], *rest: Any, pure: bool
    ) -> Future:
        def fall() -> Any:
            raise LostError

        deadly = any(file.path.endswith("corridor.yaml") for file in files)
        return Future(fall if deadly else lambda: work(files, *rest))


def test_a_plan_that_keeps_killing_workers_is_named_and_costs_no_other() -> None:
    files = [PlanFile(place=str(path), path=path.name) for path in sorted(PLANS.glob("*.yaml"))
             if path.name != "catalogue.yaml"]  # fmt: skip
    run = cluster._Run(Client(), TERMS, keep, LostError)
    made = list(run.through(files, 2))
    assert [report.path for report in made] == [file.path for file in files]
    lost = [report for report in made if report.verdict == "unreadable"]
    assert [report.path for report in lost] == ["corridor.yaml"]
    assert "workers that checked this plan were lost" in lost[0].problems[0].message
