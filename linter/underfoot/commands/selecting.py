"""Which plans of a command line are to be checked: those named, less what need not or must not."""

from __future__ import annotations

import os
from collections.abc import Sequence
from fnmatch import fnmatchcase
from typing import NamedTuple

from underfoot.commands.changes import ask_git, list_tracked, resolve_names
from underfoot.commands.collecting import STANDARD_INPUT, Collected, PlanFile, collect_plans, shown
from underfoot.commands.dependencies import find_dependencies, keep_changed
from underfoot.commands.errors import CommandError
from underfoot.commands.listing import read_list
from underfoot.reading.problem import Problem


class Wanted(NamedTuple):
    """What the command line says about the plans to check; each as its option has it."""

    paths: Sequence[str]
    files_from: str | None = None
    changed: str | None = None
    changed_since: str | None = None
    nothing_is_fine: bool = False
    tracked: bool = False
    exclude: Sequence[str] = ()
    settings: str | None = None
    root: str | None = None


class Selection(NamedTuple):
    """All plans that were found, and those of them to check."""

    found: Collected
    to_check: Collected


def select_plans(wanted: Wanted) -> Selection:
    """Find the plans that are wanted; CommandError where a list or git tells nothing."""
    found = _leave_out(_collect(wanted), wanted.exclude)
    if wanted.tracked:
        found = _keep_tracked(found, wanted)
    if wanted.changed is None and wanted.changed_since is None:
        return Selection(found, found)
    below = _looked_at(found, wanted.paths)
    names = _changed_names(wanted, below)
    sifted = keep_changed(found.files, names, wanted.settings, below=below, root=wanted.root)
    if wanted.changed is not None and not sifted.touches and not wanted.nothing_is_fine:
        raise CommandError(
            f"--changed {wanted.changed}: the list names nothing below the paths to check; if that "
            "is to pass, say --nothing-is-fine"
        )
    return Selection(found, found._replace(files=sifted.files))


def _collect(wanted: Wanted) -> Collected:
    if wanted.files_from is None:
        return collect_plans(wanted.paths, wanted.settings)
    listed = read_list(wanted.files_from, "--files-from")
    if not listed and not wanted.paths:
        name = "standard input" if wanted.files_from == STANDARD_INPUT else wanted.files_from
        raise CommandError(f"no plan was found: the list from {name} is empty")
    return collect_plans([*wanted.paths, *listed], wanted.settings)


def _leave_out(found: Collected, patterns: Sequence[str]) -> Collected:
    """Leave out what a pattern matches: a plan's path, or that of a folder above it."""
    if not patterns:
        return found
    kept = tuple(file for file in found.files if not _matches(file.path, patterns))
    left = len(found.files) - len(kept)
    return found._replace(files=kept, passed_over=found.passed_over + left)


def _matches(path: str, patterns: Sequence[str]) -> bool:
    parts = path.split("/")
    levels = ["/".join(parts[: count + 1]) for count in range(len(parts))]
    return any(fnmatchcase(level, pattern.rstrip("/")) for level in levels for pattern in patterns)


def _keep_tracked(found: Collected, wanted: Wanted) -> Collected:
    """Keep the plans that git has taken in; what they stand on must be there too."""
    folders = [_folder_of(place) for place in _looked_at(found, wanted.paths)]
    known = frozenset(list_tracked(folders))
    kept: list[PlanFile] = []
    problems = list(found.problems)
    for standing in find_dependencies(found.files, wanted.settings, wanted.root):
        if os.path.realpath(standing.file.place) not in known:
            continue
        kept.append(standing.file)
        problems += [
            Problem(
                f"{standing.file.path} stands on this, which git has not taken in: add it, so that "
                "whoever has the commit has it too",
                file=shown(each),
            )
            for each in standing.on
            if os.path.exists(each) and os.path.realpath(each) not in known
        ]
    left = len(found.files) - len(kept)
    return Collected(tuple(kept), found.passed_over + left, tuple(dict.fromkeys(problems)))


def _changed_names(wanted: Wanted, below: Sequence[str]) -> list[str]:
    """List the absolute paths of what has changed; an empty list is no answer."""
    if wanted.changed_since is not None:
        return ask_git(wanted.changed_since, map(_folder_of, below))
    assert wanted.changed is not None
    listed = read_list(wanted.changed, "--changed")
    if not listed and not wanted.nothing_is_fine:
        raise CommandError(
            f"--changed {wanted.changed}: the list is empty, as it is where the program that "
            "should make it failed; if nothing has changed, say --nothing-is-fine, or use "
            "--changed-since"
        )
    return resolve_names(listed)


def _looked_at(found: Collected, paths: Sequence[str]) -> list[str]:
    """List the files and folders of the command line, and the plans of a list."""
    listed = [file.place for file in found.files if file.named is None]
    return [place for place in (*paths, *listed) if place != STANDARD_INPUT]


def _folder_of(place: str) -> str:
    return place if os.path.isdir(place) else os.path.dirname(place) or os.curdir
