"""What each plan stands on: its catalogue, its review, the settings files beside and above it."""

import os
import posixpath
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from underfoot.commands.real_paths import RealPlaces
from underfoot.reading.hidden import escape_invisible
from underfoot.reading.source_text import read_whole
from underfoot.reading.syntax import parse
from underfoot.running.finding_settings import (
    SETTINGS_NAMES,
    look_once,
    settings_files,
    shown_from,
)
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile, display_path
from underfoot.running.reviews import place_of_review

_KEY = b"catalogue"
# By an escape, or in an encoding of more than a byte a letter, the key looks otherwise.
_HIDING = (b"\\", b"\0")
# How nearly every plan names it. Where the word stands only once as a key could, nothing else is
# the key; in a text of many lines it would merely look like one, and a plan too many be checked.
_KEY_ALONE = re.compile(rb"catalogue(?![A-Za-z0-9_./-])")
_PLAIN = re.compile(
    rb"^catalogue: ([A-Za-z0-9_./-]*[A-Za-z_-]\.ya?ml)[ \t]*(?: #[^\n]*)?\r?\n(?![ \t\r\n#])", re.M
)


class Standing(Struct, frozen=True, kw_only=True):
    """A plan and the files that it stands on, as reports name files, sorted.

    `catalogue` is the one among them that it takes materials from.
    """

    file: PlanFile
    on: tuple[str, ...]
    catalogue: str | None = None


def find_dependencies(
    files: Iterable[PlanFile], settings: str | None, root: str | None = None
) -> Iterator[Standing]:
    """Yield what each plan stands on; `settings` is a file that goes before all others.

    A catalogue that is named but missing counts: the plan must be checked when it comes back.
    `root` is the topmost folder whose settings count.
    """
    look = look_once()
    by_folder: dict[tuple[str, str | None], tuple[str, ...]] = {}
    for file in files:
        folder = file.folder
        if settings is not None:
            found: tuple[str, ...] = (display_path(settings),)
        else:
            if (folder, file.named) not in by_folder:
                listed = settings_files(
                    Path(folder), root or file.named, stop=root is not None, look=look
                )
                by_folder[folder, file.named] = tuple(
                    shown_from(each, os.curdir) for each in listed
                )
            found = by_folder[folder, file.named]
        catalogue = _catalogue(file)
        review = place_of_review(file.path) if os.path.isfile(place_of_review(file.lies)) else None
        on = {each for each in (*found, catalogue, review) if each}
        yield Standing(file=file, on=tuple(sorted(on)), catalogue=catalogue)


def _catalogue(file: PlanFile) -> str | None:
    if file.place == STANDARD_INPUT:
        return None
    try:
        with open(file.place, "rb") as stream:
            source = read_whole(stream)
    except OSError:
        return None
    name = _name_of_catalogue(source)
    if not name:
        return None
    return _shown_catalogue(file.folder, posixpath.dirname(file.path), name)


# Plans of one folder share a catalogue.
@lru_cache(maxsize=1024)
def _shown_catalogue(folder: str, shown_folder: str, name: str) -> str:
    """Name a catalogue as it is read: above a link's end, where ``..`` stands behind a link."""
    shown = posixpath.normpath(posixpath.join(shown_folder, display_path(name)))
    read = os.path.realpath(os.path.join(folder, name))
    return shown if os.path.realpath(shown) == read else shown_from(Path(read), os.curdir)


def _name_of_catalogue(source: bytes) -> str | None:
    hides = any(mark in source for mark in _HIDING)
    if _KEY not in source and not hides:
        return None
    if not hides and len(_KEY_ALONE.findall(source)) == 1:
        plain = _PLAIN.search(source)
        if plain is not None:
            return plain[1].decode()
    data = parse(source).data
    name = data.get("catalogue") if isinstance(data, dict) else None
    return name if isinstance(name, str) else None


class Sifted(Struct, frozen=True, kw_only=True):
    """The plans to check again, and whether any change named lies among the plans looked at."""

    files: tuple[PlanFile, ...]
    touches: bool


def keep_changed(
    plans: Iterable[Standing], changed: Sequence[str], *, below: Sequence[str] = ()
) -> Sifted:
    """Keep the plans that changed, or that stand on something that did.

    `changed` are absolute paths, `below` the files and folders looked at. A settings file counts
    for all below its folder, and a review for its plan, though it be gone; a folder, a submodule or
    a link for all that it leads to. A plan whose catalogue is missing is always kept, and the one
    on standard input.
    """
    named = {*changed, *_real_places(changed)}
    folders = [each for each in named if os.path.isdir(each)]
    folders += [
        os.path.dirname(each) for each in named if os.path.basename(each).lower() in SETTINGS_NAMES
    ]
    real = RealPlaces()
    changed_on: dict[str, bool] = {}

    def has_changed(on: str) -> bool:
        # Many plans stand on one file: each is looked at once.
        if on not in changed_on:
            changed_on[on] = real.of(on) in named or os.path.abspath(on) in named
        return changed_on[on]

    def is_at_stake(catalogue: str | None) -> bool:
        if catalogue is None:
            return False
        return _is_below((real.of(catalogue),), folders) or not os.path.isfile(catalogue)

    at_stake: dict[str | None, bool] = {}
    kept = []
    for standing in plans:
        lies = standing.file.lies
        places = {os.path.abspath(lies), real.of(lies)}
        catalogue = standing.catalogue
        if catalogue not in at_stake:
            at_stake[catalogue] = is_at_stake(catalogue)
        if (
            standing.file.place == STANDARD_INPUT
            or at_stake[catalogue]
            or not named.isdisjoint(places)
            or not named.isdisjoint(map(place_of_review, places))
            or any(map(has_changed, standing.on))
            or _is_below(places, folders)
        ):
            kept.append(standing.file)
    tops = {top for each in below for top in (os.path.abspath(each), os.path.realpath(each))}
    touches = bool(kept) or any(_is_below((each,), tops) or each in tops for each in named)
    return Sifted(files=tuple(kept), touches=touches)


def _real_places(places: Iterable[str]) -> Iterator[str]:
    """Yield where the places lie with every link above them followed, and what they link to."""
    folders: dict[str, str] = {}
    for place in places:
        folder, name = os.path.split(place)
        if folder not in folders:
            folders[folder] = os.path.realpath(folder)
        real = os.path.join(folders[folder], name)
        yield real
        if os.path.islink(real):
            yield os.path.realpath(real)


def _is_below(places: Iterable[str], folders: Iterable[str]) -> bool:
    return any(
        place.startswith(folder.rstrip(os.sep) + os.sep) for place in places for folder in folders
    )


def write_dependencies(standing: Iterable[Standing], form: str) -> Iterator[str]:
    """Write plan and file, a tab between them, a pair a line; a plan alone that stands on none.

    As JSON where `form` says so, with every name as it is.
    """
    if form == "json":
        from underfoot.reporting.json import encode  # seldom asked for

        rows = [encode({"plan": each.file.path, "on": list(each.on)}) for each in standing]
        yield '{"depends": [\n' + ",\n".join(rows) + "\n]}\n"
        return
    for each in standing:
        for place in each.on:
            yield f"{escape_invisible(each.file.path)}\t{escape_invisible(place)}\n"
        if not each.on:
            yield f"{escape_invisible(each.file.path)}\n"
