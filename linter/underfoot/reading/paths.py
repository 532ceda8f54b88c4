"""Dotted paths into the data: ``rooms.hall.rows.A.lengths.0``."""

import json
import re
from collections.abc import Iterable, Mapping

_PART = re.compile(r'"(?:[^"\\]|\\.)*"|[^.]+')


def write_component(key: str) -> str:
    """A key's part of a path; one that holds a dot or what cannot be seen is put in quotes."""
    return json.dumps(key) if "." in key or not key.isprintable() else key


def join_path(parts: Iterable[str | int]) -> str:
    """The path through these keys and places."""
    return ".".join(str(part) if isinstance(part, int) else write_component(part) for part in parts)


def split_path(path: str) -> tuple[str, ...]:
    """The keys and places of a path."""
    return tuple(json.loads(part) if part.startswith('"') else part for part in _PART.findall(path))


def locate(path: str, positions: Mapping[str, tuple[int, int]]) -> tuple[int, int]:
    """Where a path stands, or the nearest thing above it that does."""
    while path and path not in positions:
        path = path.rpartition(".")[0]
    return positions.get(path, (1, 1))
