"""The hook, run for real: pre-commit clones this project, installs it and checks a commit."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.guides import ROOT
from tests.test_ci_guide import FILES, HOOKS, commit, git

pytestmark = pytest.mark.process

RIGHT = (ROOT / "rules" / "underfoot_rules" / "base_plan.yaml").read_text("utf-8")
WITH_CATALOGUE = RIGHT.replace("plan_format: 1\n", "plan_format: 1\ncatalogue: catalogue.yaml\n")
WRONG = re.compile(r"at: \[60, 60\]")
TAKEN = (
    "linter", "rules", "pyproject.toml", "README.md", "LICENSE", ".pre-commit-hooks.yaml",
)  # fmt: skip


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, str]:
    """A clone of this project as it stands, and its commit."""
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("PRE_COMMIT_HOME", str(tmp_path / "pre-commit"))
    folder = tmp_path / "underfoot"
    folder.mkdir()
    left = shutil.ignore_patterns("__pycache__", ".mypy_cache")
    for name in TAKEN:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=left)
        else:
            shutil.copy(ROOT / name, folder / name)
    git(folder, "init", "-q", "-b", "main")
    commit(folder, "all")
    done = subprocess.run(
        ["git", "rev-parse", "HEAD"], cwd=folder, check=True, capture_output=True, text=True
    )
    return folder, done.stdout.strip()


@pytest.fixture
def house(tmp_path: Path, project: tuple[Path, str]) -> Path:
    """A repository of plans that installed the hook, with a catalogue of nothing."""
    house = tmp_path / "house"
    (house / "plans").mkdir(parents=True)
    git(house, "init", "-q", "-b", "main")
    config = re.sub(r"repo: \S+", f"repo: {project[0]}", FILES[HOOKS])
    (house / HOOKS).write_text(re.sub(r"rev: \S+", f"rev: {project[1]}", config))
    (house / "plans" / "catalogue.yaml").write_text("catalogue_format: 1\nmaterials: {}\n")
    subprocess.run(
        [sys.executable, "-m", "pre_commit", "install"], cwd=house, check=True, capture_output=True
    )
    return house


@pytest.mark.long
def test_a_faulty_plan_is_not_committed(house: Path) -> None:
    plan, catalogue = house / "plans" / "room.yaml", house / "plans" / "catalogue.yaml"
    plan.write_text(RIGHT)
    first = attempt(house, "a right plan")
    assert first.returncode == 0, first.stdout + first.stderr
    assert "check plans of electric floor heating" in first.stdout + first.stderr

    wrong, changed = WRONG.subn("at: [42, 60]", RIGHT)
    assert changed == 1
    plan.write_text(wrong)
    second = attempt(house, "a faulty plan")
    assert second.returncode == 1
    assert "lies 42 mm from the wall" in second.stdout + second.stderr
    assert log(house) == ["a right plan"]

    # What stands in the folder but is not to be committed is put aside by pre-commit.
    plan.write_text(RIGHT)
    assert attempt(house, "right again", add=False).returncode == 1
    git(house, "checkout", "HEAD", "--", "plans/room.yaml")

    catalogue.write_text("catalogue_format: 1\nmaterials: {films: 3}\n")
    plan.write_text(WITH_CATALOGUE)
    git(house, "add", "plans/room.yaml")
    third = attempt(house, "a faulty catalogue")
    assert third.returncode == 1
    assert "catalogue.yaml" in third.stdout + third.stderr
    assert log(house) == ["a right plan"]


@pytest.mark.long
def test_a_commit_that_takes_a_catalogue_away_is_checked(house: Path) -> None:
    (house / "plans" / "room.yaml").write_text(WITH_CATALOGUE)
    first = attempt(house, "a right plan")
    assert first.returncode == 0, first.stdout + first.stderr

    # What lies beside, unknown to git, is not what is committed.
    (house / "plans" / "stray.yaml").write_text("plan_format: [")
    git(house, "rm", "-q", "plans/catalogue.yaml")
    second = attempt(house, "no catalogue", add=False)
    assert second.returncode == 1
    assert "catalogue.yaml" in second.stdout + second.stderr
    assert "stray.yaml" not in second.stdout + second.stderr
    assert log(house) == ["a right plan"]


def attempt(house: Path, message: str, *, add: bool = True) -> subprocess.CompletedProcess[str]:
    if add:
        git(house, "add", "-A")
    who = ["-c", "user.name=Test", "-c", "user.email=test@localhost"]
    return subprocess.run(
        ["git", *who, "commit", "--no-gpg-sign", "-m", message],
        cwd=house, capture_output=True, text=True, timeout=900, check=False,
    )  # fmt: skip


def log(house: Path) -> list[str]:
    done = subprocess.run(
        ["git", "log", "--format=%s"], cwd=house, check=True, capture_output=True, text=True
    )
    return done.stdout.splitlines()
