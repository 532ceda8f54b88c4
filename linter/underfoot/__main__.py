"""Runs the command `underfoot`; no traceback ever reaches a user."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence

_MISUSED = 2
_INTERRUPTED = 130
_PIPE_CLOSED = 141
_TRACEBACK = "UNDERFOOT_TRACEBACK"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line and give its exit status.

    Without `arguments` the process is taken to be the command's own.
    """
    if arguments is None:
        # What is imported stays: nothing of it is worth the collector's looking, now or at the end.
        gc.disable()
        try:
            return _quietly(sys.argv[1:])
        finally:
            gc.freeze()
    return _quietly(list(arguments))


def _quietly(arguments: list[str]) -> int:
    try:
        return _run(arguments)
    except KeyboardInterrupt:
        return _INTERRUPTED
    except BrokenPipeError:
        # Nobody reads any more; the interpreter must not find that out again when it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return _PIPE_CLOSED


def _run(arguments: list[str]) -> int:
    import click

    from underfoot.commands.errors import CommandError
    from underfoot.commands.group import underfoot
    from underfoot.commands.writing import say

    if "_UNDERFOOT_COMPLETE" in os.environ:
        underfoot.main(arguments, prog_name="underfoot")
    try:
        with underfoot.make_context("underfoot", arguments) as context:
            status = underfoot.invoke(context)
        sys.stdout.flush()
        return int(status or 0)
    except click.exceptions.Exit as error:
        return error.exit_code
    except click.UsageError as error:
        name = error.ctx.command_path if error.ctx else "underfoot"
        say(f"{_one_line(error.format_message())} ({name} --help tells more)")
    except click.ClickException as error:
        say(_one_line(error.format_message()))
    except CommandError as error:
        say(str(error))
    except BrokenPipeError:
        raise
    except OSError as error:
        if os.environ.get(_TRACEBACK):
            raise
        name = f"{error.filename}: " if error.filename else ""
        say(f"{name}{error.strerror or error}")
    except Exception as error:  # a traceback tells a user nothing
        if os.environ.get(_TRACEBACK):
            raise
        from underfoot.checking.falling import where_it_fell

        say(
            f"a fault of the tool: {where_it_fell(error)}; please report it "
            f"({_TRACEBACK}=1 shows more)"
        )
    return _MISUSED


def _one_line(text: str) -> str:
    return " ".join(text.split())


if __name__ == "__main__":
    sys.exit(main())
