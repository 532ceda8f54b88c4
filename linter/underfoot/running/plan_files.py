"""Paths on the command line -> the plans to check, each once, in a fixed order."""

import os
import re
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from msgspec import Struct

from underfoot.reading.problem import Problem
from underfoot.reading.schema import FORMAT_NAMES
from underfoot.running.file_kinds import PLAN, PLAN_TOO, SETTINGS, find_kind, reads_as_plan
from underfoot.running.links import Following, where_it_lies

STANDARD_INPUT = "-"
SETTINGS_NAME = "underfoot.yaml"
_ENDINGS = (".yaml", ".yml")
# What `PurePath` would leave as it is; nearly every path.
_TIDY = re.compile(r"/?(?:[\w-][\w. -]*/)*[\w-][\w. -]*", re.ASCII)
_NO_SETTINGS = (
    f"these are settings, but only those in a file called `{SETTINGS_NAME}` count: rename it"
)
_NO_PLAN_S_NAME = (
    "this begins as a plan does, but is not called one, so nobody checks it: let its name end in "
    "`.yaml`, or leave it out by --exclude"
)
# How editors and git call what they put aside.
_PUT_ASIDE = ("~", ".bak", ".orig")
_TWO_KINDS = (
    f"this says that it is something else, and by `{PLAN}` that it is a plan as well: take out "
    "what it is not"
)
_LEADS_OUT = (
    "this link leads out of what the plans belong to (their repository; without one, the folder "
    "named), where nothing is read: put the plan itself here, name what holds both by --root, or "
    "leave the link out by --exclude"
)


class PlanFile(Struct, frozen=True, kw_only=True):
    """A plan to check: `place` is what the system opens, `path` how every report names it.

    `named` is the folder of the command line in which it was found, None where it was named itself.
    `lies_at` is where a plan from standard input is taken to lie. `source` is the text of a plan
    that is at hand already. `left_out` are rules that do not judge it, and why.
    """

    place: str
    path: str
    named: str | None = None
    lies_at: str | None = None
    source: bytes | None = None
    left_out: tuple[tuple[str, str], ...] = ()

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
    paths: Sequence[str],
    settings: str | None = None,
    stdin_name: str | None = None,
    root: str | None = None,
) -> Collected:
    """List the plans that `paths` name: files, folders with all below them, ``-``.

    A named file is a plan whatever it is called, unless it says itself that it is settings, a
    catalogue or the like: lists from other programs hold these, too. A folder's plans follow in the
    order of their paths; links in it are followed as far as its repository, or as `root`. A plan
    reached through a link is named where it really lies, so that the settings there are its own.
    `settings` is the file that is named as such, which may stand among them under any name.
    `stdin_name` is where the plan on standard input is taken to lie.
    """
    apart = None if settings is None else os.path.realpath(settings)
    listed: dict[str, PlanFile] = {}
    problems: list[Problem] = []
    passed: dict[str, Passed] = {}
    for place in paths:
        if place == STANDARD_INPUT:
            lies = None if stdin_name is None else where_it_lies(stdin_name)
            path = display_path(lies or place)
            listed.setdefault(place, PlanFile(place=place, path=path, lies_at=lies))
        elif os.path.isdir(place):
            found = list(_walk_folder(place, apart, root))
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
    kind = PLAN
    if name == SETTINGS_NAME:
        kind = SETTINGS
    elif is_called_yaml(name) and os.path.isfile(real):
        kind = _kind_of(real)
    return _file_at(place) if kind == PLAN else _no_plan(place, real, kind, apart)


def _kind_of(place: str) -> str:
    """Tell what a file is; that it cannot be opened, the plan's report says."""
    try:
        return find_kind(place)
    except OSError:
        return PLAN


def _no_plan(place: str, real: str, kind: str, apart: str | None) -> Passed | Problem:
    path = display_path(place)
    if kind == PLAN_TOO:
        return Problem(message=_TWO_KINDS, file=path)
    if kind == SETTINGS and os.path.basename(place) != SETTINGS_NAME and real != apart:
        return Problem(message=_NO_SETTINGS, file=path)
    return Passed(path=path, why=FORMAT_NAMES[kind])


def _file_at(place: str, named: str | None = None) -> PlanFile:
    """Name a plan where it really lies: as given, unless a link leads there."""
    lies = where_it_lies(place)
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
    place: str, apart: str | None, root: str | None
) -> Iterator[tuple[str, PlanFile | Problem | Passed]]:
    """Yield what stands below a folder, each with its real place.

    A plan, a Problem for what cannot be opened, what is passed over. Of files that are not called
    YAML only those are told that begin as a plan does.
    """
    place = where_it_lies(place)
    real_place = os.path.realpath(place)
    following = Following(real_place, place, root)
    folders = [(place, real_place)]
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
            if _is_folder(entry):
                why_not = _why_not_walked(entry, real, following)
                if why_not is not None:
                    yield real, Passed(path=display_path(entry.path), why=why_not)
                elif not linked or following.is_new(real):
                    folders.append((where_it_lies(entry.path) if linked else entry.path, real))
                # A link to a folder inside is left: its plans are found where they stand.
            elif is_called_yaml(entry.name):
                yield real, _judge_file(entry, real, place, apart, following)
            elif not entry.name.startswith(".") and not (linked and following.leads_out(real)):
                told = _judge_other_file(entry)
                if told is not None:
                    yield real, told


def _why_not_walked(entry: os.DirEntry[str], real: str, following: Following) -> str | None:
    if entry.is_symlink() and following.leads_out(real):
        return "a link that leads out of what the plans belong to"
    if entry.is_symlink() and following.holds(real):
        return "a link to a folder that holds this one"
    return "a hidden folder" if entry.name.startswith(".") else None


def _judge_file(
    entry: os.DirEntry[str], real: str, place: str, apart: str | None, following: Following
) -> PlanFile | Problem | Passed:
    linked = entry.is_symlink()
    path = display_path(entry.path)
    if entry.name == SETTINGS_NAME:
        return Passed(path=path, why=FORMAT_NAMES[SETTINGS])
    if entry.name.startswith("."):
        return Passed(path=path, why="hidden")
    if linked and following.leads_out(real):
        return Problem(message=_LEADS_OUT, file=path)
    try:
        is_file = entry.is_file()
    except OSError:
        is_file = False
    # A pipe or a device would be waited for; that a link is broken, the report says.
    if not is_file and not linked:
        return Passed(path=path, why="no file that can be read: a pipe or a device")
    kind = _kind_of(entry.path) if is_file else PLAN
    if kind != PLAN:
        return _no_plan(entry.path, real, kind, apart)
    file = PlanFile(place=entry.path, path=path, named=place)
    return _file_at(entry.path, place) if linked else file


def _judge_other_file(entry: os.DirEntry[str]) -> Problem | Passed | None:
    """Tell of a plan whose name keeps it from being checked."""
    try:
        # A pipe would be waited for.
        if not entry.is_file() or not reads_as_plan(entry.path):
            return None
    except OSError:
        return None
    path = display_path(entry.path)
    if entry.name.endswith(_PUT_ASIDE):
        return Passed(path=path, why="a plan put aside, by its name")
    return Problem(message=_NO_PLAN_S_NAME, file=path)


def is_called_yaml(name: str) -> bool:
    """Tell whether a name ends as a YAML file's does, as far as a reader can see."""
    if not name.isascii():
        seen = unicodedata.normalize("NFKC", name)
        name = "".join(mark for mark in seen if unicodedata.category(mark) not in ("Cf", "Cc"))
    return name.strip().lower().endswith(_ENDINGS)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False
