"""A folder of submissions -> who handed in what, each file read no further than it may be."""

import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.reading.source_text import MOST_BYTES
from underfoot.reporting.layout import escape_invisible

SETTINGS_NAME = "underfoot.yaml"
_ENDINGS = (".yaml", ".yml", ".json")
_ATTEMPT = re.compile(r"(.+)-([2-9]|[1-9][0-9])")
_MOST_FILES = 100


class Handed(Struct, frozen=True, kw_only=True):
    """One attempt as handed in.

    `place` is what the system opens, None where it must not be opened, `refused` then says why.
    `folder` is where a catalogue may be sought, None for a file handed in by itself. `shown` names
    the file in reports, seen from the class's folder. `beside` are settings files that lie with it.
    `left_out` are rules that do not judge it, and why.
    """

    name: str
    attempt: int
    shown: str
    place: Path | None
    folder: Path | None = None
    refused: str | None = None
    beside: tuple[str, ...] = ()
    left_out: tuple[tuple[str, str], ...] = ()

    @property
    def path(self) -> str:
        """How reports name it."""
        return self.shown


class HandedIn(Struct, frozen=True, kw_only=True):
    """All attempts, by name and attempt; `passed_over` are the files that are no submissions."""

    attempts: tuple[Handed, ...]
    passed_over: tuple[str, ...]


def list_submissions(folder: Path) -> HandedIn:
    """List what was handed in: a file, or a folder, one an apprentice.

    The name is the file's or the folder's. `NAME-2` is the second attempt of NAME where NAME was
    handed in too. Links are never followed.
    """
    named: list[tuple[str, Handed]] = []
    passed_over: list[str] = []
    for entry in _entries(folder):
        name = clean_name(entry.name)
        if entry.name.startswith(".") or entry.name == SETTINGS_NAME:
            passed_over.append(name)
        elif entry.is_dir(follow_symlinks=False):
            named += [(one.name, one) for one in _list_folder(Path(entry.path), name)]
        elif name.lower().endswith(_ENDINGS):
            stem = name.rpartition(".")[0]
            named.append((stem, _take_file(entry, stem, name, None)))
        elif entry.is_symlink():
            named.append((name, _take_file(entry, name, name, None)))
        else:
            passed_over.append(name)
    stems = {stem for stem, _ in named}
    attempts = [_numbered(handed, stem, stems) for stem, handed in named]
    attempts.sort(key=lambda one: (one.name, one.attempt, one.shown))
    return HandedIn(attempts=tuple(_each_once(attempts)), passed_over=tuple(sorted(passed_over)))


def clean_name(name: str) -> str:
    """Return a file's name as text that every output can hold."""
    return escape_invisible(os.fsencode(name).decode("utf-8", "backslashreplace"))


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    with os.scandir(folder) as scan:
        return sorted(scan, key=lambda entry: entry.name)


def _take_file(entry: os.DirEntry[str], name: str, shown: str, folder: Path | None) -> Handed:
    refused = None
    if entry.is_symlink():
        refused = "this is a link, and links are not followed: hand in the file itself"
    elif not entry.is_file(follow_symlinks=False):
        refused = "this is no file that can be read: hand in one YAML file"
    place = None if refused else Path(entry.path)
    return Handed(name=name, attempt=1, shown=shown, place=place, folder=folder, refused=refused)


def _list_folder(folder: Path, name: str) -> Iterator[Handed]:
    try:
        entries = _entries(folder)
    except OSError as error:
        yield _refuse(name, f"the folder cannot be opened: {error.strerror}")
        return
    beside = tuple(f"{name}/{SETTINGS_NAME}" for one in entries if one.name == SETTINGS_NAME)
    plans = [
        entry
        for entry in entries
        if entry.name.lower().endswith(_ENDINGS)
        and not entry.name.startswith(".")
        and entry.name != SETTINGS_NAME
        and not _is_of_another_format(entry)
    ]
    if not plans:
        yield _refuse(name, "no plan lies in the folder", beside)
        return
    if len(plans) > _MOST_FILES:
        said = f"{len(plans)} plans lie in the folder, which is more than anyone hands in"
        yield _refuse(name, said, beside)
        return
    stems = {clean_name(entry.name).rpartition(".")[0] for entry in plans}
    bases = {find_base(stem, stems)[0] for stem in stems}
    for entry in plans:
        shown = clean_name(entry.name)
        _, attempt = find_base(shown.rpartition(".")[0], stems)
        taken = _take_file(entry, name, f"{name}/{shown}", folder)
        if len(bases) > 1:
            said = f"several plans lie in the folder ({', '.join(sorted(bases))}): hand in one"
            yield _refuse(name, said, beside)
            return
        yield replace(taken, attempt=attempt, beside=beside)


def _refuse(name: str, said: str, beside: tuple[str, ...] = ()) -> Handed:
    return Handed(name=name, attempt=1, shown=name, place=None, refused=said, beside=beside)


def _is_of_another_format(entry: os.DirEntry[str]) -> bool:
    from underfoot.reading.events import find_first_key

    if not entry.is_file(follow_symlinks=False):
        return False
    try:
        with open(entry.path, "rb") as stream:
            head = stream.read(65_536)
    except OSError:
        return False
    key = find_first_key(head) if b"_format" in head else None
    return key is not None and key.endswith("_format") and key != "plan_format"


def find_base(stem: str, stems: set[str]) -> tuple[str, int]:
    """Return whose a file is and which attempt: `NAME-2` is NAME's where NAME is there too."""
    found = _ATTEMPT.fullmatch(stem)
    if found is not None and found[1] in stems:
        return found[1], int(found[2])
    return stem, 1


def _numbered(handed: Handed, stem: str, stems: set[str]) -> Handed:
    base, attempt = find_base(stem, stems)
    if base == stem:
        return handed
    number = attempt if handed.attempt == 1 else attempt + handed.attempt - 1
    return replace(handed, name=base, attempt=number)


def _each_once(attempts: list[Handed]) -> Iterator[Handed]:
    """Let a file and a folder of one name stand one after the other, as two attempts."""
    taken: set[tuple[str, int]] = set()
    for one in attempts:
        number = one.attempt
        while (one.name, number) in taken:
            number += 1
        taken.add((one.name, number))
        if number == one.attempt:
            yield one
        else:
            yield replace(one, attempt=number)


def read_handed(handed: Handed) -> bytes:
    """Read what was handed in, one byte more than is allowed at most; OSError says why not.

    The file is opened without following a link that may have taken its place.
    """
    assert handed.place is not None
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    descriptor = os.open(handed.place, flags | getattr(os, "O_BINARY", 0))
    with open(descriptor, "rb") as stream:
        about = os.fstat(descriptor)
        if not stat.S_ISREG(about.st_mode):
            raise OSError("this is no file")
        if about.st_size > MOST_BYTES:
            raise OSError(
                f"the file is {about.st_size / 1e6:.1f} MB long; at most {MOST_BYTES / 1e6:.0f} MB "
                "are read, and no plan needs a tenth of that"
            )
        return stream.read(MOST_BYTES + 1)
