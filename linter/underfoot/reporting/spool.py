"""Text that waits on disk until its turn, so that memory does not grow with the number of plans."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from tempfile import SpooledTemporaryFile

# So much stays in memory: the reports of a few plans never reach the disk.
_IN_MEMORY = 1 << 17
_CHUNK = 1 << 16


class Spool:
    """Takes text in and gives it back; it is gone when nobody holds it any more."""

    def __init__(self) -> None:
        self._file = SpooledTemporaryFile(max_size=_IN_MEMORY)  # noqa: SIM115
        self._length = 0

    def __del__(self) -> None:
        """Let go of the disk."""
        self._file.close()

    def write(self, pieces: Iterable[str]) -> None:
        """Put text at the end."""
        self._file.seek(self._length)
        for piece in pieces:
            self._length += self._file.write(piece.encode())

    def keep(self, text: str) -> tuple[int, int]:
        """Put text at the end and give the place where `read_at` finds it."""
        start = self._length
        self.write((text,))
        return start, self._length - start

    def read_at(self, place: tuple[int, int]) -> str:
        """Give back what `keep` put there."""
        self._file.seek(place[0])
        return self._file.read(place[1]).decode()

    def read(self) -> Iterator[str]:
        """Give back all of it, in whole lines."""
        place, begun = 0, b""
        while place < self._length:
            self._file.seek(place)
            chunk = self._file.read(_CHUNK)
            place += len(chunk)
            lines, end, begun = (begun + chunk).rpartition(b"\n")
            yield (lines + end).decode()
        yield begun.decode()
