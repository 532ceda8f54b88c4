"""Which plans of a command line are to be checked: those named, less what need not or must not."""

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import asdict, replace

from underfoot.commands.changes import (
    ask_git,
    is_in_work_tree,
    list_empty_submodules,
    list_not_there,
    list_tracked,
    resolve_names,
)
from underfoot.commands.dependencies import Standing, find_dependencies, keep_changed
from underfoot.commands.ignoring import Ignoring, matches
from underfoot.commands.listing import read_list
from underfoot.reading.hidden import escape_invisible
from underfoot.reading.problem import Problem
from underfoot.reading.root import find_root
from underfoot.running.errors import CommandError
from underfoot.running.links import is_inside
from underfoot.running.plan_files import (
    SETTINGS_NAME,
    STANDARD_INPUT,
    Collected,
    Passed,
    PlanFile,
    collect_plans,
    display_path,
    is_called_yaml,
)


class Wanted(Struct, frozen=True, kw_only=True):
    """What the command line says about the plans to check; each as its option has it."""

    paths: Sequence[str]
    files_from: str | None
    changed: str | None
    changed_since: str | None
    nothing_is_fine: bool
    tracked: bool
    exclude: Sequence[str]
    settings: str | None
    root: str | None
    stdin_name: str | None


class Selection(Struct, frozen=True, kw_only=True):
    """All plans that were found, and those of them to check; `passed` names the others, too."""

    found: Collected
    to_check: Collected

    @property
    def passed(self) -> Iterator[Passed]:
        """List what was passed over on the way: no plans, and plans that need not be checked."""
        yield from self.found.passed
        kept = {file.path for file in self.to_check.files}
        for file in self.found.files:
            if file.path not in kept:
                yield Passed(
                    path=file.path, why="a plan that has not changed, nor what it stands on"
                )

    @property
    def why_nothing(self) -> str:
        """Say why nothing is left to check."""
        if self.found.files:
            return "no plan has changed, nor anything that one stands on"
        passed = self.found.passed
        if not passed:
            return "no plan was named"
        more = f", and {len(passed) - 1} more" if len(passed) > 1 else ""
        return f"{passed[0].path} is passed over ({passed[0].why}){more}"


def select_plans(wanted: Wanted) -> Selection:
    """Find the plans that are wanted; CommandError where a list or git tells nothing."""
    found = _collect(wanted)
    _see_root(found.files, wanted.root)
    left_out = _excluded_by(wanted.exclude)
    ignored = Ignoring(wanted.settings, wanted.root).reason_for
    for reason_for in (left_out, ignored):
        found = _leave_problems_out(_leave_out(found, reason_for), wanted, reason_for)
    if wanted.tracked:
        found = _keep_tracked(found, wanted)
    if wanted.tracked or wanted.changed_since is not None:
        found = _leave_problems_out(_see_what_is_not_there(found, wanted), wanted, left_out)
    to_check = found
    if wanted.changed is not None or wanted.changed_since is not None:
        to_check = replace(found, files=_keep_changed(found, wanted))
    selection = Selection(found=found, to_check=to_check)
    return selection if wanted.nothing_is_fine else _see_that_some_are_left(selection, wanted)


def _see_that_some_are_left(selection: Selection, wanted: Wanted) -> Selection:
    """Say that nothing is left to check where an option has left out everything."""
    to_check = selection.to_check
    if to_check.files or to_check.problems:
        return selection
    why = f"nothing is left to check: {selection.why_nothing}; if that is to pass, say "
    named = display_path(wanted.paths[0] if wanted.paths else wanted.files_from or STANDARD_INPUT)
    problem = Problem(message=f"{why}--nothing-is-fine", file=named)
    return replace(selection, to_check=replace(to_check, problems=(problem,)))


