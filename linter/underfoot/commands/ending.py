"""How a command ends: whatever happened in it becomes one line and a status, never a traceback."""

import os
import sys
from collections.abc import Callable

from underfoot.running.signals import EndedError, turn_away_from

MISUSED = 2
SIGNALLED = 128
INTERRUPTED = 130
PIPE_CLOSED = 141
TRACEBACK = "UNDERFOOT_TRACEBACK"


def end_well(work: Callable[[], int | None]) -> int:
    """Do `work` and return the exit status; what went wrong is said in one line."""
    try:
        return _end(work)
    except KeyboardInterrupt:
        return INTERRUPTED
    except EndedError as ended:
        return SIGNALLED + ended.number
    except BrokenPipeError:
        # Nobody reads any more; the interpreter must not find that out again when it ends.
        turn_away_from(sys.stdout, sys.stderr)
        return PIPE_CLOSED


def _end(work: Callable[[], int | None]) -> int:
    import click

    from underfoot.commands.output_files import say
    from underfoot.running.errors import CommandError, UnreadError

    try:
        status = work()
        sys.stdout.flush()
        return int(status or 0)
    except click.exceptions.Exit as error:
        return error.exit_code
    except click.UsageError as error:
        name = error.ctx.command_path if error.ctx else "underfoot"
        say(f"{_one_line(error.format_message())} ({name} --help tells more)")
    except click.ClickException as error:
        say(_one_line(error.format_message()))
    except UnreadError as error:
        from underfoot.commands.stderr import say_unread

        say_unread(error.report)
    except CommandError as error:
        say(str(error))
    except BrokenPipeError:
        raise
    except OSError as error:
        if os.environ.get(TRACEBACK):
            raise
        name = f"{error.filename}: " if error.filename else ""
        say(f"{name}{error.strerror or error}")
    except MemoryError:
        say("there is not enough memory for this: divide the plan")
    except Exception as error:  # a traceback tells a user nothing
        if os.environ.get(TRACEBACK):
            raise
        from underfoot.checking.crash import describe

        say(f"a fault of the tool: {describe(error)}; please report it ({TRACEBACK}=1 shows more)")
    return MISUSED


def _one_line(text: str) -> str:
    return " ".join(text.split())
