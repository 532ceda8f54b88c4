"""Text that waits on disk until its turn, so that memory does not grow with the number of plans."""

from collections.abc import Iterable, Iterator
from io import BytesIO
from tempfile import TemporaryFile
from typing import IO

# So much stays in memory: the reports of a few plans never reach the disk.
_IN_MEMORY = 1 << 17
_CHUNK = 1 << 16


class Spool:
    """Takes text in and gives it back; it is gone when nobody holds it any more."""

    _file: IO[bytes] | None = None

    def __init__(self) -> None:
        self._file = BytesIO()
        self._length = 0

    def __del__(self) -> None:
        """Let go of the disk; a signal may have come before there was anything to let go of."""
        if self._file is not None:
            self._file.close()

    def write(self, pieces: Iterable[str]) -> None:
        """Put text at the end."""
        file = self._at(self._length)
        for piece in pieces:
            self._length += file.write(piece.encode())
            if self._length > _IN_MEMORY and isinstance(file, BytesIO):
                self._file = TemporaryFile()  # noqa: SIM115
                self._file.write(file.getbuffer())
                file = self._file

    def keep(self, text: str) -> tuple[int, int]:
        """Put text at the end and give the place where `read_at` finds it."""
        start = self._length
        self.write((text,))
        return start, self._length - start

    def read_at(self, place: tuple[int, int]) -> str:
        """Return what `keep` put there."""
        return self._at(place[0]).read(place[1]).decode()

    def read(self) -> Iterator[str]:
        """Yield all of it, in whole lines."""
        place, begun = 0, b""
        while place < self._length:
            chunk = self._at(place).read(_CHUNK)
            place += len(chunk)
            lines, end, begun = (begun + chunk).rpartition(b"\n")
            yield (lines + end).decode()
        yield begun.decode()

    def _at(self, place: int) -> IO[bytes]:
        assert self._file is not None
        self._file.seek(place)
        return self._file
