"""Paths on the command line -> the plans to check, each once, in a fixed order."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import PurePath

from underfoot.reading.problem import Problem

STANDARD_INPUT = "-"
SETTINGS_NAME = "underfoot.yaml"
_ENDINGS = (".yaml", ".yml")
# The first key stands behind no more than a long remark.
_HEAD_BYTES = 65_536


@dataclass(frozen=True, slots=True)
class PlanFile:
    """A plan to check: `place` is what the system opens, `path` how every report names it."""

    place: str
    path: str


@dataclass(frozen=True, slots=True)
class Collected:
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
            files = sorted((one for one in found if isinstance(one, PlanFile)), key=_order)
            passed_over += found.count(None)
            problems += [one for one in found if isinstance(one, Problem)]
            if not files:
                problems.append(Problem("no plan was found in this folder", file=shown(place)))
            for file in files:
                listed.setdefault(os.path.realpath(file.place), file)
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


def _order(file: PlanFile) -> tuple[str, ...]:
    return tuple(file.path.split("/"))


def _walk_folder(place: str) -> Iterator[PlanFile | Problem | None]:
    """Yield the plans below a folder, what cannot be opened, and None for what is passed over."""
    root = os.path.realpath(place)
    folders = [place]
    while folders:
        folder = folders.pop()
        try:
            with os.scandir(folder) as scan:
                entries = sorted(scan, key=lambda entry: entry.name)
        except OSError as error:
            why = error.strerror or str(error)
            yield Problem(f"this folder cannot be opened: {why}", file=shown(folder))
            continue
        for entry in entries:
            if _is_folder(entry):
                if entry.name.startswith(".") or _leads_out(entry, root):
                    yield None
                elif not entry.is_symlink():
                    folders.append(entry.path)
                # A link to a folder inside is left: its plans are found where they stand.
            elif entry.name.lower().endswith(_ENDINGS):
                yield PlanFile(entry.path, shown(entry.path)) if _is_plan(entry, root) else None


def _leads_out(entry: os.DirEntry[str], root: str) -> bool:
    if not entry.is_symlink():
        return False
    real = os.path.realpath(entry.path)
    return real != root and not real.startswith(root.rstrip(os.sep) + os.sep)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _is_plan(entry: os.DirEntry[str], root: str) -> bool:
    if entry.name.startswith(".") or entry.name == SETTINGS_NAME:
        return False
    if _leads_out(entry, root):
        return False
    if not os.path.isfile(entry.path):
        # A pipe or a device would be waited for; a broken link is for the reader of the report.
        return os.path.islink(entry.path)
    try:
        with open(entry.path, "rb") as stream:
            head = stream.read(_HEAD_BYTES)
    except OSError:
        return True
    return not _is_of_another_format(head)


def _is_of_another_format(head: bytes) -> bool:
    if b"_format" not in head:
        return False
    from underfoot.reading.events import find_first_key

    if len(head) == _HEAD_BYTES:
        head = head[: head.rfind(b"\n") + 1]
    key = find_first_key(head)
    return key is not None and key.endswith("_format") and key != "plan_format"
