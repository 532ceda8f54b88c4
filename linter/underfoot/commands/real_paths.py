"""Where files really lie, told for many files of few folders."""

import os


class RealPlaces:
    """Real paths as `os.path.realpath` gives them; what lies above a file is looked at once."""

    def __init__(self) -> None:
        self._folders: dict[str, str] = {}

    def of(self, place: str) -> str:
        """Return a file's real path, the place as it is told being taken from this folder."""
        folder, name = os.path.split(place)
        if name in ("", os.curdir, os.pardir):
            return os.path.realpath(place)
        real = self._folders.get(folder)
        if real is None:
            real = self._folders[folder] = os.path.realpath(folder)
        lies = os.path.join(real, name)
        return os.path.realpath(lies) if os.path.islink(lies) else lies
