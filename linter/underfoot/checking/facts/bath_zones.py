"""Where the zones round baths and showers reach on a floor, seen from above."""

import math
from typing import Any

import shapely
from msgspec import Struct

from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts, cut_out
from underfoot.plan import BATHS

FULL_WALL = 2250.0
"""What is built so high (mm) ends the zones of a bath, which reach no higher (701.30)."""

# What is drawn so near to the floor (mm) stands on it.
_ON_FLOOR = 1.0
# Sides in a quarter of a circle; how far round a wall's end a zone goes in one step (mm).
_QUARTER, _STEP = 16, 25.0
# A zone in sight is bounded by its arc; what goes round a wall's end may fall so far short (mm).
_SHORT = 2.0


class ZoneReach(Struct, frozen=True, kw_only=True):
    """How far zone 2 reaches beyond a bath, an open shower's zone 1 round it, and how high (mm)."""

    zone_2: float = 600.0
    open_shower: float = 1200.0
    height: float = 2250.0


class BathZone(Struct, frozen=True, kw_only=True):
    """A zone of a bath or shower in plan, in the room's mm: `shape` without what stands in it.

    `origin` is what it is measured from: the bath, or an open shower's outlet.
    """

    fixture: str
    number: int
    origin: Any
    shape: Any
    reach: float


@hangs_on("outline", "fixtures")
def find_floor_between_walls(room: RoomFacts) -> Any:
    """Return the outline less what is built up to the ceiling; a crack of less than 1 mm is closed.

    A structure that says that it is lower than `FULL_WALL` is none.
    """
    built = (
        polygon
        for fixture, polygon in room.fixtures
        if fixture.kind == "structure" and (fixture.height is None or fixture.height >= FULL_WALL)
    )
    narrowed = shapely.buffer(cut_out(room.outline, built), -0.5, join_style="mitre")
    return shapely.buffer(narrowed, 0.5, join_style="mitre")


def find_bath_zones(room: RoomFacts, reach: ZoneReach) -> list[BathZone]:
    """Find zone 2 of each bath and shower, zone 1 of each open shower (IEC 60364-7-701, 701.30).

    Zones end at walls and go round their ends. Zones 0 and 1 of a bath are the bath itself.
    """
    zones = []
    for fixture, polygon in room.fixtures:
        if fixture.kind not in BATHS:
            continue
        is_open = fixture.kind == "open shower"
        origin = polygon
        if is_open and fixture.outlet is not None:
            origin = shapely.Point(fixture.outlet)
        far = reach.open_shower if is_open else reach.zone_2
        shape = _spread(room, origin, far)
        if not is_open:
            shape = shapely.difference(shape, polygon)
        if not shape.is_empty:
            zones.append(
                BathZone(
                    fixture=fixture.id,
                    number=1 if is_open else 2,
                    origin=origin,
                    shape=shape,
                    reach=far,
                )
            )
    return zones


def _spread(room: RoomFacts, origin: Any, far: float) -> Any:
    """Return the floor that is no farther than `far` from something, round the ends of walls."""
    floor = find_floor_between_walls(room)
    around = shapely.buffer(origin, far, quad_segs=_QUARTER)
    if shapely.distance(floor, origin) > _ON_FLOOR:
        return shapely.intersection(around, room.outline)
    seen = shapely.intersection(around, floor)
    if shapely.difference(shapely.convex_hull(seen), seen).area < 1.0:
        return seen
    # Step by step, and only on from what was reached, so that no step leaps over a wall.
    reached = shapely.intersection(shapely.buffer(origin, _ON_FLOOR), floor)
    steps = math.ceil(far / _STEP)
    for _ in range(steps):
        wider = shapely.intersection(
            shapely.buffer(reached, far / steps, quad_segs=_QUARTER), floor
        )
        reached = shapely.union_all(
            [part for part in shapely.get_parts(wider) if part.intersects(reached)]
        )
    # What is in sight has the circle itself for its edge.
    return shapely.intersection(seen, shapely.buffer(reached, _SHORT, join_style="mitre"))
