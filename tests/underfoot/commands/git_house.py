"""A repository with plans and a catalogue, and how tests ask git and `check` about it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.underfoot.commands.tiny_plans import RIGHT, Input, data_of

Said = pytest.CaptureFixture[str]
CATALOGUE = "catalogue_format: 1\nmaterials: {}\n"
SHARING = RIGHT.replace("materials: {}", "catalogue: ../shared/catalogue.yaml\nmaterials: {}")
STRICT = """\
settings_format: 1
rules:
  job-date: {severity: error, because: every plan is dated}
"""


def listing(monkeypatch: pytest.MonkeyPatch, source: bytes) -> None:
    monkeypatch.setattr(sys, "stdin", Input(source))


def checked(capsys: Said) -> list[str]:
    return [each["path"] for each in data_of(capsys)["plans"]]


def git(*arguments: str, folder: str = ".") -> str:
    command = ["git", "-c", "user.name=Test", "-c", "user.email=test@localhost",
               "-c", "commit.gpgsign=false", *arguments]  # fmt: skip
    done = subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()
