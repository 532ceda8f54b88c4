"""A plan file, read whole: the plan, or all that keeps it from being read."""

import os
import posixpath
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.plan import Plan
from underfoot.reading.build import Shared, build_plan
from underfoot.reading.building.names import list_ids
from underfoot.reading.building.own_entries import KINDS, Written, list_own_entries
from underfoot.reading.building.problem_log import ProblemLog
from underfoot.reading.catalogue import CatalogueError, open_catalogue, read_catalogue
from underfoot.reading.problem import Problem, sort_problems
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import Parsed, Position, collector_paused, parse

MOST_PROBLEMS = 1000


class Taken(Struct, frozen=True, kw_only=True):
    """A catalogue by the name that the plan gives it, with its bytes, or why it has none.

    `file` is how reports name it, seen from where they name the plan.
    """

    name: str
    file: str
    source: bytes | None
    error: str | None = None


class Reading(Struct, frozen=True, kw_only=True):
    """What reading a file came to.

    `plan` is None where there are problems. `positions` give line and column, 1-based, of each
    path of the plan; those of a catalogue's things are the plan's `catalogue` key. `path` is the
    file's, as reports name it. `taken` is the catalogue that was opened, if any.
    """

    path: str
    plan: Plan | None
    positions: Mapping[str, Position]
    problems: tuple[Problem, ...]
    taken: Taken | None = None


def read_plan(
    source: bytes, *, path: str, folder: Path | None = None, root: Path | None = None
) -> Reading:
    """Read a plan of format 1.

    `path` is how reports name the file. `folder` is where it lies, from which its catalogue is
    sought, no higher than `root`; left out, that is what `find_root` finds for `folder`. Whatever
    the bytes are, a Reading comes back.
    """
    with collector_paused():
        return read_parsed(parse(source), path=path, folder=folder, root=root)


def read_parsed(
    parsed: Parsed, *, path: str, folder: Path | None = None, root: Path | None = None
) -> Reading:
    """Read a plan out of what its text was parsed to; see `read_plan`."""
    checked = check_data(parsed, "plan")
    problems = [*parsed.problems, *checked.problems]
    if checked.data is None:
        return Reading(path=path, plan=None, positions=parsed.positions, problems=_cap(problems))
    log = ProblemLog(positions=parsed.positions, problems=problems)
    own_boards = list_ids(parsed.data, "materials", "boards")
    before = len(problems)
    taken = _open(checked.data.get("catalogue"), path, folder, root)
    shared = _take_in(log, taken, own_boards)
    if len(problems) > before:
        log = replace(log, unsure=_list_missing(shared))
    plan = build_plan(log, checked.data, parsed.data, shared)
    if problems or plan is None:
        return Reading(
            path=path, plan=None, positions=parsed.positions, problems=_cap(problems), taken=taken
        )
    plan = _with_own_entries(
        plan, Written(data=checked.data, positions=parsed.positions), shared, path, folder
    )
    return Reading(
        path=path, plan=plan, positions=_place_shared(parsed, shared), problems=(), taken=taken
    )


def _open(name: str | None, path: str, folder: Path | None, root: Path | None) -> Taken | None:
    if name is None:
        return None
    file = _seen_from(path, name)
    try:
        return Taken(name=name, file=file, source=open_catalogue(name, folder, root))
    except CatalogueError as error:
        return Taken(name=name, file=file, source=None, error=str(error))


def _seen_from(path: str, name: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), name))


def _take_in(log: ProblemLog, taken: Taken | None, own_boards: Mapping[str, Any]) -> Shared:
    """What the plan's catalogue holds; nothing, and a problem, where it cannot be read."""
    if taken is None:
        return Shared()
    if taken.source is None:
        log.report("catalogue", f"`catalogue`: {taken.error}")
        return Shared()
    shared, problems = read_catalogue(taken.source, taken.name, own_boards, taken.file)
    log.problems.extend(problems)
    return shared


def _with_own_entries(
    plan: Plan, own: Written, shared: Shared, path: str, folder: Path | None
) -> Plan:
    """The plan with what it writes itself, held against its catalogue."""
    theirs = None
    file = ""
    if plan.catalogue is not None and shared.positions is not None:
        theirs = Written(data=shared.data, positions=shared.positions)
        file = _seen_from(path, plan.catalogue)
    place = None if plan.catalogue is None or folder is None else folder / plan.catalogue
    return replace(
        plan,
        own_entries=tuple(list_own_entries(own, theirs, file)),
        catalogue_place=None if place is None else os.path.realpath(place),
    )


def _list_missing(shared: Shared) -> frozenset[str]:
    """The kinds of which a faulty catalogue gave nothing: what names them may be right."""
    return frozenset(
        word for kind, word in KINDS.items() if not list_ids(shared.data, "materials", kind)
    )


def _place_shared(parsed: Parsed, shared: Shared) -> Mapping[str, Position]:
    """The positions, with those of the things that the catalogue brought in."""
    if shared.data is None:
        return parsed.positions
    materials = shared.materials
    paths = [
        thing.path
        for things in (materials.films, materials.boards, materials.sheets, materials.coverings)
        for thing in things.values()
    ]
    if shared.method is not None:
        paths += [shared.method.path, *shared.method.paths.values()]
    here = parsed.positions["catalogue"]
    return {**parsed.positions, **dict.fromkeys(paths, here)}


def _cap(problems: list[Problem]) -> tuple[Problem, ...]:
    """The problems in order; where there are very many, no more than a reader would look at."""
    in_order = sort_problems(problems)
    if len(in_order) <= MOST_PROBLEMS:
        return in_order
    last = in_order[MOST_PROBLEMS - 1]
    more = "there are more problems than are listed: put these right first"
    return (
        *in_order[:MOST_PROBLEMS],
        replace(last, message=more),
    )
