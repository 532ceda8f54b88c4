"""The tiny rule set in place of the installed ones, and a folder to work in."""

from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_set import TINY
from underfoot.running import checking


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A new folder, which is the one the command runs in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def tiny(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the commands find the tiny rule set alone."""
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: (TINY,))


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    """Ask the command, and hear what it says."""
    return Ask(capsys)
