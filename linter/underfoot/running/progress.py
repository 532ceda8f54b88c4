"""A line that shows how far a long run is, on a terminal only."""

import shutil
import sys
from collections.abc import Iterator, Mapping, Sequence
from time import monotonic
from typing import Protocol, TypeVar

from underfoot.reporting.layout import escape_invisible

_WAIT_SECONDS = 0.5
_STEP_SECONDS = 0.1
_CLEAR = "\r\x1b[K"


class Named(Protocol):
    """Whatever is checked: `path` is how reports name it."""

    @property
    def path(self) -> str:
        """The name shown."""


File = TypeVar("File", bound=Named)


def wants_progress(environment: Mapping[str, str]) -> bool:
    """Tell whether standard error is a terminal that can take a line back."""
    return sys.stderr.isatty() and environment.get("TERM") != "dumb"


def show_progress(files: Sequence[File], *, shown: bool) -> Iterator[File]:
    """Hand out the files; where `shown`, say on standard error which one is being checked.

    Nothing is said in the first half second, nor about a single plan.
    """
    if not shown or len(files) < 2:
        yield from files
        return
    said = monotonic() + _WAIT_SECONDS - _STEP_SECONDS
    wrote = False
    try:
        for number, file in enumerate(files, 1):
            now = monotonic()
            if now - said >= _STEP_SECONDS:
                said, wrote = now, True
                line = f"checking plan {number} of {len(files)}: {escape_invisible(file.path)}"
                width = shutil.get_terminal_size().columns - 1
                sys.stderr.write(f"{_CLEAR}{line[:width]}")
                sys.stderr.flush()
            yield file
    finally:
        if wrote:
            sys.stderr.write(_CLEAR)
            sys.stderr.flush()
