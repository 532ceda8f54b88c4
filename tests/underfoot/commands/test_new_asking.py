"""`underfoot new` at a terminal, where it asks."""

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.underfoot.beginning.begun import begun, put_catalogue

pytestmark = pytest.mark.usefixtures("folder")

Said = pytest.CaptureFixture[str]


def talk(arguments: list[str], answers: str) -> tuple[int, str]:
    """Run the command at a terminal of its own, and answer its questions."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "underfoot", *arguments]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs) as process:
        os.close(theirs)
        os.write(ours, answers.encode())
        said = b""
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the other end is closed
                break
            if not piece:
                break
            said += piece
        process.wait(timeout=30)
    os.close(ours)
    return process.returncode, said.decode().replace("\r\n", "\n")


@pytest.mark.process
def test_at_a_terminal_it_asks() -> None:
    put_catalogue()
    answers = "4.2m\n4.2mx3.1m\n\nlivin\n\n\n\nfilm-72\noak-13\n\n"
    status, said = talk(["new", "study.yaml"], answers)
    assert status == 0, said
    assert "is no size: write width by depth, such as 4.2mx3.1m" in said
    assert "did you mean `living`?" in said
    assert "What is the room called [study]:" in said
    assert "What is it used for [office]:" in said
    plan = begun("study.yaml")
    assert plan.rooms["study"].use == "office"
    assert plan.rooms["study"].coverings[0].covering.id == "oak-13"
    # Ctrl-D ends it without a plan, and without a traceback.
    status, said = talk(["new", "other.yaml"], "\x04")
    assert status == 130
    assert "Traceback" not in said
    assert not Path("other.yaml").exists()
