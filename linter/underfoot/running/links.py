"""Where a plan really lies that a link leads to, and how far links in a folder are followed."""

import os
from pathlib import Path

from underfoot.reading.root import find_root


def where_it_lies(place: str) -> str:
    """Return the place that links lead to, told as `place` is; `place` itself where none does.

    Settings, catalogue and review are those beside what is given.
    """
    real = os.path.realpath(place)
    here = os.path.realpath(os.curdir)
    is_whole = os.path.isabs(place)
    if real == os.path.normpath(os.path.join(here, place)) or not os.path.exists(real):
        return place
    return real if is_whole else os.path.relpath(real, here)


class Following:
    """How far the links in a folder are followed: as far as what its plans belong to.

    What lies beyond may be anybody's, and a report quotes what it is about. A link to a folder that
    holds this one would lead round.
    """

    def __init__(self, folder: str, named: str, root: str | None) -> None:
        """Take the folder's real place and how it was named; `root` goes before what is found."""
        self._folder = folder
        top = Path(folder)
        if root is not None and is_inside(folder, os.path.realpath(root)):
            self._top = os.path.realpath(root)
        else:
            self._top = str(find_root(top, Path(named)))
        self._walked = {folder}

    def leads_out(self, real: str) -> bool:
        """Tell whether a link leads out of what the plans belong to."""
        return not is_inside(real, self._top)

    def holds(self, real: str) -> bool:
        """Tell whether a link leads to a folder that holds the one that is walked."""
        return is_inside(self._folder, real)

    def is_new(self, real: str) -> bool:
        """Tell whether a folder outside the one that is walked is met for the first time."""
        if is_inside(real, self._folder) or real in self._walked:
            return False
        self._walked.add(real)
        return True


def is_inside(real: str, folder: str) -> bool:
    """Tell whether a real place is a folder or lies below it."""
    return real == folder or real.startswith(folder.rstrip(os.sep) + os.sep)
