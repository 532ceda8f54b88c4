"""What each plan stands on: its catalogue, its review, the settings files beside and above it."""

from __future__ import annotations

import json
import os
import posixpath
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from underfoot.commands.collecting import STANDARD_INPUT, PlanFile, shown
from underfoot.commands.finding_settings import NAME, settings_files, shown_from
from underfoot.commands.reviews import place_of_review
from underfoot.reading.source_text import MOST_BYTES
from underfoot.reading.syntax import parse

_KEY = b"catalogue"


class Standing(NamedTuple):
    """A plan and the files that it stands on, as reports name files, sorted."""

    file: PlanFile
    on: tuple[str, ...]


def find_dependencies(files: Iterable[PlanFile], settings: str | None) -> Iterator[Standing]:
    """Yield what each plan stands on; `settings` is a file that goes before all others.

    A catalogue that is named but missing counts: the plan must be checked when it comes back.
    """
    by_folder: dict[str, tuple[str, ...]] = {}
    for file in files:
        folder = os.path.dirname(file.place) or os.curdir
        if settings is not None:
            found: tuple[str, ...] = (shown(settings),)
        else:
            if folder not in by_folder:
                listed = settings_files(Path(folder))
                by_folder[folder] = tuple(shown_from(each, os.curdir) for each in listed)
            found = by_folder[folder]
        catalogue = _catalogue(file)
        review = place_of_review(file.path) if os.path.isfile(place_of_review(file.place)) else None
        on = {each for each in (*found, catalogue, review) if each}
        yield Standing(file, tuple(sorted(on)))


def _catalogue(file: PlanFile) -> str | None:
    if file.place == STANDARD_INPUT:
        return None
    try:
        with open(file.place, "rb") as stream:
            source = stream.read(MOST_BYTES + 1)
    except OSError:
        return None
    if _KEY not in source:
        return None
    data = parse(source).data
    name = data.get("catalogue") if isinstance(data, dict) else None
    if not isinstance(name, str) or not name:
        return None
    return posixpath.normpath(posixpath.join(posixpath.dirname(file.path), shown(name)))


def keep_changed(
    files: Sequence[PlanFile], changed: Sequence[str], settings: str | None
) -> tuple[PlanFile, ...]:
    """Keep the plans that changed, or that stand on something that did.

    A settings file counts for all below its folder, and a review for its plan, though it be gone.
    """
    named = {os.path.realpath(place) for place in changed}
    folders = tuple(
        os.path.realpath(os.path.dirname(place) or os.curdir)
        for place in changed
        if os.path.basename(place) == NAME
    )
    return tuple(
        standing.file
        for standing in find_dependencies(files, settings)
        if os.path.realpath(standing.file.place) in named
        or os.path.realpath(place_of_review(standing.file.place)) in named
        or any(os.path.realpath(place) in named for place in standing.on)
        or _is_below(standing.file.place, folders)
    )


def _is_below(place: str, folders: Iterable[str]) -> bool:
    folder = os.path.dirname(os.path.realpath(place))
    return any(
        folder == each or folder.startswith(each.rstrip(os.sep) + os.sep) for each in folders
    )


def write_dependencies(standing: Iterable[Standing], form: str) -> Iterator[str]:
    """Write plan and file, a tab between them, a pair a line; a plan alone that stands on none.

    As JSON where `form` says so.
    """
    if form == "json":
        rows = [
            json.dumps({"plan": each.file.path, "on": list(each.on)}, ensure_ascii=False)
            for each in standing
        ]
        yield '{"depends": [\n' + ",\n".join(rows) + "\n]}\n"
        return
    for each in standing:
        for place in each.on:
            yield f"{each.file.path}\t{place}\n"
        if not each.on:
            yield f"{each.file.path}\n"
