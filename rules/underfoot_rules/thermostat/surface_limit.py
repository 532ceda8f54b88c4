"""A floor's surface: what lies over the strips, and how warm it may get."""

from msgspec import Struct

from underfoot.api.facts import RoomFacts, find_heated_parts
from underfoot.api.plan import Covering

_ROOMS = {
    "living": "a living room",
    "kitchen": "a kitchen",
    "hall": "a hall",
    "bathroom": "a bathroom",
    "conservatory": "a conservatory",
    "office": "an office",
}


class SurfaceLimit(Struct, frozen=True, kw_only=True):
    """The warmest that a surface may get, in degC, and whose limit that is.

    `covering` is set where a covering's own limit is the lowest. `unstated` are the coverings over
    strips that give none; `uncovered` is True where no covering is given at all.
    """

    warmest_c: float
    whose: str
    covering: Covering | None
    unstated: tuple[Covering, ...]
    uncovered: bool


def find_coverings(room: RoomFacts) -> tuple[Covering, ...]:
    """Find the coverings that lie over strips, each once; those over cold floor do not count."""
    areas = room.drawn.coverings
    if not areas or (len(areas) == 1 and areas[0].over is None):
        return tuple(area.covering for area in areas)
    found = {
        part.covering.covering.id: part.covering.covering
        for part in find_heated_parts(room)
        if part.covering is not None
    }
    return tuple(found.values())


def find_surface_limit(room: RoomFacts, room_c: float, bathroom_c: float) -> SurfaceLimit:
    """Find the lowest of the coverings' own limits and that of the room's kind, both in degC."""
    is_bathroom = room.drawn.is_bathroom
    warmest_c = bathroom_c if is_bathroom else room_c
    kind = "bathroom" if is_bathroom else room.drawn.use
    whose = f"the floor of {_ROOMS.get(kind or '', 'a room')}"
    covering = None
    coverings = find_coverings(room)
    for each in coverings:
        if each.warmest_surface_c is not None and each.warmest_surface_c <= warmest_c:
            warmest_c, covering, whose = each.warmest_surface_c, each, f"covering {each.id}"
    return SurfaceLimit(
        warmest_c=warmest_c,
        whose=whose,
        covering=covering,
        unstated=tuple(each for each in coverings if each.warmest_surface_c is None),
        uncovered=not coverings,
    )
