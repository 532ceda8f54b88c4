"""Files that the desk writes: only what is as it was when the page was made is replaced."""

import os
from contextlib import suppress
from pathlib import Path

from underfoot.checking.content_hash import hash_bytes
from underfoot.reading.source_text import MOST_BYTES, read_whole
from underfoot.running.beside import name_beside, write_beside
from underfoot.running.signals import undisturbed


class ChangedError(Exception):
    """A file is no longer as it was; nothing was written."""


class CannotWriteError(Exception):
    """Says why a file cannot be written."""


def hash_at(place: str) -> str:
    """Hash the file at a place; empty where there is none."""
    try:
        with open(place, "rb") as stream:
            return hash_bytes(read_whole(stream, MOST_BYTES))
    except FileNotFoundError:
        return ""


def replace_unchanged(place: str, text: bytes, before: str, root: Path) -> None:
    """Write a file whole or not at all, where it still has the hash `before`.

    Where that is empty there must be no such file. A link that leads out of `root` is not followed,
    and nothing but a plain file is written. ChangedError where the file has changed,
    CannotWriteError where it cannot be written.
    """
    real = os.path.realpath(place)
    if not Path(real).is_relative_to(root):
        raise CannotWriteError("it lies outside the folder that the desk was opened for")
    if os.path.exists(real) and not os.path.isfile(real):
        raise CannotWriteError("it is no file, but a folder, a pipe or a device")
    beside = name_beside(real)
    try:
        write_beside(beside, real, [text])
        with undisturbed():
            # Nothing lies between looking and putting it there but these two lines.
            if hash_at(real) != before:
                raise ChangedError
            _put(beside, real, is_new=not before)
    except FileExistsError:
        raise ChangedError from None
    except OSError as error:
        raise CannotWriteError(error.strerror or str(error)) from None
    finally:
        with suppress(OSError):
            os.unlink(beside)


def _put(beside: str, real: str, *, is_new: bool) -> None:
    if is_new and hasattr(os, "link"):
        try:
            os.link(beside, real)  # which never takes the place of another
            return
        except FileExistsError:
            raise
        except OSError:
            pass  # not every file system has links
    os.replace(beside, real)
