"""Paths on the command line -> the plans to check, each once, in a fixed order."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from msgspec import Struct

from underfoot.reading.problem import Problem
from underfoot.reading.schema import FORMAT_NAMES

STANDARD_INPUT = "-"
SETTINGS_NAME = "underfoot.yaml"
_ENDINGS = (".yaml", ".yml")
# The first key stands behind no more than a long remark.
_HEAD_BYTES = 65_536
# How nearly every plan begins; all others are looked at by the reader.
_PLAN = "plan_format"
_PLAIN_PLAN = re.compile(rb"(?:[ \t]*(?:#[^\n]*)?\n)*plan_format[ \t]*:")
_SETTINGS = "settings_format"

# What `PurePath` would leave as it is; nearly every path.
_TIDY = re.compile(r"/?(?:[\w-][\w. -]*/)*[\w-][\w. -]*", re.ASCII)
_NO_SETTINGS = (
    f"these are settings, but only those in a file called `{SETTINGS_NAME}` count: rename it"
)


class PlanFile(Struct, frozen=True, kw_only=True):
    """A plan to check: `place` is what the system opens, `path` how every report names it.

    `named` is the folder of the command line in which it was found, None where it was named itself.
    `lies_at` is where a plan from standard input is taken to lie. `source` is the text of a plan
    that is at hand already.
    """

    place: str
    path: str
    named: str | None = None
    lies_at: str | None = None
    source: bytes | None = None

    @property
    def lies(self) -> str:
        """The place beside which settings, catalogue and review stand."""
        return self.lies_at or self.place

    @property
    def folder(self) -> str:
        """The folder that the plan lies in."""
        return os.path.dirname(self.lies) or os.curdir


class Passed(Struct, frozen=True, kw_only=True, order=True):
    """What was passed over, as reports name it, and why."""

    path: str
    why: str


class Collected(Struct, frozen=True, kw_only=True):
    """What a command line stands for; `passed` is what was not taken for a plan to check."""

    files: tuple[PlanFile, ...]
    passed: tuple[Passed, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def passed_over(self) -> int:
        """How many were passed over."""
        return len(self.passed)


def collect_plans(
    paths: Sequence[str], settings: str | None = None, stdin_name: str | None = None
) -> Collected:
    """List the plans that `paths` name: files, folders with all below them, ``-``.

    A named file is a plan whatever it is called, unless it says itself that it is settings, a
    catalogue or the like: lists from other programs hold these, too. A folder's plans follow in the
    order of their paths; a link in it that leads out of it is passed over. A plan reached through a
    link is named where it really lies, so that the settings there are its own. `settings` is the
    file that is named as such, which may stand among them under any name. `stdin_name` is where
    the plan on standard input is taken to lie.
    """
    apart = None if settings is None else os.path.realpath(settings)
    listed: dict[str, PlanFile] = {}
    problems: list[Problem] = []
    passed: dict[str, Passed] = {}
    for place in paths:
        if place == STANDARD_INPUT:
            path = place if stdin_name is None else display_path(stdin_name)
            listed.setdefault(place, PlanFile(place=place, path=path, lies_at=stdin_name))
        elif os.path.isdir(place):
            found = list(_walk_folder(place, apart))
            files = [(real, file) for real, file in found if isinstance(file, PlanFile)]
            passed.update((real, each) for real, each in found if isinstance(each, Passed))
            problems += [problem for _, problem in found if isinstance(problem, Problem)]
            if not files:
                problems.append(
                    Problem(message="no plan was found in this folder", file=display_path(place))
                )
            for real, file in sorted(files, key=lambda pair: pair[1].path.split("/")):
                listed.setdefault(real, file)
        elif os.path.exists(place):
            real = os.path.realpath(place)
            named = _named_file(place, real, apart)
            if isinstance(named, PlanFile):
                listed.setdefault(real, named)
            elif isinstance(named, Problem):
                problems.append(named)
            else:
                passed[real] = named
        else:
            problems.append(Problem(message=_why_absent(place), file=display_path(place)))
    return Collected(
        files=tuple(listed.values()),
        passed=tuple(passed.values()),
        problems=tuple(dict.fromkeys(problems)),
    )


def _named_file(place: str, real: str, apart: str | None) -> PlanFile | Passed | Problem:
    name = os.path.basename(place)
    kind = _PLAN
    if name == SETTINGS_NAME:
        kind = _SETTINGS
    elif name.lower().endswith(_ENDINGS) and os.path.isfile(real):
        kind = _kind_at(real)
    if kind == _SETTINGS and name != SETTINGS_NAME and real != apart:
        return Problem(message=_NO_SETTINGS, file=display_path(place))
    return (
        _file_at(place, real)
        if kind == _PLAN
        else Passed(path=display_path(place), why=FORMAT_NAMES[kind])
    )


def _file_at(place: str, real: str, named: str | None = None) -> PlanFile:
    """Name a plan where it really lies: as given, unless a link leads there."""
    here = os.path.realpath(os.curdir)
    if (
        os.path.isabs(place)
        or real == os.path.normpath(os.path.join(here, place))
        or not os.path.exists(real)
    ):
        return PlanFile(place=place, path=display_path(place), named=named)
    lies = os.path.relpath(real, here)
    return PlanFile(place=lies, path=display_path(lies), named=named)


def display_path(place: str) -> str:
    """Write a path as reports do: as given, with forward slashes, nothing undecodable in it."""
    if not place:
        return "''"
    if _TIDY.fullmatch(place) is not None:
        return place
    return os.fsencode(PurePath(place).as_posix()).decode("utf-8", "backslashreplace")


def _why_absent(place: str) -> str:
    try:
        os.stat(place)
    except PermissionError:
        return "there is no permission to open this"
    except OSError as error:
        if os.path.islink(place):
            return "this link leads nowhere"
        if not isinstance(error, FileNotFoundError | NotADirectoryError):
            return f"this cannot be opened: {error.strerror or error}"
    except ValueError:
        pass
    return "there is no such file or folder"


def _walk_folder(
    place: str, apart: str | None
) -> Iterator[tuple[str, PlanFile | Problem | Passed]]:
    """Yield what stands below a folder, each with its real place.

    A plan, a Problem for what cannot be opened, what is passed over. Of files that are no YAML
    nothing is said.
    """
    root = os.path.realpath(place)
    here = os.path.realpath(os.curdir)
    if not os.path.isabs(place) and root != os.path.normpath(os.path.join(here, place)):
        place = os.path.relpath(root, here)
    folders = [(place, root)]
    while folders:
        folder, real_folder = folders.pop()
        try:
            with os.scandir(folder) as scan:
                entries = sorted(scan, key=lambda entry: entry.name)
        except OSError as error:
            why = f"this folder cannot be opened: {error.strerror or error}"
            yield real_folder, Problem(message=why, file=display_path(folder))
            continue
        for entry in entries:
            linked = entry.is_symlink()
            real = os.path.realpath(entry.path) if linked else os.path.join(real_folder, entry.name)
            leads_out = linked and not _is_inside(real, root)
            if _is_folder(entry):
                if leads_out or entry.name.startswith("."):
                    why = _LEADS_OUT if leads_out else "a hidden folder"
                    yield real, Passed(path=display_path(entry.path), why=why)
                elif not linked:
                    folders.append((entry.path, real))
                # A link to a folder inside is left: its plans are found where they stand.
            elif entry.name.lower().endswith(_ENDINGS):
                if leads_out:
                    yield real, Passed(path=display_path(entry.path), why=_LEADS_OUT)
                elif entry.name == SETTINGS_NAME:
                    yield real, Passed(path=display_path(entry.path), why=FORMAT_NAMES[_SETTINGS])
                elif entry.name.startswith("."):
                    yield real, Passed(path=display_path(entry.path), why="hidden")
                else:
                    yield real, _judge_file(entry, real, place, apart)


def _judge_file(
    entry: os.DirEntry[str], real: str, place: str, apart: str | None
) -> PlanFile | Problem | Passed:
    linked = entry.is_symlink()
    try:
        # A pipe or a device would be waited for; that a link is broken, the report says.
        if not entry.is_file() and not linked:
            return Passed(
                path=display_path(entry.path), why="no file that can be read: a pipe or a device"
            )
        kind = _kind_at(entry.path) if entry.is_file() else _PLAN
    except OSError:
        kind = _PLAN
    if kind == _PLAN:
        file = PlanFile(place=entry.path, path=display_path(entry.path), named=place)
        return _file_at(entry.path, real, place) if linked else file
    if kind == _SETTINGS and real != apart:
        return Problem(message=_NO_SETTINGS, file=display_path(entry.path))
    return Passed(path=display_path(entry.path), why=FORMAT_NAMES[kind])


_LEADS_OUT = "a link that leads out of the folder"


def _is_inside(real: str, root: str) -> bool:
    return real == root or real.startswith(root.rstrip(os.sep) + os.sep)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _kind_at(place: str) -> str:
    """Tell what a YAML file is by its first key, where that is the key of a known format.

    All else is taken for a plan, and told to be none: a misspelt format must not be passed over.
    """
    try:
        with open(place, "rb") as stream:
            head = stream.read(_HEAD_BYTES)
    except OSError:
        return _PLAN
    if _PLAIN_PLAN.match(head) is not None or b"_format" not in head:
        return _PLAN
    from underfoot.reading.events import find_first_key

    if len(head) == _HEAD_BYTES:
        head = head[: head.rfind(b"\n") + 1]
    key = find_first_key(head)
    return key if key in FORMAT_NAMES else _PLAN
