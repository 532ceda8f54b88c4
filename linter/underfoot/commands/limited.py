"""Commands about one plan that cannot take the machine with them, whatever the plan is."""

from __future__ import annotations

import signal
from typing import Any

import click

from underfoot.commands.ending import end_well
from underfoot.running.copies import can_copy, do_apart
from underfoot.running.errors import CommandError
from underfoot.running.limits import Allowance

# Processor time in seconds, and memory beyond what the program itself needs.
_SECONDS = 120.0
_MEMORY_BYTES = 2_000_000_000


class LimitedCommand(click.Command):
    """A command that is done in a copy of the process, where that is the command's own.

    The system ends the copy where it takes more than is allowed.
    """

    def invoke(self, ctx: click.Context) -> Any:
        """Do the command and give its status; CommandError where it was ended."""
        if not (ctx.find_root().obj and can_copy()):
            return super().invoke(ctx)

        invoke = super().invoke
        status = do_apart(
            lambda: end_well(lambda: invoke(ctx)),
            Allowance(seconds=_SECONDS, memory_bytes=_MEMORY_BYTES),
        )
        if status == -signal.SIGXCPU:
            raise CommandError(
                f"{self.name} took more than {_SECONDS:g} s and was stopped: divide the plan"
            )
        if status == -signal.SIGINT:
            raise KeyboardInterrupt
        if status == -signal.SIGTERM:
            signal.raise_signal(signal.SIGTERM)
        if status < 0:
            raise CommandError(
                f"{self.name} was ended by {signal.Signals(-status).name}: it needed more memory "
                "than a plan may, or the tool or the machine is at fault"
            )
        return status
