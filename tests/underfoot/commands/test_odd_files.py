"""Files of odd kinds and sizes that the command line names: told in one line, and status 2."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot.asking import Ask
from underfoot.__main__ import main
from underfoot.running import taking_in

ROOT = Path(__file__).parents[3]
PLAN = str(ROOT / "plans" / "bedroom.yaml")
Said = pytest.CaptureFixture[str]
ODD = ["", ".", "/dev/null", "/dev/zero", "no/such/file", PLAN]

pytestmark = [pytest.mark.process, pytest.mark.usefixtures("folder")]


def said_of(capsys: Said, *arguments: str) -> str:
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "fault of the tool" not in err
    assert err.count("\n") == 1
    return err


@pytest.mark.parametrize("place", ODD)
def test_known(capsys: Said, monkeypatch: pytest.MonkeyPatch, place: str) -> None:
    monkeypatch.setattr("underfoot.commands.earlier_run._LONGEST_KNOWN", 100_000)
    err = said_of(capsys, "check", PLAN, "--known", place)
    assert err.startswith(f"underfoot: --known {place}: ")
    assert ("it is too long: at most 0 MB are read" in err) == (place == "/dev/zero")


@pytest.mark.parametrize("place", ODD)
@pytest.mark.parametrize("option", ["--known", "--anonymous"])
def test_marking(folder: Path, capsys: Said, place: str, option: str) -> None:
    shutil.copytree(ROOT / "tests" / "demo_class", "class")
    err = said_of(capsys, "mark", "class/submissions", option, place)
    assert err.startswith(f"underfoot: {option}")


def test_marks_of_odd_kinds(folder: Path, capsys: Said) -> None:
    shutil.copytree(ROOT / "tests" / "demo_class", "class")
    mark = {"final_mark": [], "final_outcome": 1, "name": "a", "attempts": [],
            "counted_attempt": 7}  # fmt: skip
    old = {
        "marks_format": 1,
        "scheme": {},
        "submissions": [mark, {**mark, "name": "apprentice-01"}],
    }
    Path("old.json").write_text(json.dumps(old), "utf-8")
    err = said_of(capsys, "mark", "class/submissions", "--known", "old.json")
    assert "it cannot be read as marks" in err


def test_half_a_character_in_an_earlier_report(folder: Path, capsys: Said) -> None:
    main(["check", PLAN, "--format", "json", "--output", "old.json"])
    report = json.loads(Path("old.json").read_text("utf-8"))
    report["plans"][0]["path"] = "\udc80"
    Path("old.json").write_text(json.dumps(report), "utf-8")
    err = said_of(capsys, "check", PLAN, "--known", "old.json")
    assert "`plans.0.path` holds half a character" in err


def test_an_exercise_of_a_plan_with_an_emoji(folder: Path, ask: Ask) -> None:
    text = Path(PLAN).read_text("utf-8").replace("  title: ", "  title: 😀 ", 1)
    assert "😀" in text
    Path("plan.yaml").write_text(text, "utf-8")
    shutil.copy(ROOT / "plans" / "catalogue.yaml", folder)
    assert "written: exercise.yaml" in ask("exercise plan.yaml --output out").err


@pytest.mark.parametrize(
    "text", ["[]", "", "plan_format: 1\nmaterials: [1]\n", "plan_format: 1\ncatalogue: [a]\n"]
)
def test_an_exercise_of_what_is_no_plan(folder: Path, ask: Ask, text: str) -> None:
    Path("plan.yaml").write_text(text, "utf-8")
    err = ask("exercise plan.yaml --output out", status=2).err
    assert err.startswith(("underfoot: plan.yaml: unreadable: ", "underfoot: plan.yaml: the file"))
    assert "fault of the tool" not in err
    assert not Path("out").exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_that_never_ends_is_given_up(
    folder: Path, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo("endless")
    monkeypatch.setattr(taking_in, "PATIENCE_SECONDS", 0.6)
    err = said_of(capsys, "check", PLAN, "--known", "endless")
    assert "it did not end within" in err


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="no endless file here")
def test_an_exercise_without_words_for_its_faults_is_refused(folder: Path) -> None:
    asked = ["-OO", "-m", "underfoot", "exercise", PLAN, "--output", "out"]
    done = subprocess.run([sys.executable, *asked], capture_output=True, text=True)
    assert (done.returncode, (folder / "out").exists()) == (2, False)
    assert "run it without -OO" in done.stderr


@pytest.mark.parametrize("command", ["heat", "draw", "exercise", "review"])
def test_an_endless_plan(folder: Path, command: str) -> None:
    more = ["--output", "out"] if command == "exercise" else []
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", command, "/dev/zero", *more],
        capture_output=True, timeout=60, check=False, text=True,
    )  # fmt: skip
    assert done.returncode == 2
    assert "file is too long: at most 5 MB are read" in done.stderr


@pytest.mark.parametrize("name", ["##vso[task.complete].yaml", "##[error]a.yaml"])
def test_what_is_said_on_standard_error_is_no_command(
    folder: Path, capsys: Said, name: str
) -> None:
    err = said_of(capsys, "check", name, "--known", name)
    assert name.replace("##", "#\\#") in err
    assert name not in err


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize("make", [os.mkfifo, os.mkdir])
@pytest.mark.parametrize("ask", ["plans", "plans/plan.yaml"])
def test_settings_that_are_no_file_are_no_pass(folder: Path, make: Any, ask: str) -> None:
    os.mkdir("plans")
    shutil.copy(PLAN, "plans/plan.yaml")
    make("plans/underfoot.yaml")
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", "check", ask, "--format", "lines"],
        capture_output=True, timeout=60, check=False, text=True,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout.startswith("plans/underfoot.yaml:1:1: error: the settings are no file that")
