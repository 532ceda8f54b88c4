"""The guide to CI: its files are valid, and its commands run as printed."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.guides import ROOT
from underfoot.checking.exit_status import INCOMPLETE, PASSED, REFUSED

pytestmark = pytest.mark.process

GUIDE = (ROOT / "linter" / "ci.md").read_text("utf-8")
FILES = dict(re.findall(r"```yaml\n# (\S+)\n(.*?)```", GUIDE, re.DOTALL))
SHELL = re.findall(r"```sh\n(.*?)```", GUIDE, re.DOTALL)
WORKFLOW, PIPELINE, HOOKS = (
    ".github/workflows/plans.yml",
    ".gitlab-ci.yml",
    ".pre-commit-config.yaml",
)
# Installing from the net is another test's matter (test_pre_commit.py): here it is only noted.
PIP = '#!/bin/sh\necho "$@" >> "$PIP_LOG"\n'


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo plans in a repository with an origin, and a branch that changed the catalogue."""
    tools = tmp_path / "tools"
    tools.mkdir()
    put_tool(tools / "underfoot", f'#!/bin/sh\nexec {sys.executable} -m underfoot "$@"\n')
    put_tool(tools / "pip", PIP)
    monkeypatch.setenv("PATH", f"{tools}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setenv("PIP_LOG", str(tmp_path / "pip.log"))
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    home = tmp_path / "home"
    shutil.copytree(ROOT / "plans", home / "plans")
    git(home, "init", "-q", "-b", "main")
    commit(home, "plans")
    git(tmp_path, "clone", "-q", str(home), "work")
    work = tmp_path / "work"
    git(work, "switch", "-q", "-c", "change")
    with (work / "plans" / "catalogue.yaml").open("a") as stream:
        stream.write("# looked through\n")
    commit(work, "catalogue")
    return work


def put_tool(place: Path, text: str) -> None:
    place.write_text(text)
    place.chmod(0o755)


def git(folder: Path, *arguments: str) -> None:
    subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True)


def commit(folder: Path, message: str) -> None:
    git(folder, "add", "-A")
    who = ["-c", "user.name=Test", "-c", "user.email=test@localhost"]
    git(folder, *who, "commit", "-q", "--no-gpg-sign", "-m", message)


def run(folder: Path, line: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["bash", "-e", "-o", "pipefail", "-c", line],
        cwd=folder,
        env={**os.environ, "UNDERFOOT": "underfoot-0.1.0.whl"},
        capture_output=True,
        text=True,
        check=False,
    )


def loaded(name: str) -> Any:
    return yaml.safe_load(FILES[name])


def test_all_three_files_are_there_whole() -> None:
    assert set(FILES) == {WORKFLOW, PIPELINE, HOOKS}
    assert GUIDE.count("```yaml") == 3


