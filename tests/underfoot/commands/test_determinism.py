"""The same plans give the same bytes: in every format, by any hash seed, folder, number of jobs."""

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from underfoot.commands.outputs import FORMATS

pytestmark = pytest.mark.process

KEPT = (
    "annexe",
    "attic",
    "bathroom",
    "common-room",
    "corridor",
    "flat",
    "hall",
    "kitchen",
    "study",
)

# What differs from the first run: nothing that a report may show.
RUNS: Mapping[str, tuple[str, str, list[str]]] = {
    "again": ("1", "one", ["--jobs", "1"]),
    "another hash seed": ("2", "one", ["--jobs", "1"]),
    "another folder": ("1", "two/deeper/down", ["--jobs", "1"]),
    "three processes": ("3", "one", ["--jobs", "3"]),
}


def put_house(folder: Path) -> None:
    """A repository with plans right and wrong, and one that cannot be read."""
    (folder / ".git").mkdir(parents=True)
    plans = folder / "plans"
    plans.mkdir()
    for path in [*PLANS.glob("*.yaml"), *PLANS.glob("*/*.yaml")]:
        to = plans / path.relative_to(PLANS)
        if path.stem in KEPT or path.parent.name in KEPT or path.name == "catalogue.yaml":
            to.parent.mkdir(exist_ok=True)
            shutil.copyfile(path, to)
    (plans / "broken.yaml").write_text("plan_format: 1\nrooms: {a: {outlin: []}}\nmore: &a 1\n")


def run(folder: Path, seed: str, arguments: list[str]) -> dict[str, bytes]:
    out = folder / "out"
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir()
    reports = [part for form in FORMATS for part in ("--report", f"{form}=out/{form}")]
    known = ["--known", "earlier.json"] if (folder / "earlier.json").exists() else []
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", "check", "plans", "gone.yaml", *arguments, *known,
         "--today", "2026-10-01", *reports],
        cwd=folder, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr
    made = {form: (out / form).read_bytes() for form in FORMATS}
    return {**made, "standard output": done.stdout, "standard error": done.stderr}


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, bytes]]:
    top = tmp_path_factory.mktemp("determinism")
    for name in sorted({folder for _, folder, _ in RUNS.values()}):
        put_house(top / name)
    earlier = run(top / "one", "0", ["--jobs", "1"])["json"]
    for name in sorted({folder for _, folder, _ in RUNS.values()}):
        (top / name / "earlier.json").write_bytes(earlier)
    return top, run(top / "one", "1", ["--jobs", "1"])


@pytest.fixture(scope="module", params=list(RUNS))
def other(request: pytest.FixtureRequest, first: tuple[Path, dict[str, bytes]]) -> dict[str, bytes]:
    seed, folder, arguments = RUNS[request.param]
    return run(first[0] / folder, seed, arguments)


@pytest.mark.parametrize("form", [*FORMATS, "standard output", "standard error"])
def test_the_same_bytes(
    first: tuple[Path, dict[str, bytes]], other: dict[str, bytes], form: str
) -> None:
    assert first[1][form]
    assert other[form] == first[1][form]


def test_no_report_names_the_folder_it_was_made_in(first: tuple[Path, dict[str, bytes]]) -> None:
    for form, text in first[1].items():
        assert str(first[0]).encode() not in text, form
