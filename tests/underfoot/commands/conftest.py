"""What tests of commands stand on."""

import os
from pathlib import Path

import pytest

from tests.underfoot.commands.git_house import CATALOGUE, SHARING, git
from tests.underfoot.commands.tiny_plans import RIGHT, put


@pytest.fixture
def house(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A repository with two plans, one of them on a catalogue, committed on `main`."""
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    put("plans/a.yaml", SHARING)
    put("plans/b.yaml", RIGHT)
    put("shared/catalogue.yaml", CATALOGUE)
    git("init", "-q", "-b", "main")
    git("add", "-A")
    git("commit", "-qm", "first")
