"""A plan that a command changes in its own text: found, and written whole or not at all."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from underfoot.mending.offering import Place
from underfoot.reading.root import find_root
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile, collect_plans, display_path
from underfoot.running.taking_in import take_in

_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


def find_plan(named: str, done: str) -> PlanFile:
    """Find the file of the one plan to be changed; CommandError where it is none.

    `done` says in a word what is done to it, such as mended.
    """
    if named == STANDARD_INPUT:
        raise CommandError(f"a plan is {done} in its file: name it")
    if os.path.isdir(named):
        raise CommandError(f"{display_path(named)}: this is a folder; one plan is {done} at a time")
    found = collect_plans([named])
    for problem in found.problems:
        raise CommandError(f"{problem.file}: {problem.message}")
    for passed in found.passed:
        raise CommandError(f"{passed.path}: this is no plan: {passed.why}")
    (file,) = found.files
    return file


def take_in_source(file: PlanFile) -> bytes:
    """Read the plan's bytes; CommandError where they cannot be."""
    try:
        return take_in(file.place)
    except OSError as error:
        raise CommandError(f"{file.path}: it cannot be opened: {error.strerror}") from None


def place_of(file: PlanFile, root: str | None) -> Place:
    """Say where the plan lies."""
    return Place(
        path=file.path, folder=Path(file.folder), root=None if root is None else Path(root)
    )


def see_that_it_can_be_written(named: str, root: str | None) -> None:
    """CommandError where the plan's file is none that may be written."""
    real = Path(named).resolve()
    name = display_path(named)
    if not real.is_file():
        raise CommandError(f"--write: {name} is no file that could be written")
    folder = Path(os.path.abspath(named)).parent
    top = find_root(folder) if root is None else Path(root).resolve()
    if not real.is_relative_to(top):
        raise CommandError(
            f"--write: {name} is a link that leads out of {display_path(str(top))}: name the file "
            "that it leads to"
        )
    if not os.stat(real).st_mode & _WRITABLE or not os.access(real, os.W_OK):
        raise CommandError(f"--write: {name} is read-only")
    if not os.access(real.parent, os.W_OK):
        raise CommandError(f"--write: nothing can be written into the folder of {name}")


def unless_changed(now: bytes, was: bytes, place: str) -> Iterator[bytes]:
    """Yield a plan's new bytes, unless the file has changed since it was read (CommandError)."""
    yield now
    if take_in(place) != was:
        raise CommandError(
            f"{display_path(place)} has changed meanwhile: nothing is written; begin again"
        )
