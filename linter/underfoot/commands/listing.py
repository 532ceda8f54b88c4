"""Lists of paths, as other programs hand them over: one a line, or with a NUL behind each."""

import os

from underfoot.running.errors import CommandError
from underfoot.running.taking_in import take_in

# A million paths of a hundred characters, with room.
_MOST_BYTES = 200_000_000


def read_list(place: str, option: str) -> list[str]:
    """Read the paths that a file or standard input (``-``) lists; CommandError.

    Where there is a NUL, paths end with one (``git diff -z``); else each stands on a line.
    """
    try:
        source = take_in(place, _MOST_BYTES)
    except OSError as error:
        raise CommandError(f"{option} {place}: {error.strerror or error}") from None
    if len(source) > _MOST_BYTES:
        raise CommandError(f"{option} {place}: the list is too long: divide it")
    if b"\0" in source:
        lines = source.split(b"\0")
    else:
        lines = [line.removesuffix(b"\r") for line in source.split(b"\n")]
    return [os.fsdecode(line) for line in lines if line]
