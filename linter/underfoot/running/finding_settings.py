"""The settings in force for each plan."""

import os
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Protocol

from underfoot.checking.excerpts import quote_problems
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.report import PlanReport, unreadable
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings
from underfoot.reading.problem import Problem
from underfoot.reading.root import find_root
from underfoot.reading.settings_file import read_settings
from underfoot.reading.source_text import MOST_BYTES
from underfoot.running.errors import UnreadError
from underfoot.running.file_kinds import SETTINGS, find_kind
from underfoot.running.links import where_it_lies

NAME = "underfoot.yaml"
# What is read as settings, and what was surely meant to be.
SETTINGS_NAMES = {NAME, "underfoot.yml", ".underfoot.yaml", ".underfoot.yml"}


class SettingsError(Exception):
    """Settings that cannot be used; the plans that they are for cannot be checked."""

    def __init__(
        self, problems: Sequence[Problem], sources: Mapping[str | None, bytes] | None = None
    ) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = tuple(problems)
        self.excerpts = tuple(quote_problems(self.problems, sources or {}))

    def report(self, path: str) -> PlanReport:
        """Report what they are for as unreadable: a plan, or the settings named."""
        return unreadable(path, self.problems, self.excerpts)


class SettingsFor(Protocol):
    """Finds the settings for a plan's place; SettingsError where they cannot be used."""

    def __call__(self, place: str, named: str | None = None) -> Settings:
        """Find them; `named` is the folder of the command line in which the plan was found."""


def settings_finder(
    sets: Sequence[RuleSet], given: str | None, base: str = os.curdir, root: str | None = None
) -> SettingsFor:
    """Return what finds the settings for a plan's place; equal ones are the same object.

    `given` is a file that goes before all others. `base` is the folder from which files are
    named. `root` is the topmost folder whose settings count. UnreadError where the file given
    cannot be used.
    """
    if given is not None:
        try:
            settings = _read((Path(given),), sets, base, given=True)
        except SettingsError as error:
            raise UnreadError(error.report(given)) from None
        return lambda place, named=None: settings

    look = look_once()
    read: dict[tuple[Path, ...], Settings | SettingsError] = {}
    found: dict[tuple[str, str | None], Settings | SettingsError] = {}

    def settings_for(place: str, named: str | None = None) -> Settings:
        folder = os.curdir if place == "-" else os.path.dirname(place) or os.curdir
        if (folder, named) not in found:
            files = settings_files(Path(folder), root or named, stop=root is not None, look=look)
            if files not in read:
                try:
                    read[files] = _read(files, sets, base)
                except SettingsError as error:
                    read[files] = error
            found[folder, named] = read[files]
        settings = found[folder, named]
        if isinstance(settings, SettingsError):
            raise settings
        return settings

    return settings_for


def settings_of(
    place: str,
    sets: Sequence[RuleSet],
    given: str | None,
    *,
    shown: str,
    named: str | None = None,
    root: str | None = None,
) -> Settings:
    """The settings for one plan's place, called `shown`; UnreadError where they cannot be read."""
    try:
        return settings_finder(sets, given, root=root)(where_it_lies(place), named)
    except SettingsError as error:
        raise UnreadError(error.report(shown)) from None


def settings_files(
    folder: Path,
    named: str | None = None,
    *,
    stop: bool = False,
    look: Callable[[Path, bool], list[Path]] | None = None,
) -> tuple[Path, ...]:
    """List the settings files beside and above a folder, outermost first.

    The search goes no higher than the plans' root (`find_root`); where `stop` is set, `named` is
    that root itself. What looks like settings under another name is in the list too: reading it
    says so. `look` (`look_once`) keeps what was seen, for folders that have the same ones above.
    """
    look = look or _look_in
    files: list[Path] = []
    here = folder.resolve()
    walked = Path(named).resolve() if named is not None and not stop else None
    top = Path(named).resolve() if stop and named is not None else None
    if top is None or not here.is_relative_to(top):
        top = find_root(here, None if named is None else Path(named))
    for level in (here, *here.parents):
        # Below the folder that was named, whoever collected the plans has looked into every file.
        files += look(level, walked is None or not level.is_relative_to(walked))
        if level == top:
            break
    return tuple(reversed(files))


def look_once() -> Callable[[Path, bool], list[Path]]:
    """Return what looks for settings in a folder and keeps what it saw."""
    return cache(_look_in)


def _look_in(folder: Path, closely: bool) -> list[Path]:
    try:
        with os.scandir(folder) as scan:
            names = sorted(entry.name for entry in scan)
    except OSError:
        # What may be entered but not listed still has its settings.
        names = [NAME] if os.path.lexists(folder / NAME) else []
    return [
        folder / name
        for name in names
        if name.lower() in SETTINGS_NAMES or (closely and _begins_as_settings(folder / name))
    ]


def _begins_as_settings(file: Path) -> bool:
    try:
        # A pipe would be waited for.
        if not file.name.lower().endswith((".yaml", ".yml")) or not file.is_file():
            return False
        return find_kind(str(file)) == SETTINGS
    except OSError:
        return False


def _read(
    files: Sequence[Path], sets: Sequence[RuleSet], base: str, *, given: bool = False
) -> Settings:
    placed = []
    problems: list[Problem] = []
    sources: dict[str | None, bytes] = {}
    for file in files:
        name = shown_from(file, base)
        if not given and file.name != NAME:
            why = f"this looks like settings, which are read from `{NAME}` alone: rename it"
            problems.append(Problem(message=why, file=name))
            continue
        if not given and file.exists() and not file.is_file():
            # A pipe would be waited for, and a folder in the place of settings quieten them.
            why = "the settings are no file that can be read, but a folder, a pipe or a device"
            problems.append(
                Problem(message=f"{why}: put the settings there, or rename it", file=name)
            )
            continue
        try:
            with file.open("rb") as stream:
                source = stream.read(MOST_BYTES + 1)
        except OSError as error:
            problems.append(
                Problem(message=f"the settings cannot be opened: {error.strerror}", file=name)
            )
            continue
        sources[name] = source
        reading = read_settings(source, name)
        problems += reading.problems
        if reading.settings is not None:
            folder = os.path.realpath(file.parent)
            placed.append(
                Placed(
                    name=name, stated=reading.settings, positions=reading.positions, folder=folder
                )
            )
    if problems:
        raise SettingsError(problems, sources)
    settings, refused = merge_settings(placed, sets)
    if refused:
        raise SettingsError(refused, sources)
    return settings


def shown_from(file: Path, base: str) -> str:
    """Name a file as plans are named: from `base`, so that machines do not differ."""
    try:
        return Path(os.path.relpath(file, base)).as_posix()
    except ValueError:  # another drive
        return file.name
