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
_PLAIN_PLAN = re.compile(rb"(?:[ \t]*(?:#[^\n]*)?\n)*plan_format[ \t]*:")


class PlanFile(NamedTuple):
    """A plan to check: `place` is what the system opens, `path` how every report names it."""

    place: str
    path: str


class Collected(NamedTuple):
    """What a command line stands for; `passed_over` counts what is no plan in its folders."""

    files: tuple[PlanFile, ...]
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()


def collect_plans(paths: Sequence[str]) -> Collected:
    """List the plans that `paths` name: files, folders with all below them, ``-``.

    A named file is a plan whatever it is called. A folder's plans follow in the order of their
    paths; a link in it that leads out of it is passed over.
    """
    listed: dict[str, PlanFile] = {}
    problems: list[Problem] = []
    passed_over = 0
    for place in paths:
        if place == STANDARD_INPUT:
            listed.setdefault(place, PlanFile(place, place))
        elif os.path.isdir(place):
            found = list(_walk_folder(place))
            files = [(real, file) for real, file in found if isinstance(file, PlanFile)]
            passed_over += sum(file is None for _, file in found)
            problems += [problem for _, problem in found if isinstance(problem, Problem)]
            if not files:
                problems.append(Problem("no plan was found in this folder", file=shown(place)))
            for real, file in sorted(files, key=lambda pair: pair[1].path.split("/")):
                listed.setdefault(real, file)
        elif os.path.exists(place):
            listed.setdefault(os.path.realpath(place), PlanFile(place, shown(place)))
        else:
            problems.append(Problem(_why_absent(place), file=shown(place)))
    return Collected(tuple(listed.values()), passed_over, tuple(problems))


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


def _walk_folder(place: str) -> Iterator[tuple[str, PlanFile | Problem | None]]:
    """Yield what stands below a folder, each with its real place.

    A plan, a Problem for what cannot be opened, None for what is passed over.
    """
    root = os.path.realpath(place)
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
                if leads_out or not _is_plan(entry):
                    yield real, None
                else:
                    yield real, PlanFile(entry.path, shown(entry.path))


def _is_inside(real: str, root: str) -> bool:
    return real == root or real.startswith(root.rstrip(os.sep) + os.sep)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _is_plan(entry: os.DirEntry[str]) -> bool:
    if entry.name.startswith(".") or entry.name == SETTINGS_NAME:
        return False
    try:
        if not entry.is_file():
            # A pipe or a device would be waited for; that a link is broken, the report says.
            return entry.is_symlink()
        with open(entry.path, "rb") as stream:
            head = stream.read(_HEAD_BYTES)
    except OSError:
        return True
    return _PLAIN_PLAN.match(head) is not None or not _is_of_another_format(head)


def _is_of_another_format(head: bytes) -> bool:
    if b"_format" not in head:
        return False
    from underfoot.reading.events import find_first_key

    if len(head) == _HEAD_BYTES:
        head = head[: head.rfind(b"\n") + 1]
    key = find_first_key(head)
    return key is not None and key.endswith("_format") and key != "plan_format"
