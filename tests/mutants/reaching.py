"""Which tests reach which function: the tests are run once, and each says what it called.

What runs in the test's own process and in copies of it is seen, not what another program does. What
a cached function did for an earlier test is not seen again, so that a mutant in one is tried by all
tests that reach its module.
"""

import json
import os
import sys
import tempfile
import time
from collections.abc import Collection, Generator, Sequence
from pathlib import Path
from types import CodeType
from typing import Any

import pytest
from msgspec import Struct

# The plugins of pytest are loaded before it in a fork, which it would warn of.
ARGUMENTS = (
    "-q",
    "-x",
    "-p",
    "no:cacheprovider",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
    # Overrules the project's own choice; what may be tried is chosen when it is recorded.
    "-m",
    "not browser",
)
# Other programs that a test starts see no mutant; one that works in copies may be named (`--add`).
NOT_PROCESS = ("-m", "not browser and not long and not process")
NOT_LONG = ("-m", "not browser and not long")
# Tests of these files share what the first of them has worked out.
SHARING = ("tests/test_demo_plans.py",)
# These look at what stands in modules, which nobody calls.
OF_CONSTANTS = "tests/constants_kept/"


class Reach(Struct, frozen=True, kw_only=True):
    """Seconds of every test, and the tests that reach each function (`path:function`)."""

    seconds: dict[str, float]
    functions: dict[str, list[str]]


class Recorder:
    """A plugin of pytest that notes what each test reaches."""

    def __init__(self, root: Path) -> None:
        self.root = f"{root}/"
        self.seconds: dict[str, float] = {}
        self.functions: dict[str, set[str]] = {}
        self.called: set[CodeType] = set()
        self.failed: set[str] = set()
        # Copies of the process write here what they call.
        self.copies = tempfile.TemporaryFile()  # noqa: SIM115 (kept as long as the recorder)
        self.is_copy = False
        os.register_at_fork(after_in_child=self._become_copy)
        if sys.version_info >= (3, 12):
            self.watch = sys.monitoring
            self.watch.use_tool_id(self.watch.COVERAGE_ID, "mutants")
            start = self.watch.events.PY_START
            self.watch.register_callback(self.watch.COVERAGE_ID, start, self._started)
            self.watch.set_events(self.watch.COVERAGE_ID, start)

    def _become_copy(self) -> None:
        self.is_copy = True

    def _note(self, code: CodeType) -> None:
        if self.is_copy and code not in self.called and (name := self._name(code)):
            os.lseek(self.copies.fileno(), 0, os.SEEK_END)
            os.write(self.copies.fileno(), f"{name}\n".encode())
        self.called.add(code)

    def _name(self, code: CodeType) -> str:
        """Name a function of the project; "" for any other."""
        if not code.co_filename.startswith(self.root):
            return ""
        return f"{code.co_filename.removeprefix(self.root)}:{code.co_qualname.split('.<')[0]}"

    def _started(self, code: CodeType, _: int) -> object:
        self._note(code)
        return self.watch.DISABLE

    def _traced(self, frame: Any, event: str, _: object) -> None:
        if event == "call":
            self._note(frame.f_code)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)

    def forget(self, tests: Collection[str]) -> None:
        """Leave tests out."""
        for name in tests:
            self.seconds.pop(name, None)
        for ids in self.functions.values():
            ids.difference_update(tests)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        self.called.clear()
        started = time.process_time()
        if sys.version_info >= (3, 12):
            self.watch.restart_events()
            done = yield
        else:
            sys.settrace(self._traced)
            done = yield
            sys.settrace(None)
        self.seconds[item.nodeid] = round(time.process_time() - started, 3)
        # A thread that a test began may call on, hence the tuple.
        for name in {*map(self._name, tuple(self.called)), *self._told_by_copies()} - {""}:
            self.functions.setdefault(name, set()).add(item.nodeid)
        return done

    def _told_by_copies(self) -> list[str]:
        self.copies.seek(0)
        told = self.copies.read().decode().split("\n")
        self.copies.seek(0)
        self.copies.truncate()
        return told


def record(root: Path, tests: list[str], marked: Sequence[str] = NOT_PROCESS) -> Reach:
    """Run the tests once and note what they reach; one that fails as it is can tell no mutant."""
    recorder = Recorder(root)
    status = pytest.main([*ARGUMENTS, *marked, "--maxfail", "20", *tests], plugins=[recorder])
    if status not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        sys.exit("the tests could not be run")
    recorder.forget(recorder.failed)
    return Reach(
        seconds=recorder.seconds,
        functions={name: sorted(ids) for name, ids in sorted(recorder.functions.items())},
    )


def join(before: Reach, further: Reach) -> Reach:
    """Put to what was recorded what was recorded of further tests, or of some of them anew."""
    functions = {
        name: [one for one in ids if one not in further.seconds]
        for name, ids in before.functions.items()
    }
    for name, ids in further.functions.items():
        functions[name] = sorted({*functions.get(name, ()), *ids})
    return Reach(seconds=before.seconds | further.seconds, functions=functions)


def keep(reach: Reach, file: Path) -> None:
    """Write down what was recorded; tests are named by their number."""
    numbers = {name: number for number, name in enumerate(reach.seconds)}
    functions = {name: [numbers[one] for one in ids] for name, ids in reach.functions.items()}
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(json.dumps([reach.seconds, functions]), encoding="utf-8")


def recall(file: Path) -> Reach:
    """Read what was written down."""
    seconds, functions = json.loads(file.read_text("utf-8"))
    names = list(seconds)
    return Reach(
        seconds=seconds,
        functions={name: [names[n] for n in ids] for name, ids in functions.items()},
    )


def choose_tests(
    reach: Reach, path: str, function: str, cached: bool, users: Collection[str] = ()
) -> list[str]:
    """Name the tests for a mutant, the likeliest first.

    `users` are the modules that take in a module's constants: what reaches them may see those.

    Those in a file of the same name go first, then the quickest that reach the function.
    """
    stem = Path(path).stem
    # A function within another is reached with it; what a class says of itself, with its module.
    while "." in function and f"{path}:{function}" not in reach.functions:
        function = function.rpartition(".")[0]
    if function.lstrip("_")[:1].isupper() and "." not in function:
        function = ""
    found = set() if cached or not function else set(reach.functions.get(f"{path}:{function}", ()))
    if cached or not function:
        for name, ids in reach.functions.items():
            if name.split(":")[0] in (path, *users):
                found.update(ids)
    files = {one.split("::")[0] for one in found} & set(SHARING)
    named = {one for one in reach.seconds if Path(one.split("::")[0]).stem == f"test_{stem}"}
    page = f"[{stem.replace('_', '-')}-"
    named |= {one for one in reach.seconds if page in one}
    if not function:
        named |= {one for one in reach.seconds if one.startswith(OF_CONSTANTS)}
    found |= named | {one for one in reach.seconds if one.split("::")[0] in files}
    return sorted(found, key=lambda one: (one not in named, reach.seconds[one], one))
