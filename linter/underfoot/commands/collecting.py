"""Paths on the command line -> the plans to check, each once, in a fixed order."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import PurePath
from typing import NamedTuple

from underfoot.reading.problem import Problem

STANDARD_INPUT = "-"
SETTINGS_NAME = "underfoot.yaml"
_ENDINGS = (".yaml", ".yml")
# The first key stands behind no more than a long remark.
_HEAD_BYTES = 65_536
# How nearly every plan begins; all others are looked at by the reader.
_PLAN = "plan_format"
_PLAIN_PLAN = re.compile(rb"(?:[ \t]*(?:#[^\n]*)?\n)*plan_format[ \t]*:")


_NO_SETTINGS = (
    f"these are settings, but only those in a file called `{SETTINGS_NAME}` count: rename it"
)


class PlanFile(NamedTuple):
    """A plan to check: `place` is what the system opens, `path` how every report names it.

    `named` is the folder of the command line in which it was found, None where it was named itself.
    """

    place: str
    path: str
    named: str | None = None


class Collected(NamedTuple):
    """What a command line stands for; `passed_over` counts what is no plan in its folders."""

    files: tuple[PlanFile, ...]
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()


def collect_plans(paths: Sequence[str], settings: str | None = None) -> Collected:
    """List the plans that `paths` name: files, folders with all below them, ``-``.

    A named file is a plan whatever it is called. A folder's plans follow in the order of their
    paths; a link in it that leads out of it is passed over. A plan reached through a link is named
    where it really lies, so that the settings there are its own. `settings` is the file that is
    named as such, which may stand among them under any name.
    """
    apart = None if settings is None else os.path.realpath(settings)
    listed: dict[str, PlanFile] = {}
    problems: list[Problem] = []
    passed_over = 0
    for place in paths:
        if place == STANDARD_INPUT:
            listed.setdefault(place, PlanFile(place, place))
        elif os.path.isdir(place):
            found = list(_walk_folder(place, apart))
            files = [(real, file) for real, file in found if isinstance(file, PlanFile)]
            passed_over += sum(file is None for _, file in found)
            problems += [problem for _, problem in found if isinstance(problem, Problem)]
            if not files:
                problems.append(Problem("no plan was found in this folder", file=shown(place)))
            for real, file in sorted(files, key=lambda pair: pair[1].path.split("/")):
                listed.setdefault(real, file)
        elif os.path.exists(place):
            real = os.path.realpath(place)
            listed.setdefault(real, _file_at(place, real))
        else:
            problems.append(Problem(_why_absent(place), file=shown(place)))
    return Collected(tuple(listed.values()), passed_over, tuple(problems))


def _file_at(place: str, real: str, named: str | None = None) -> PlanFile:
    """Name a plan where it really lies: as given, unless a link leads there."""
    here = os.path.realpath(os.curdir)
    if (
        os.path.isabs(place)
        or real == os.path.normpath(os.path.join(here, place))
        or not os.path.exists(real)
    ):
        return PlanFile(place, shown(place), named)
    lies = os.path.relpath(real, here)
    return PlanFile(lies, shown(lies), named)


def shown(place: str) -> str:
    """Write a path as reports do: as given, with forward slashes, nothing undecodable in it."""
    if not place:
        return "''"
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


def _walk_folder(place: str, apart: str | None) -> Iterator[tuple[str, PlanFile | Problem | None]]:
    """Yield what stands below a folder, each with its real place.

    A plan, a Problem for what cannot be opened, None for what is passed over.
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
            yield real_folder, Problem(why, file=shown(folder))
            continue
        for entry in entries:
            linked = entry.is_symlink()
            real = os.path.realpath(entry.path) if linked else os.path.join(real_folder, entry.name)
            leads_out = linked and not _is_inside(real, root)
            if _is_folder(entry):
                if leads_out or entry.name.startswith("."):
                    yield real, None
                elif not linked:
                    folders.append((entry.path, real))
                # A link to a folder inside is left: its plans are found where they stand.
            elif entry.name.lower().endswith(_ENDINGS):
                kind = "leads out" if leads_out else _kind_of(entry)
                if kind == "settings_format" and real != apart:
                    yield real, Problem(_NO_SETTINGS, file=shown(entry.path))
                elif kind != _PLAN:
                    yield real, None
                else:
                    file = PlanFile(entry.path, shown(entry.path), place)
                    yield real, _file_at(entry.path, real, place) if linked else file


def _is_inside(real: str, root: str) -> bool:
    return real == root or real.startswith(root.rstrip(os.sep) + os.sep)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _kind_of(entry: os.DirEntry[str]) -> str:
    """Tell what a YAML file is by its first key: a plan, or else the format that it names."""
    if entry.name.startswith(".") or entry.name == SETTINGS_NAME:
        return "not looked at"
    try:
        if not entry.is_file():
            # A pipe or a device would be waited for; that a link is broken, the report says.
            return _PLAN if entry.is_symlink() else "no file"
        with open(entry.path, "rb") as stream:
            head = stream.read(_HEAD_BYTES)
    except OSError:
        return _PLAN
    if _PLAIN_PLAN.match(head) is not None or b"_format" not in head:
        return _PLAN
    from underfoot.reading.events import find_first_key

    if len(head) == _HEAD_BYTES:
        head = head[: head.rfind(b"\n") + 1]
    key = find_first_key(head)
    return key if key is not None and key.endswith("_format") else _PLAN
