"""Commands that cannot take the machine with them, whatever they read."""

import os
import signal
import sys
from collections.abc import Sequence
from typing import Any

import click
from msgspec.structs import replace

from underfoot.checking.at_work import Slate
from underfoot.checking.crash import is_lack_of_memory
from underfoot.commands.ending import end_well
from underfoot.commands.options import read_seconds
from underfoot.running.copies import can_copy, do_apart
from underfoot.running.errors import CommandError
from underfoot.running.limits import Allowance, allowance_for, clock_seconds
from underfoot.running.plan_files import display_path
from underfoot.running.taking_in import PATIENCE_SECONDS
from underfoot.running.time_limit import OutOfTimeError, hold_here

_SECONDS = "plan_seconds"


class LimitedCommand(click.Command):
    """A command that is done in a copy of the process, where that is the command's own.

    All that it does may cost what a plan of the size of the files that it `reads` may (the names of
    its parameters); the system ends the copy where it takes more. `advice` says in a word or two
    what takes less, beside dividing the plan. `memory_bytes` is what it may take in any case.
    """

    def __init__(
        self,
        *arguments: Any,
        reads: Sequence[str] = ("plan_file",),
        advice: str = "",
        memory_bytes: int = 0,
        **more: Any,
    ) -> None:
        super().__init__(*arguments, **more)
        self.reads = tuple(reads)
        self.advice = advice
        self.memory_bytes = memory_bytes
        self.params.append(
            click.Option(
                ["--plan-seconds"],
                metavar="SECONDS",
                expose_value=False,
                callback=_keep_seconds,
                help="Stop where it takes more processor time; left out, 10 s for each 300 kB of "
                "what is read.",
            )
        )

    def invoke(self, ctx: click.Context) -> Any:
        """Do the command and give its status; CommandError where it took more than it may."""
        files = [ctx.params[name] for name in self.reads if ctx.params[name] is not None]
        allowed = allowance_for(sum(map(_size, files)), ctx.meta.get(_SECONDS))
        most = max(allowed.memory_bytes, self.memory_bytes)
        allowance = replace(allowed, memory_bytes=most)
        invoke = super().invoke

        def do_it() -> Any:
            try:
                return invoke(ctx)
            except Exception as error:
                if is_lack_of_memory(error):
                    raise CommandError(self._took_too_much(files, allowance)) from None
                raise

        if not (ctx.find_root().obj and can_copy()):
            try:
                return hold_here(allowance, do_it)
            except OutOfTimeError as error:
                said = self._took_too_long(files, allowance, error.rule)
                raise CommandError(said) from None
        slate = Slate()
        patience = _patience(files, allowance)
        status = do_apart(lambda: end_well(do_it), allowance, patience, slate)
        rule = slate.read()
        if status in (-signal.SIGXCPU, -signal.SIGALRM):
            raise CommandError(self._took_too_long(files, allowance, rule))
        if status == -signal.SIGINT:
            raise KeyboardInterrupt
        if status == -signal.SIGTERM:
            signal.raise_signal(signal.SIGTERM)
        if rule:
            how = f"was ended by {signal.Signals(-status).name}" if status < 0 else "ended"
            raise CommandError(
                f"{self._named(files)} {how} while the rule {rule} was at work, which is of a set "
                "beside the standard one: mend it there, or take the set out"
            )
        if status < 0:
            raise CommandError(
                f"{self._took_too_much(files, allowance)} (it was ended by "
                f"{signal.Signals(-status).name}; where it is not that, the tool or the machine is "
                "at fault)"
            )
        return status

    def _took_too_long(self, files: Sequence[str], allowance: Allowance, rule: str) -> str:
        at_work = f" while the rule {rule} was at work" if rule else ""
        return (
            f"{self._named(files)} took longer than {allowance.seconds:g} s and was given up"
            f"{at_work}: divide the plan, {self.advice}or allow more by --plan-seconds"
        )

    def _took_too_much(self, files: Sequence[str], allowance: Allowance) -> str:
        advice = f" or {self.advice.removesuffix(', ')}" if self.advice else ""
        return (
            f"{self._named(files)} needed more memory than {allowance.memory_bytes / 1e6:.0f} MB, "
            "which is more than a plan of its size needs, and was given up: divide the plan"
            f"{advice}"
        )

    def _named(self, files: Sequence[str]) -> str:
        return f"{self.name} {' '.join(map(display_path, files))}".rstrip()


def _keep_seconds(ctx: click.Context, param: click.Parameter, text: str | None) -> None:
    ctx.meta[_SECONDS] = read_seconds(ctx, param, text)


def _size(place: str) -> int:
    try:
        return os.stat(place).st_size if os.path.isfile(place) else 0
    except (OSError, ValueError):  # that is told where it is read
        return 0


def _patience(files: Sequence[str], allowance: Allowance) -> float | None:
    """Return how long a command may take by the clock: a person who is asked, as he likes."""
    if not files and sys.stdin is not None and sys.stdin.isatty():
        return None
    waiting = 0.0 if files and all(map(os.path.isfile, files)) else PATIENCE_SECONDS
    return clock_seconds(allowance) + waiting
