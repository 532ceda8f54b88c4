"""Asking the command, and what it says."""

import io
import json
import shlex
import sys
from typing import Any, NamedTuple

import pytest

from underfoot.__main__ import main


class Said(NamedTuple):
    """What one command printed."""

    out: str
    err: str
    status: int

    @property
    def data(self) -> Any:
        """The JSON on standard output."""
        return json.loads(self.out)

    @property
    def plans(self) -> list[str]:
        """The paths of the plans of a report in JSON."""
        return [each["path"] for each in self.data["plans"]]


class Input:
    """Standard input with these bytes."""

    def __init__(self, source: bytes) -> None:
        self.buffer = io.BytesIO(source)


class Ask(NamedTuple):
    """Runs the command in this process; what was printed before is not asked about."""

    capsys: pytest.CaptureFixture[str]

    def __call__(
        self, command: str, *more: str, stdin: bytes | None = None, status: int | None = 0
    ) -> Said:
        """Return what a command says, written as for a shell, with further arguments as they are.

        `stdin` is what it finds on standard input; `status` is the exit status that it must have,
        None if any will do.
        """
        self.capsys.readouterr()
        with pytest.MonkeyPatch.context() as patch:
            if stdin is not None:
                patch.setattr(sys, "stdin", Input(stdin))
            ended = main([*shlex.split(command), *more])
        said = Said(*self.capsys.readouterr(), ended)
        assert status in (None, ended), (ended, said)
        return said
