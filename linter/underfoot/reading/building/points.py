"""How many corners and bends a plan draws in all."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data

# A large house has some hundreds.
MOST_POINTS = 20_000


def count_points(data: Data) -> Iterator[tuple[str, int]]:
    """The path of each list of points in the rooms, and how many it holds."""
    for room, entry in entries_of(data, "rooms"):
        yield from _count_in(entry, f"rooms.{room}")


def _count_in(value: Any, path: str) -> Iterator[tuple[str, int]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _count_in(inner, f"{path}.{key}")
    elif isinstance(value, list):
        points = sum(_is_point(each) for each in value)
        if points:
            yield path, points
        elif value and isinstance(value[0], dict):
            for place, each in enumerate(value):
                yield from _count_in(each, f"{path}.{place}")


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2
