"""Which plans the settings beside and above them say to leave alone."""

import os
from collections.abc import Iterator, Sequence
from fnmatch import fnmatchcase
from pathlib import Path

from underfoot.reading.settings_file import SettingsFile, read_settings
from underfoot.reading.source_text import MOST_BYTES
from underfoot.running.finding_settings import NAME, look_once, settings_files, shown_from
from underfoot.running.plan_files import PlanFile


class Ignoring:
    """Tells why a plan is ignored; every settings file is read once.

    Each file's patterns count for what lies below its folder. Below a locked file nearer ones
    ignore nothing: that they try is told where they are put in force.
    """

    def __init__(self, settings: str | None, root: str | None) -> None:
        self._given = None if settings is None else Path(settings)
        self._root = root
        self._look = look_once()
        self._read: dict[Path, SettingsFile | None] = {}
        self._files: dict[tuple[str, str | None], Sequence[Path]] = {}

    def reason_for(self, file: PlanFile) -> str | None:
        """Tell which file ignores a plan, and by which pattern; None where none does."""
        place: str | None = None
        for settings, stated in self._stated(file):
            if not stated.ignore:
                continue
            if place is None:
                place = os.path.realpath(file.lies)
            folder = os.path.realpath(settings.parent)
            if not place.startswith(folder.rstrip(os.sep) + os.sep):
                continue
            path = os.path.relpath(place, folder).replace(os.sep, "/")
            for pattern in stated.ignore:
                if matches(path, pattern):
                    return f"ignored by {shown_from(settings, os.curdir)}: {pattern}"
        return None

    def _stated(self, file: PlanFile) -> Iterator[tuple[Path, SettingsFile]]:
        for settings in self._files_for(file):
            if settings not in self._read:
                self._read[settings] = _read(settings)
            stated = self._read[settings]
            if stated is not None:
                yield settings, stated
                if stated.locked:
                    return

    def _files_for(self, file: PlanFile) -> Sequence[Path]:
        if self._given is not None:
            return (self._given,)
        key = (file.folder, file.named)
        if key not in self._files:
            listed = settings_files(
                Path(file.folder),
                self._root or file.named,
                stop=self._root is not None,
                look=self._look,
            )
            self._files[key] = [each for each in listed if each.name == NAME]
        return self._files[key]


def _read(file: Path) -> SettingsFile | None:
    """Read one file; where it cannot be used, the plans that it is for say so themselves."""
    if not file.is_file():
        return None
    try:
        with file.open("rb") as stream:
            return read_settings(stream.read(MOST_BYTES + 1), file.name).settings
    except OSError:
        return None


def matches(path: str, pattern: str) -> bool:
    """Tell whether a pattern is that of a path, or of a folder above it.

    ``*`` stands for anything, slashes too.
    """
    parts = path.split("/")
    levels = ("/".join(parts[: count + 1]) for count in range(len(parts)))
    return any(fnmatchcase(level, pattern.rstrip("/")) for level in levels)
