"""How many corners and bends a plan draws in all."""

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
    """Of a mapping or a list; what is neither holds no points."""
    if value.__class__ is dict:
        for key, inner in value.items():
            if inner.__class__ is dict or inner.__class__ is list:
                yield from _count_in(inner, f"{path}.{key}")
        return
    points = 0
    for each in value:
        if each.__class__ is list and len(each) == 2:
            points += 1
    if points:
        yield path, points
    elif value and value[0].__class__ is dict:
        for place, each in enumerate(value):
            if each.__class__ is dict or each.__class__ is list:
                yield from _count_in(each, f"{path}.{place}")
