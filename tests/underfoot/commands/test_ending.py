"""Signals, and readers that go away: nothing is left half done, and the status says which."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from underfoot.commands.outputs import FORMATS
from underfoot_rules import STANDARD

pytestmark = [
    pytest.mark.process,
    pytest.mark.usefixtures("folder"),
    pytest.mark.skipif(sys.platform == "win32", reason="signals are of another kind there"),
]

# One form of each kind every day, all of them in CI.
FORMS = [
    form if form in ("text", "json", "lines") else pytest.param(form, marks=pytest.mark.long)
    for form in FORMATS
]

COMMAND = [sys.executable, "-m", "underfoot"]
# Writes one piece, tells that it has, and waits to be ended, also where the tests run under nohup.
SLOW = """
import signal, sys, time
signal.signal(signal.SIGHUP, signal.SIG_DFL)
from underfoot.running.signals import EndedError, heed_signals
from underfoot.commands.output_files import Writing, write_files

def pieces():
    yield "first"
    print("writing", flush=True)
    time.sleep(60)

heed_signals()
try:
    write_files([Writing(place="done", pieces=["whole"]), Writing(place="out", pieces=pieces())])
except EndedError as ended:
    sys.exit(128 + ended.number)
"""


@pytest.mark.parametrize("form", FORMS)
def test_a_reader_that_reads_one_line(form: str) -> None:
    for number in range(12):
        Path(f"{number}.yaml").write_text(STANDARD.base_plan, "utf-8")
    reading, writing = os.pipe()
    with os.fdopen(writing, "wb") as out:
        process = subprocess.Popen(
            [*COMMAND, "check", ".", "--root", ".", "--format", form],
            stdout=out,
            stderr=subprocess.PIPE,
        )
    # A reader that has gone before anything is written: what `head -1` is at the latest in the end.
    os.close(reading)
    _, err = process.communicate(timeout=120)
    # A report of nothing, where nothing is found, is never written into the pipe.
    silent = form in ("lines", "annotations")
    assert (process.returncode, err) == (0 if silent else 141, b"")


def test_standard_streams_that_are_closed() -> None:
    Path("a.yaml").write_text(STANDARD.base_plan, "utf-8")
    for closing, status in ((">&-", 141), ("2>&-", 0), (">&- 2>&-", 141), ("2>&- --output o", 0)):
        line = f"{sys.executable} -m underfoot check a.yaml {closing}"
        done = subprocess.run(["bash", "-c", line], capture_output=True, check=False, timeout=120)
        assert (done.returncode, done.stderr) == (status, b""), closing


def test_both_streams_into_a_pipe_that_nobody_reads() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as out:
        done = subprocess.run(
            [*COMMAND, "check", "gone.yaml"], stdout=out, stderr=out, check=False, timeout=120
        )
    assert done.returncode == 141


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_what_was_half_written_is_taken_back(name: str) -> None:
    ending = getattr(signal, name)
    Path("out").write_text("before", "utf-8")
    with subprocess.Popen(
        [sys.executable, "-c", SLOW], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"writing\n"
        assert len(list(Path().glob(".*.part"))) == 2
        process.send_signal(ending)
        process.send_signal(ending)
        _, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (128 + ending, b"")
    assert sorted(os.listdir()) == ["out"]
    assert Path("out").read_text("utf-8") == "before"


@pytest.mark.parametrize("form", FORMS)
def test_a_run_that_is_ended_leaves_nothing(form: str) -> None:
    for number in range(60):
        Path(f"{number}.yaml").write_text(STANDARD.base_plan, "utf-8")
    command = [*COMMAND, "check", ".", "--root", ".", "--jobs", "2",
               "--format", form, "--output", "out"]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        time.sleep(1.2)  # it is somewhere between its imports and its last byte
        process.send_signal(signal.SIGTERM)
        out, err = process.communicate(timeout=120)
    # Before the first line of ours runs, the system itself ends it.
    assert process.returncode in (143, -signal.SIGTERM, 0)
    assert (out, err) == (b"", b"")
    assert not list(Path().glob(".*.part"))
    assert Path("out").exists() == (process.returncode == 0)


def test_once_all_is_written_the_status_says_so() -> None:
    Path("a.yaml").write_text(STANDARD.base_plan, "utf-8")
    ends_late = (
        "import atexit, os, signal, sys; from underfoot.__main__ import main;"
        "atexit.register(lambda: os.kill(os.getpid(), signal.SIGTERM)); sys.exit(main())"
    )
    command = [sys.executable, "-c", ends_late, "check", "a.yaml", "--root", ".", "--output", "out"]
    done = subprocess.run(command, capture_output=True, check=False, timeout=120)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    assert Path("out").exists()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device here")
@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["check", "right.yaml", "--root", ".", "--report", "json=out.json"], 0),
        (["check", "nowhere.yaml", "--format", "json"], 2),
        (["nonsense"], 2),
    ],
)
def test_standard_error_on_a_full_disk_changes_no_status(arguments: list[str], status: int) -> None:
    Path("right.yaml").write_text(STANDARD.base_plan, "utf-8")
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*COMMAND, *arguments], stdout=subprocess.DEVNULL, stderr=full, check=False, timeout=60
        )
    assert done.returncode == status
