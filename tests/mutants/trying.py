"""A mutant is tried in a process of its own, forked from one that has only libraries loaded."""

import ast
import os
import resource
import signal
import sys
import time
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from pathlib import Path
from types import CodeType, FrameType

import jinja2
import jsonschema
import numpy
import pint
import pytest
import scipy
import shapely
import yaml
from hypothesis import Phase, settings
from msgspec import Struct

from tests.mutants.reaching import ARGUMENTS

settings.register_profile(
    "mutants",
    derandomize=True,
    deadline=None,
    database=None,
    phases=(Phase.explicit, Phase.generate),
)
MUCH_LONGER = 10.0
# Loaded once here rather than in every fork.
LOADED = (jinja2, jsonschema, numpy, pint, scipy, shapely, yaml)
# So many files of tests are tried before the others are so much as loaded.
FIRST_FILES = 3


class Trial(Struct, frozen=True, kw_only=True):
    """What became of a mutant: the test that failed, or "" where it survived."""

    killed_by: str
    tests: int
    seconds: float
    cut_short: bool


class _Loader(SourceFileLoader):
    tree: ast.Module

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = compile(self.tree, self.path, "exec")
        return code


class Mutated(MetaPathFinder):
    """Gives one module its mutant's tree when it is imported, and nothing to any other."""

    def __init__(self, file: Path, tree: ast.Module) -> None:
        self.file = str(file)
        self.tree = tree

    def pytest_sessionstart(self) -> None:
        """Come first again: pytest has put in its own, which takes each `test_*.py` for a test."""
        sys.meta_path.remove(self)
        sys.meta_path.insert(0, self)

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: object = None
    ) -> ModuleSpec | None:
        if name.rpartition(".")[2] not in self.file:
            return None
        spec = PathFinder.find_spec(name, path)
        if spec is None or spec.origin != self.file:
            return None
        loader = _Loader(name, self.file)
        loader.tree = self.tree
        spec.loader = loader
        return spec


class Picker:
    """A plugin of pytest that runs the tests named, in that order, for so many seconds at most."""

    def __init__(self, tests: Sequence[str], seconds: dict[str, float], at_most_s: float) -> None:
        self.place = {name: number for number, name in enumerate(tests)}
        self.seconds = seconds
        self.at_most_s = at_most_s
        self.run = 0
        self.failed = ""
        self.cut_short = False

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        chosen = [item for item in items if item.nodeid in self.place]
        items[:] = sorted(chosen, key=lambda item: self.place[item.nodeid])

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        usual = self.seconds.get(item.nodeid, 0.0)
        signal.setitimer(signal.ITIMER_PROF, 5.0 + MUCH_LONGER * usual)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.run += report.when == "call"
        if report.failed:
            self.failed = report.nodeid

    def pytest_runtest_teardown(self, item: pytest.Item) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0)
        if time.process_time() > self.at_most_s and not self.failed:
            self.cut_short = True
            item.session.shouldstop = "out of time"


class TooLong(BaseException):
    """A test takes far longer than it does without the mutant."""


def _too_long(number: int, frame: FrameType | None) -> None:
    raise TooLong


def try_mutant(
    file: Path, tree: ast.Module, tests: Sequence[str], seconds: dict[str, float], at_most_s: float
) -> Trial:
    """Run the tests against a mutant, in a fork, until one fails or the time is over."""
    if not tests:
        return Trial(killed_by="", tests=0, seconds=0.0, cut_short=False)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _run_in_fork(file, tree, tests, seconds, at_most_s, writing)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as pipe:
        said = pipe.read().split("\n")
    _, status, used = os.wait4(child, 0)
    spent = used.ru_utime + used.ru_stime
    if len(said) != 3:
        ended = os.waitstatus_to_exitcode(status)
        return Trial(
            killed_by=f"the process ended with {ended}", tests=0, seconds=spent, cut_short=False
        )
    return Trial(killed_by=said[0], tests=int(said[1]), seconds=spent, cut_short=said[2] == "True")


def try_in_turn(
    file: Path, tree: ast.Module, tests: Sequence[str], seconds: dict[str, float], at_most_s: float
) -> Trial:
    """Try the likeliest files of tests first, and what is left of the tests only then."""
    files = list(dict.fromkeys(one.split("::")[0] for one in tests))
    near = [one for one in tests if one.split("::")[0] in files[:FIRST_FILES]]
    first = try_mutant(file, tree, near, seconds, at_most_s)
    left = [one for one in tests if one.split("::")[0] not in files[:FIRST_FILES]]
    if first.killed_by or first.cut_short or not left:
        return first
    then = try_mutant(file, tree, left, seconds, at_most_s - first.seconds)
    return Trial(
        killed_by=then.killed_by,
        tests=first.tests + then.tests,
        seconds=first.seconds + then.seconds,
        cut_short=then.cut_short,
    )


def _run_in_fork(
    file: Path,
    tree: ast.Module,
    tests: Sequence[str],
    seconds: dict[str, float],
    at_most_s: float,
    writing: int,
) -> None:
    try:
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        limit = int(at_most_s) + 120
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit))
        signal.signal(signal.SIGPROF, _too_long)
        mutated = Mutated(file, tree)
        sys.meta_path.insert(0, mutated)
        picker = Picker(tests, seconds, at_most_s)
        files = sorted({name.split("::")[0] for name in tests})
        asked = [*ARGUMENTS, "--tb=no", *files]
        try:
            status = int(pytest.main(asked, plugins=[picker, mutated]))
        except TooLong:
            status = 1
        stopped = status not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)
        if stopped and not picker.cut_short:
            picker.failed = picker.failed or "no test could be started, or one took far too long"
        os.write(writing, f"{picker.failed}\n{picker.run}\n{picker.cut_short}".encode())
    finally:
        os._exit(0)
