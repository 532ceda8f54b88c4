"""A rule of a set beside the standard one at work: told where the process's end leaves it, and
what it changed of the process put back."""

import locale
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from mmap import mmap
from typing import Any, TypeVar

Made = TypeVar("Made")
_BYTES = 1024


class Slate:
    """Memory that a process shares with its copies; it holds the rule at work in one of them."""

    def __init__(self) -> None:
        self._memory = mmap(-1, _BYTES)

    def write(self, rule: str) -> None:
        """Tell that a rule is at work, or (an empty text) that none is."""
        self._memory[:] = rule.encode("utf-8", "replace")[:_BYTES].ljust(_BYTES, b"\0")

    def read(self) -> str:
        """Give the rule at work, or an empty text."""
        return self._memory[:].rstrip(b"\0").decode("utf-8", "ignore")

    def close(self) -> None:
        """Let the memory go."""
        self._memory.close()


# The slate of this process, where it is a copy that another waits for.
_own: Slate | None = None


def write_on(slate: Slate) -> None:
    """Let this process tell on a slate which rule is at work."""
    global _own
    _own = slate


@contextmanager
def _told(rule: str) -> Iterator[None]:
    """Tell that a rule is at work; where the process ends in it, the slate still says so."""
    if _own is None:
        yield
        return
    before = _own.read()
    _own.write(rule)
    try:
        yield
    finally:
        _own.write(before)


class AsItWas:
    """What a rule may have changed of the process, to be put back for all that comes after it."""

    def __init__(self) -> None:
        self.folder = _folder()
        self.depth = sys.getrecursionlimit()
        self.environment = dict(os.environ)
        self.filters = list(warnings.filters)
        self.locale = locale.setlocale(locale.LC_ALL)
        self.errors = _numpy_errors()

    def put_back(self) -> None:
        """Put back what is otherwise now."""
        sys.setrecursionlimit(self.depth)
        if self.folder is not None and _folder() != self.folder:
            with suppress(OSError):
                os.chdir(self.folder)
        if os.environ != self.environment:
            os.environ.clear()
            os.environ.update(self.environment)
        if warnings.filters != self.filters:
            warnings.resetwarnings()
            warnings.filters[:] = self.filters  # type: ignore[index]
        if locale.setlocale(locale.LC_ALL) != self.locale:
            locale.setlocale(locale.LC_ALL, self.locale)
        if _numpy_errors() != self.errors:
            _numpy().seterr(**self.errors)


def at_work_alone(rule: str, work: Callable[[], Made]) -> Made:
    """Let a rule do its work: told while it is at it, and the process put back as it was."""
    if threading.current_thread() is not threading.main_thread():
        return work()  # the process is every thread's
    with _told(rule):
        before = AsItWas()
        try:
            return work()
        finally:
            before.put_back()


def may_be_interrupted() -> bool:
    """Whether who interrupts the run raises a KeyboardInterrupt; else a rule alone does."""
    return (
        signal.getsignal(signal.SIGINT) is signal.default_int_handler
        and threading.current_thread() is threading.main_thread()
    )


def _folder() -> str | None:
    try:
        return os.getcwd()
    except OSError:
        return None


def _numpy() -> Any:
    return sys.modules["numpy"]


def _numpy_errors() -> dict[str, str]:
    errors: dict[str, str] = _numpy().geterr()
    return errors