@pytest.mark.parametrize(
    ("name", "schema"),
    [(WORKFLOW, "vendor.github-workflows"), (PIPELINE, "vendor.gitlab-ci")],
)
def test_the_files_are_what_the_services_read(tmp_path: Path, name: str, schema: str) -> None:
    place = tmp_path / Path(name).name
    place.write_text(FILES[name])
    done = subprocess.run(
        [sys.executable, "-m", "check_jsonschema", "--builtin-schema", schema, str(place)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_hooks_are_what_pre_commit_reads(tmp_path: Path) -> None:
    place = tmp_path / HOOKS
    place.write_text(FILES[HOOKS])
    manifest = str(ROOT / ".pre-commit-hooks.yaml")
    for command in (["validate-config", str(place)], ["validate-manifest", manifest]):
        subprocess.run([sys.executable, "-m", "pre_commit", *command], check=True)
    (hook,) = yaml.safe_load(Path(manifest).read_text("utf-8"))
    assert [each["id"] for each in loaded(HOOKS)["repos"][0]["hooks"]] == [hook["id"]]


def lines_of(name: str) -> list[str]:
    if name == WORKFLOW:
        steps = loaded(name)["jobs"]["check"]["steps"]
        assert all(("uses" in step) != ("run" in step) for step in steps)
        return [step["run"] for step in steps if "run" in step]
    return list(loaded(name)["plans"]["script"])


def kept_by(name: str) -> list[str]:
    """The files that the service is told to take."""
    if name == PIPELINE:
        artifacts = loaded(name)["plans"]["artifacts"]
        assert artifacts["when"] == "always"
        return [*artifacts["paths"], *artifacts["reports"].values()]
    steps = [step for step in loaded(name)["jobs"]["check"]["steps"] if "if" in step]
    assert all(step["if"] == "always()" for step in steps)
    return [step["with"].get("sarif_file") or step["with"]["path"] for step in steps]


@pytest.mark.long
@pytest.mark.parametrize("name", [WORKFLOW, PIPELINE])
def test_the_commands_of_a_job_run_and_leave_what_it_takes(
    repository: Path, tmp_path: Path, name: str
) -> None:
    install, check = lines_of(name)
    assert run(repository, install).returncode == 0
    assert (tmp_path / "pip.log").read_text() == "install underfoot-0.1.0.whl\n"
    done = run(repository, check)
    assert done.returncode == REFUSED, done.stderr
    assert "  error  " in done.stdout
    assert done.stderr.startswith("underfoot: ")
    assert done.stderr.endswith("; exit status 1\n")
    for kept in kept_by(name):
        assert (repository / kept).stat().st_size > 1000, kept
    shutil.rmtree(repository / "plans")
    (repository / "plans").mkdir()
    shutil.copy(ROOT / "rules" / "underfoot_rules" / "base_plan.yaml", repository / "plans")
    assert run(repository, check).returncode == PASSED
    (repository / "plans" / "broken.yaml").write_text("plan_format: 1\n")
    assert run(repository, check).returncode == INCOMPLETE


def commands(block: str) -> list[str]:
    return [line for line in block.splitlines() if line]


def test_several_reports_of_one_run(repository: Path) -> None:
    (line,) = commands(SHELL[0])
    assert run(repository, line).returncode == REFUSED
    assert all((repository / f"plans.{end}").exists() for end in ("sarif", "xml", "html"))


def test_a_hook_of_one_s_own_judges_what_is_staged(repository: Path) -> None:
    (line,) = commands(SHELL[1])
    plans = repository / "plans"
    git(repository, "rm", "-rq", "plans")
    plans.mkdir(exist_ok=True)
    right = (ROOT / "rules" / "underfoot_rules" / "base_plan.yaml").read_text("utf-8")
    wrong = right.replace("at: [60, 60]", "at: [42, 60]")
    for staged, beside, status in ((wrong, right, REFUSED), (right, wrong, PASSED)):
        (plans / "room.yaml").write_text(staged)
        git(repository, "add", "plans/room.yaml")
        (plans / "room.yaml").write_text(beside)
        (plans / "stray.yaml").write_text("plan_format: [")
        assert run(repository, line).returncode == status
        shutil.rmtree(repository / "staged")


def test_known_faults_pass_once_they_are_written_down(repository: Path) -> None:
    first, again = commands(SHELL[2])
    assert run(repository, first).returncode == PASSED
    done = run(repository, again)
    assert done.returncode == PASSED, done.stdout
    assert "HELD AGAINST known.json" in done.stdout


def paths(done: subprocess.CompletedProcess[str]) -> Sequence[str]:
    return [each["path"] for each in json.loads(done.stdout)["plans"]]


def test_only_what_changed(repository: Path) -> None:
    changed, depends, listed = commands(SHELL[3])
    stands = {}
    done = run(repository, depends)
    assert done.returncode == PASSED
    for line in done.stdout.splitlines():
        plan, _, on = line.partition("\t")
        stands.setdefault(plan, set()).add(on)
    sharing = sorted(plan for plan, on in stands.items() if "plans/catalogue.yaml" in on)
    assert 0 < len(sharing) < len(stands)
    assert sorted(paths(run(repository, f"{changed} --format json"))) == sharing
    (repository / "known.json").touch()
    os.utime(repository / "known.json", (0, 0))
    some = run(repository, f"{listed.replace('*.yaml', 'k*.yaml')} --format json")
    assert paths(some) == ["plans/kitchen.yaml"]


def test_every_exit_status_is_in_the_table() -> None:
    rows = re.findall(r"^\| ([0-9]) \|", GUIDE, re.MULTILINE)
    assert [int(row) for row in rows] == [PASSED, REFUSED, INCOMPLETE]


def test_every_option_named_is_one() -> None:
    told = subprocess.run(
        [sys.executable, "-m", "underfoot", "check", "--help"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    others = {"--name-only", "--help", "--all", "--prefix"}  # git's own
    for option in set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", GUIDE)) - others:
        assert option in told, option
