"""Files that a command reads: no more of them than may be, and no pipe that never ends."""

import os
import stat
import sys

from underfoot.reading.source_text import MOST_BYTES, read_whole
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import STANDARD_INPUT
from underfoot.running.time_limit import OutOfTimeError, within

# Whoever writes a plan into a pipe may take his time, but not for ever.
PATIENCE_SECONDS = 600.0


def take_in(place: str, most: int = MOST_BYTES) -> bytes:
    """Read a file, a pipe or standard input (``-``); OSError says why not.

    At most one byte more than `most` is given, so that an endless file is refused like a long one.
    """
    if _is_at_hand(place):
        return _take_in(place, most)
    try:
        return within(PATIENCE_SECONDS, lambda: _take_in(place, most), patience=PATIENCE_SECONDS)
    except OutOfTimeError:
        raise OSError(f"it did not end within {PATIENCE_SECONDS / 60:.0f} minutes") from None


def _is_at_hand(place: str) -> bool:
    """Whether nobody need be waited for; what is called empty may be the system's own."""
    if place == STANDARD_INPUT:
        return False
    try:
        found = os.stat(place)
    except OSError:
        return False
    return stat.S_ISREG(found.st_mode) and found.st_size > 0


def _take_in(place: str, most: int) -> bytes:
    if place == STANDARD_INPUT:
        if sys.stdin is None:
            raise OSError("standard input is closed")
        return sys.stdin.buffer.read(most + 1)
    with open(place, "rb") as stream:
        return read_whole(stream, most)


def take_in_option(place: str, option: str, most: int = MOST_BYTES) -> bytes:
    """Read the file that an option names; CommandError where it cannot be, or is too long."""
    try:
        source = take_in(place, most)
    except OSError as error:
        raise CommandError(f"{option} {place}: {error.strerror or error}") from None
    if len(source) > most:
        raise CommandError(
            f"{option} {place}: it is too long: at most {most / 1e6:.0f} MB are read"
        )
    return source
