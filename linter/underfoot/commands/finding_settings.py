"""The settings in force for each plan."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from underfoot.checking.merging import Placed, put_in_force
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings
from underfoot.commands.errors import CommandError
from underfoot.reading.problem import Problem
from underfoot.reading.settings_file import read_settings
from underfoot.reading.source_text import MOST_BYTES

NAME = "underfoot.yaml"


class SettingsError(Exception):
    """Settings that cannot be used; the plans that they are for cannot be checked."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = tuple(problems)


def settings_finder(
    sets: Sequence[RuleSet], given: str | None, base: str = os.curdir
) -> Callable[[str], Settings]:
    """Give the function that finds the settings for a plan's place; equal ones are the same object.

    `given` is a file that goes before all others. `base` is the folder from which files are
    named. CommandError where the file given cannot be used; the function raises SettingsError for
    a plan whose settings cannot be.
    """
    if given is not None:
        try:
            settings = _read((Path(given),), sets, base)
        except SettingsError as error:
            raise CommandError("\n".join(map(_line, error.problems))) from None
        return lambda place: settings

    read: dict[tuple[Path, ...], Settings | SettingsError] = {}
    found: dict[str, Settings | SettingsError] = {}

    def settings_for(place: str) -> Settings:
        folder = os.curdir if place == "-" else os.path.dirname(place) or os.curdir
        if folder not in found:
            files = settings_files(Path(folder))
            if files not in read:
                try:
                    read[files] = _read(files, sets, base)
                except SettingsError as error:
                    read[files] = error
            found[folder] = read[files]
        settings = found[folder]
        if isinstance(settings, SettingsError):
            raise settings
        return settings

    return settings_for


def settings_files(folder: Path) -> tuple[Path, ...]:
    """List the settings files beside and above a folder, outermost first.

    The search goes no higher than the repository's root.
    """
    files = []
    here = folder.resolve()
    for level in (here, *here.parents):
        file = level / NAME
        if file.is_file():
            files.append(file)
        if (level / ".git").exists():
            break
    return tuple(reversed(files))


def _read(files: Sequence[Path], sets: Sequence[RuleSet], base: str) -> Settings:
    placed = []
    problems: list[Problem] = []
    for file in files:
        name = shown_from(file, base)
        try:
            with file.open("rb") as stream:
                source = stream.read(MOST_BYTES + 1)
        except OSError as error:
            problems.append(Problem(f"the settings cannot be opened: {error.strerror}", file=name))
            continue
        reading = read_settings(source, name)
        problems += reading.problems
        if reading.settings is not None:
            placed.append(Placed(name, reading.settings, reading.positions))
    if problems:
        raise SettingsError(problems)
    settings, refused = put_in_force(placed, sets)
    if refused:
        raise SettingsError(refused)
    return settings


def shown_from(file: Path, base: str) -> str:
    """Name a file as plans are named: from `base`, so that machines do not differ."""
    try:
        return Path(os.path.relpath(file, base)).as_posix()
    except ValueError:  # another drive
        return file.name


def _line(problem: Problem) -> str:
    return f"{problem.file}:{problem.line}:{problem.column}: {problem.message}"