def _collect(wanted: Wanted) -> Collected:
    if wanted.stdin_name is not None and not os.path.isdir(
        os.path.dirname(wanted.stdin_name) or os.curdir
    ):
        raise CommandError(f"--stdin-name {wanted.stdin_name}: there is no such folder")
    listed: Sequence[str] = ()
    if wanted.files_from is not None:
        listed = read_list(wanted.files_from, "--files-from")
        if not listed and not wanted.paths and not wanted.nothing_is_fine:
            name = "standard input" if wanted.files_from == STANDARD_INPUT else wanted.files_from
            raise CommandError(f"no plan was found: the list from {name} is empty")
    return collect_plans([*wanted.paths, *listed], wanted.settings, wanted.stdin_name, wanted.root)


def _see_root(files: Iterable[PlanFile], root: str | None) -> None:
    """See that every plan lies below the root that was named; CommandError."""
    if root is None:
        return
    top = os.path.realpath(root).rstrip(os.sep) + os.sep
    for file in files:
        if not os.path.realpath(file.lies).startswith(top):
            raise CommandError(f"--root {root}: {file.path} does not lie below it")


def _leave_out(found: Collected, reason_for: Callable[[PlanFile], str | None]) -> Collected:
    """Leave out the plans for which there is a reason."""
    reasons = [(file, reason_for(file)) for file in found.files]
    kept = tuple(file for file, why in reasons if why is None)
    left = (Passed(path=file.path, why=why) for file, why in reasons if why is not None)
    return replace(found, files=kept, passed=(*found.passed, *left))


def _leave_problems_out(
    found: Collected, wanted: Wanted, reason_for: Callable[[PlanFile], str | None]
) -> Collected:
    """Leave out what is wrong with links and the like where a pattern leaves out what they are."""
    named = {display_path(path) for path in wanted.paths}
    kept = (
        each
        for each in found.problems
        if each.file is None
        or each.file in named
        or reason_for(PlanFile(place=each.file, path=each.file)) is None
    )
    return replace(found, problems=tuple(kept))


def _excluded_by(patterns: Sequence[str]) -> Callable[[PlanFile], str | None]:
    """Return what tells which pattern of the command line leaves a plan out.

    A pattern is held against its path, and against that of every folder above it.
    """

    def reason_for(file: PlanFile) -> str | None:
        for pattern in patterns:
            if matches(file.path, pattern.removeprefix("./")):
                return f"left out by --exclude {pattern}"
        return None

    return reason_for


_NO_SUBMODULE = (
    "git says that a submodule belongs here, but it is not checked out, and nobody has seen its "
    "plans: `git submodule update --init` brings it; or leave it out by --exclude"
)
_NOT_THERE = (
    "git has this, but it is not in the folder, and nobody has seen it: `git sparse-checkout "
    "disable` or `git restore` brings it; or leave it out by --exclude"
)


def _see_what_is_not_there(found: Collected, wanted: Wanted) -> Collected:
    """Say which submodules, plans, catalogues and settings git has that nobody can see here."""
    option = "--tracked" if wanted.tracked else "--changed-since"
    named = [os.path.realpath(each) for each in wanted.paths if os.path.isdir(each)]
    if not named:
        return found
    here = os.path.realpath(os.curdir)
    told = [(place, _NO_SUBMODULE) for place in list_empty_submodules(named, option)]
    told += [
        (place, _NOT_THERE)
        for place in list_not_there(named, option)
        if is_called_yaml(os.path.basename(place))
    ]
    problems = [
        Problem(message=message, file=display_path(os.path.relpath(place, here)))
        for place, message in told
        if any(_concerns(place, folder) for folder in named)
    ]
    return replace(found, problems=(*found.problems, *problems))


def _concerns(place: str, folder: str) -> bool:
    """Tell whether a place lies below a folder, or is that of settings above it."""
    if is_inside(place, folder):
        return not any(
            part.startswith(".") for part in os.path.relpath(place, folder).split(os.sep)
        )
    return os.path.basename(place) == SETTINGS_NAME and is_inside(folder, os.path.dirname(place))


