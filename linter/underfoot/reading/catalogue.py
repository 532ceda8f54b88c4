"""A catalogue that plans share: found beside the plan, no higher than its root, and read."""

import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.reading.build import Shared, build_shared
from underfoot.reading.building.materials import check_film_boards
from underfoot.reading.building.names import list_ids
from underfoot.reading.building.problem_log import ProblemLog
from underfoot.reading.problem import Problem
from underfoot.reading.root import find_root
from underfoot.reading.schema import check_data
from underfoot.reading.source_text import read_whole
from underfoot.reading.syntax import Position, parse
from underfoot.reading.wording import show

PREFIX = "catalogue."


class CatalogueError(Exception):
    """Says in plain words why a catalogue cannot be opened."""


def open_catalogue(name: str, folder: Path | None, root: Path | None) -> bytes:
    """The catalogue's bytes; raises CatalogueError. Links are followed, then the root is heeded."""
    if folder is None:
        raise CatalogueError("a plan that lies in no folder can take nothing from a catalogue")
    top = find_root(folder) if root is None else root.resolve()
    try:
        place = (folder / name).resolve()
        if not place.is_relative_to(top):
            raise CatalogueError(
                f"{show(name)} lies outside the plan's repository (without one, outside the folder "
                "that was named): only what is inside is read"
            )
        if not place.is_file():
            raise CatalogueError(
                f"there is no file {show(name)}, seen from the plan's folder{_say_alike(place)}"
            )
        with place.open("rb") as stream:
            return read_whole(stream)
    except (OSError, ValueError, RuntimeError) as error:  # a link to itself is a RuntimeError
        why = getattr(error, "strerror", None) or "its name or its links are faulty"
        raise CatalogueError(f"{show(name)} cannot be opened: {why}") from None


def _say_alike(place: Path) -> str:
    """Say which file beside a place has a name that looks the same, or differs in capitals."""
    if place.exists() or not place.parent.is_dir():
        return ""
    name = _alike_in(place.parent, place.parent.stat().st_mtime_ns).get(_folded(place.name))
    if name is None:
        return ""
    is_same = unicodedata.normalize("NFC", name) == unicodedata.normalize("NFC", place.name)
    how = "with other signs that look the same" if is_same else "with other capitals"
    return f"; {show(name)} is there, written {how}: call it alike"


# Many plans of one folder may lack one catalogue; a folder that changes is another one.
@lru_cache(maxsize=4)
def _alike_in(folder: Path, changed: int) -> Mapping[str, str]:
    names = sorted((each.name for each in folder.iterdir()), reverse=True)
    return {_folded(name): name for name in names}


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def read_catalogue(
    source: bytes, name: str, own_boards: Mapping[str, Any], file: str | None = None
) -> tuple[Shared, tuple[Problem, ...]]:
    """A catalogue's content and its problems, placed in the `file`; left out, it is `name`.

    Its films may name the plan's `own_boards` too.
    """
    read = _read(source, name)
    log = ProblemLog(positions=read.positions, prefix=PREFIX, file=name, problems=list(read.built))
    if read.checked is not None:
        boards = {**own_boards, **list_ids(read.shared.data, "materials", "boards")}
        check_film_boards(log, read.checked, boards)
    found = [*read.problems, *log.problems]
    return replace(read.shared, positions=read.positions), tuple(
        replace(
            problem, message=f"in the catalogue {show(name)}: {problem.message}", file=file or name
        )
        for problem in found
    )


class _Read(Struct, frozen=True, kw_only=True):
    """A catalogue as its bytes alone make it; `built` are the problems met while building."""

    shared: Shared
    checked: Any
    positions: Mapping[str, Position]
    problems: tuple[Problem, ...]
    built: tuple[Problem, ...] = ()


# Plans that share a catalogue follow one another. What is kept is asked for by the bytes, so that
# a catalogue that changes meanwhile is another one.
@lru_cache(maxsize=4)
def _read(source: bytes, name: str) -> _Read:
    parsed = parse(source)
    checked = check_data(parsed, "catalogue")
    problems = (*parsed.problems, *checked.problems)
    if checked.data is None:
        return _Read(
            shared=Shared(data=parsed.data),
            checked=None,
            positions=parsed.positions,
            problems=problems,
        )
    log = ProblemLog(positions=parsed.positions, prefix=PREFIX, file=name)
    shared = build_shared(log, checked.data, parsed.data)
    return _Read(
        shared=shared,
        checked=checked.data,
        positions=parsed.positions,
        problems=problems,
        built=tuple(log.problems),
    )
