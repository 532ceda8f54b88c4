"""A file's bytes -> its text, in the one encoding that is read."""

import os
import re
from typing import BinaryIO

from underfoot.reading.problem import Problem
from underfoot.reading.yaml_errors import find_foreign_character

MOST_BYTES = 5_000_000


class ReadingEndedError(Exception):
    """A problem after which nothing more of a file can be read."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def read_whole(stream: BinaryIO, most: int = MOST_BYTES) -> bytes:
    """Read a file or a pipe to its end, at most one byte more than `most`.

    No more room is asked for than the file says that it needs: that takes a third of the time.
    """
    expected = min(os.fstat(stream.fileno()).st_size, most) + 1
    source = stream.read(expected)
    if len(source) < expected:
        return source
    return source + stream.read(most + 1 - expected)


def decode(source: bytes) -> str:
    """The text of a UTF-8 file, without byte order mark; raises where it cannot be read."""
    if len(source) > MOST_BYTES:
        raise ReadingEndedError(
            Problem(
                message=f"the file is too long: at most {MOST_BYTES / 1e6:.0f} MB are read; divide "
                "it into several files"
            )
        )
    try:
        text = source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        read = error.object[: error.start]
        line, column = locate_end(read.decode("utf-8"))
        raise ReadingEndedError(
            Problem(
                message=f"the byte 0x{error.object[error.start]:02x} here is not UTF-8: save the "
                "file in the encoding UTF-8",
                path="",
                line=line,
                column=column,
            )
        ) from None
    foreign = find_foreign_character(text)
    if foreign is not None:
        raise ReadingEndedError(foreign)
    return text


def locate_end(text: str) -> tuple[int, int]:
    """Line and column of what would follow `text`."""
    lines = re.split(r"\r\n|\r|\n", text)
    return len(lines), len(lines[-1]) + 1
