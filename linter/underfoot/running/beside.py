"""Writing beside a file what is to take its place in one step."""

import os
import stat
from collections.abc import Iterable

NEW_FILE = 0o666


def name_beside(real: str) -> str:
    """Name a file beside another that nobody takes for anything."""
    folder, name = os.path.split(real)
    return os.path.join(folder, f".{name[:100]}.{os.urandom(4).hex()}.part")


def write_beside(beside: str, real: str, pieces: Iterable[str | bytes]) -> None:
    """Write a new file, with the rights of the one whose place it is to take."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with open(os.open(beside, flags, NEW_FILE), "wb") as stream:
        if os.path.exists(real):
            os.chmod(beside, stat.S_IMODE(os.stat(real).st_mode))
        stream.writelines(map(as_bytes, pieces))
        stream.flush()
        os.fsync(stream.fileno())


def as_bytes(piece: str | bytes) -> bytes:
    """Return text as UTF-8, and bytes as they are."""
    return piece.encode() if isinstance(piece, str) else piece
