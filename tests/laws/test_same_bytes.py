"""The same plans give the same bytes, whatever the hash seed and wherever they are checked."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.laws.sources import PLANS

pytestmark = pytest.mark.process

SEEDS = ("0", "1", "random")


def _check(folder: Path, seed: str, form: str) -> bytes:
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONHASHSEED"}
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", "check", "plans", "--format", form,
         "--today", "2026-10-01"],
        cwd=folder, env=environment | {"PYTHONHASHSEED": seed}, capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1, done.stderr.decode()  # some demo plans are faulty
    assert done.stderr == b""
    return done.stdout


@pytest.mark.parametrize("form", ["text", pytest.param("json", marks=pytest.mark.long)])
def test_seeds_and_folders_change_nothing(form: str, tmp_path: Path) -> None:
    folders = [tmp_path / "here", tmp_path / "some" / "where else"]
    for folder in folders:
        shutil.copytree(PLANS, folder / "plans")
        (folder / ".git").mkdir()
    reports = [
        _check(folder, seed, form)
        for seed, folder in zip(SEEDS, [*folders, folders[0]], strict=True)
    ]
    assert len(reports[0]) > 10_000
    assert reports[1] == reports[0]
    assert reports[2] == reports[0]
