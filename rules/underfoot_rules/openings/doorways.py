"""The facts of doorways: the floor that one steps over, and what lies near it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.physics import shapes
from underfoot.api.plan import Opening

# So deep a wall is taken to be: what is drawn into the doorway lies in it (mm).
_DEEP = 100.0


def list_doorways(facts: Facts) -> Iterator[tuple[RoomFacts, Opening]]:
    """List the doors and passages of all rooms."""
    for room in facts.rooms.values():
        for opening in room.drawn.openings.values():
            if opening.is_walked_through:
                yield room, opening


def floor_of(room: RoomFacts, opening: Opening) -> Any:
    """Give the floor of an opening within its wall, up to the room's side of it."""
    start, end = opening.line
    x, y = shapes.way_inside(room.outline, start, end)
    return shapely.Polygon([start, end, *((a - _DEEP * x, b - _DEEP * y) for a, b in (end, start))])


def name_opening(opening: Opening) -> str:
    """Name a door or a passage in a sentence: by its kind, and its id where that says more."""
    return f"the {opening.kind}" if opening.id == opening.kind else f"{opening.kind} {opening.id}"