def _keep_tracked(found: Collected, wanted: Wanted) -> Collected:
    """Keep the plans that git has taken in; what they stand on must be there too."""
    standing = list(find_dependencies(found.files, wanted.settings, wanted.root))
    names = list_tracked(_folders_of(standing, found, wanted))
    known = {*names, *map(os.path.realpath, names)}
    kept: list[PlanFile] = []
    passed = list(found.passed)
    problems = [each for each in found.problems if not _is_stray(each.file, wanted, known)]
    for each in standing:
        file = each.file
        if file.place != STANDARD_INPUT and os.path.realpath(file.place) not in known:
            if file.named is None:
                problems.append(Problem(message="git has not taken this in", file=file.path))
            passed.append(Passed(path=file.path, why="not taken in by git"))
            continue
        kept.append(file)
        problems += [
            Problem(
                message=f"{file.path} stands on this, which git has not taken in: add it, so that "
                "whoever has the commit has it too",
                file=display_path(place),
            )
            for place in each.on
            if os.path.exists(place) and not {_where(place), os.path.realpath(place)} <= known
        ]
    return Collected(
        files=tuple(kept), passed=tuple(passed), problems=tuple(dict.fromkeys(problems))
    )


def _is_stray(file: str | None, wanted: Wanted, known: set[str]) -> bool:
    """Tell whether a file that was found, not named, is none that git has taken in."""
    if file is None or file in map(display_path, wanted.paths):
        return False
    is_file = os.path.islink(file) or os.path.isfile(file)
    return is_file and known.isdisjoint((_where(file), os.path.realpath(file)))


def _where(place: str) -> str:
    """Return the place of a file or a link: with every link above it followed, not itself."""
    folder, name = os.path.split(place)
    return os.path.join(os.path.realpath(folder), name)


def _keep_changed(found: Collected, wanted: Wanted) -> tuple[PlanFile, ...]:
    """Keep the plans that have to be checked again."""
    standing = list(find_dependencies(found.files, wanted.settings, wanted.root))
    names = _changed_names(found, wanted, standing)
    below = _looked_at(found, wanted.paths)
    sifted = keep_changed(standing, names, below=below)
    if wanted.changed is not None and not sifted.touches and not wanted.nothing_is_fine:
        raise CommandError(
            f"--changed {wanted.changed}: the list names nothing below the paths to check; if that "
            "is to pass, say --nothing-is-fine"
        )
    return sifted.files


def _changed_names(found: Collected, wanted: Wanted, standing: Sequence[Standing]) -> list[str]:
    """List the absolute paths of what has changed; an empty list is no answer."""
    if wanted.changed_since is not None:
        changed = ask_git(wanted.changed_since, _folders_of(standing, found, wanted))
        # Of what git cannot see, nobody knows whether it has changed.
        places = {place for each in standing for place in each.on}
        return changed + [os.path.abspath(each) for each in places if not is_in_work_tree(each)]
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


def _folders_of(
    standing: Sequence[Standing], found: Collected, wanted: Wanted
) -> Mapping[str, None]:
    """List the folders whose repositories know of the plans and of what they stand on.

    Settings may stand, or have stood, in the repository that holds the plans' own as a submodule.
    """
    folders = [
        place if os.path.isdir(place) else os.path.dirname(place) or os.curdir
        for place in _looked_at(found, wanted.paths)
        if os.path.exists(place)
    ]
    roots = {each.file.folder: str(find_root(Path(each.file.folder))) for each in standing}
    beside = [os.path.dirname(place) or os.curdir for each in standing for place in each.on]
    more = {*roots.values(), *filter(os.path.isdir, dict.fromkeys(beside))}
    return dict.fromkeys([*folders, *roots, *sorted(filter(_is_known_to_git, more))])


def _is_known_to_git(folder: str) -> bool:
    return is_in_work_tree(os.path.join(folder, "any"))


def write_passed(passed: Iterable[Passed], form: str) -> Iterator[str]:
    """Write path and reason, a tab between them, a file a line; as JSON where `form` says so."""
    if form == "json":
        from underfoot.reporting.json import encode  # seldom asked for

        rows = [encode(asdict(each)) for each in passed]
        yield '{"passed_over": [\n' + ",\n".join(rows) + "\n]}\n"
        return
    for each in passed:
        yield f"{escape_invisible(each.path)}\t{escape_invisible(each.why)}\n"
