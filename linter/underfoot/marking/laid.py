"""How much of each strip heats its room: what lies outside, or on another strip, does not."""

from functools import lru_cache
from typing import Any

import shapely

from underfoot.checking.facts import RoomFacts
from underfoot.plan import Element


@lru_cache(maxsize=64)
def list_laid(room: RoomFacts) -> tuple[tuple[Element, float], ...]:
    """Return each strip with the share of it that lies in the room and on no strip before it."""
    if not room.elements:
        return ()
    shares = [1.0] * len(room.elements)
    lower: dict[int, set[int]] = {}
    for first, second, _ in room.overlaps:
        lower.setdefault(second, set()).add(first)
    for place, strip in enumerate(room.strips):
        if not lower.get(place) and room.outside[place] <= 1.0:
            continue
        inside: Any = shapely.intersection(strip, room.outline)
        for first in sorted(lower.get(place, ())):
            inside = shapely.difference(inside, room.strips[first])
        shares[place] = float(shapely.area(inside)) / float(shapely.area(strip))
    return tuple(zip(room.elements, shares, strict=True))
