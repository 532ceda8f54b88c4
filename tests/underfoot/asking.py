"""Asking the command, and what it says."""

from __future__ import annotations

import json
import shlex
from typing import Any, NamedTuple

import pytest

from underfoot.__main__ import main


class Said(NamedTuple):
    """What one command printed."""

    out: str
    err: str

    @property
    def data(self) -> Any:
        """The JSON on standard output."""
        return json.loads(self.out)


class Ask(NamedTuple):
    """Runs the command in this process; what was printed before is not asked about."""

    capsys: pytest.CaptureFixture[str]

    def __call__(self, command: str, *more: str, status: int | None = 0) -> Said:
        """Give what a command says, written as for a shell, with further arguments as they are.

        `status` is the exit status that it must have, None if any will do.
        """
        self.capsys.readouterr()
        ended = main([*shlex.split(command), *more])
        said = Said(*self.capsys.readouterr())
        assert status in (None, ended), (ended, said)
        return said
