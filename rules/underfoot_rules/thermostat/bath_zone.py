"""A thermostat or a junction box in a zone of a bath or shower."""

import math
from collections import Counter
from typing import Any

import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import BATHS, Fixture, Supply
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Severity,
    Subject,
    above,
    at_least,
    at_most,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import standard
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.thermostat.hanging import Hung, try_hanging
from underfoot_rules.thermostat.way_over_floor import reach_over_floor
from underfoot_rules.trying import Fault

# What lies within this of an edge lies on it (mm).
EDGE = 0.001
# Sides in a quarter of a circle round a zone, when a place outside it is looked for.
_QUARTER = 16


class Thing(Struct, frozen=True, kw_only=True):
    """A junction box or thermostat, where it hangs; `place` is None where that is not known."""

    room: RoomFacts
    name: str
    place: tuple[float, float] | None
    height: float | None


class Zone(Struct, frozen=True, kw_only=True):
    """Where a thing lies to one fixture: `reach` is how far the zone goes from its `origin`.

    `distance` is that of the way over the floor round walls, `places`, where one stands between.
    """

    fixture: Fixture
    origin: Any
    distance: float
    reach: float
    number: int | None
    places: tuple[tuple[float, float], ...] = ()


def subjects(facts: Facts) -> tuple[Subject[tuple[Thing, Zone | None]], ...]:
    """Every junction box and thermostat that hangs in a bathroom, of whatever name."""
    if not any(room.is_bathroom for room in facts.plan.rooms.values()):
        return ()
    found = [
        (room.id, _subject(thing, path, facts))
        for room in facts.rooms.values()
        for thing, path in _things(room, facts)
        if thing.room.drawn.is_bathroom
    ]
    alike = Counter((subject.room, subject.items) for _, subject in found)
    # Where several thermostats hang by one bath, those of other rooms are told by their own room.
    return tuple(
        subject if alike[subject.room, subject.items] == 1 else replace(subject, room=own)
        for own, subject in found
    )


def _things(room: RoomFacts, facts: Facts) -> list[tuple[Thing, str]]:
    things = []
    box, thermostat = room.drawn.junction_box, room.drawn.thermostat
    if box is not None:
        things.append(
            (Thing(room=room, name="junction-box", place=box.at, height=box.height), box.path)
        )
    if thermostat is not None:
        where = room if thermostat.room is None else facts.rooms[thermostat.room]
        place = thermostat.at
        if place is None and where is room:
            place = room.box
        things.append(
            (
                Thing(room=where, name="thermostat", place=place, height=thermostat.height),
                thermostat.path,
            )
        )
    return things


def _subject(thing: Thing, path: str, facts: Facts) -> Subject[tuple[Thing, Zone | None]]:
    zone = None
    items: tuple[str, ...] = (thing.name,)
    if thing.place is not None and thing.room.drawn.has_bath:
        zone = _find_zone(thing, thing.place, facts.limits["bath-zone"])
        items = (thing.name, zone.fixture.id)
    return Subject(room=thing.room.id, items=items, path=path, payload=(thing, zone))


def _find_zone(thing: Thing, place: tuple[float, float], limits: Any) -> Zone:
    """Find how a place lies to the bath or shower whose zones are nearest: the worst speaks."""
    return min(
        _measure_all(thing.room, place, limits),
        key=lambda zone: (
            3 if zone.number is None else zone.number,
            zone.distance - zone.reach,
            zone.distance,
            zone.fixture.id,
        ),
    )


def _measure(
    room: RoomFacts, fixture: Fixture, polygon: Any, place: tuple[float, float], limits: Any
) -> Zone:
    origin, reach = polygon, limits["zone_2"]
    if fixture.kind == "open shower":
        reach = limits["open_shower"]
        if fixture.outlet is not None:
            origin = shapely.Point(fixture.outlet)
    distance = float(shapely.distance(shapely.Point(place), origin))
    if distance <= EDGE:
        return Zone(fixture=fixture, origin=origin, distance=distance, reach=reach, number=1)
    if not below(distance, reach):
        return Zone(fixture=fixture, origin=origin, distance=distance, reach=reach, number=None)
    way = reach_over_floor(room, place, origin, reach)
    if way is None or not below(way.length, reach):
        return Zone(
            fixture=fixture, origin=origin, distance=max(distance, reach), reach=reach, number=None
        )
    number = 1 if fixture.kind == "open shower" else 2
    return Zone(
        fixture=fixture,
        origin=origin,
        distance=way.length,
        reach=reach,
        number=number,
        places=way.places,
    )


def check(
    subject: Subject[tuple[Thing, Zone | None]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Hold distance and height against the zones; without a height it counts as within reach."""
    thing, zone = subject.payload
    if thing.height is not None and not below(thing.height, limits["top"]):
        return None
    if thing.place is None:
        return CannotTell(
            why="where the thermostat hangs is not given",
            write="Write where it hangs: `thermostat.at`.",
        )
    if zone is None:
        return CannotTell(
            why=f"room {thing.room.id} is a bathroom, but no bath or shower is drawn in it",
            write=f"Draw the bath or shower under `fixtures` of room {thing.room.id}; a room with "
            "neither is no bathroom: write what it is with `use`.",
        )
    if zone.number is None or _is_allowed(thing, zone.number, facts.plan.supply, limits):
        return None
    is_box = thing.name == "junction-box"
    severity: Severity = "warning" if is_box and zone.number == 2 else "error"
    name = "The junction box" if is_box else "The thermostat"
    shower = zone.fixture
    where = "in" if zone.distance <= EDGE else "{measured} from"
    outlet = "the outlet of " if zone.origin.geom_type == "Point" else ""
    number = "0 or 1" if zone.distance <= EDGE else str(zone.number)
    remedy, offer = _remedy(subject, is_box, facts, limits)
    details = (
        ()
        if thing.height is not None
        else (("height", f"not given: below {format_quantity(limits['top'], 'mm')} is taken"),)
    )
    return Finding(
        message=f"{name} at {point_text(*thing.place)} lies {where} {outlet}{shower.id} "
        f"({shower.kind}), in zone {number}; at least {{limit}} is needed.",
        remedy=remedy,
        offer=offer,
        measured=zone.distance,
        least=zone.reach,
        limit_key="open_shower" if shower.kind == "open shower" else "zone_2",
        severity=severity,
        shape=_shape(thing, zone) if subject.room == thing.room.id else None,
        details=details,
        related=(shower.path,),
    )


def _is_allowed(thing: Thing, zone: int, supply: Supply, limits: Limits) -> bool:
    """Tell whether SELV may be switched there: in zone 2, and in zone 1 at the lowest voltage."""
    if not supply.is_selv:
        return False
    if zone == 2:
        return True
    # Zone 0 is not told apart: what hangs below its top, or at no known height, counts as in it.
    is_above = thing.height is not None and not below(thing.height, limits["zone_0"])
    return is_above and not above(supply.voltage_v, limits["selv_zone_1"])


def _shape(thing: Thing, zone: Zone) -> Any:
    return shapely.LineString(zone.places) if zone.places else shapely.Point(thing.place)


def _remedy(
    subject: Subject[tuple[Thing, Zone | None]], is_box: bool, facts: Facts, limits: Limits
) -> tuple[str, Any]:
    """Name the nearest place on a wall that is in no zone of the room, and offer it."""
    if not facts.is_advised:
        return "", None
    thing, _ = subject.payload
    place = _free_place(thing, limits)
    if place is None:
        elsewhere = "take the leads to a box in another room" if is_box else "hang it elsewhere"
        return f"No wall of room {thing.room.id} is outside the zones: {elsewhere}.", None
    said = f"Move it to {point_text(*place)}, the nearest place on a wall outside all zones"
    elsewhere = "" if is_box else ", or hang it in another room (`room:`)"
    own = Fault(rule="bath-zone", room=subject.room, items=subject.items)
    brought = try_hanging(facts, Hung(path=subject.path, found=own), place)
    if not brought:
        is_here = subject.room == thing.room.id
        return f"{said}{elsewhere}.", shapely.Point(place) if is_here else None
    words = (
        f"Move it to a wall outside all zones{elsewhere}; "
        f"{join_clauses(list_what_to_see_to(brought))}."
    )
    return words, None


def _free_place(thing: Thing, limits: Limits) -> tuple[float, float] | None:
    here = thing.place or (0.0, 0.0)
    around = 1.0 / math.cos(math.pi / 4 / _QUARTER)
    zones = [
        shapely.buffer(zone.origin, zone.reach * around, quad_segs=_QUARTER)
        for zone in _measure_all(thing.room, here, limits)
    ]
    walls = shapely.difference(thing.room.outline.exterior, shapely.union_all(zones))
    if walls.is_empty:
        return None
    x, y = shapely.get_coordinates(shapely.shortest_line(walls, shapely.Point(here)))[0].tolist()
    whole = [
        (left, low)
        for left in (math.floor(x), math.ceil(x))
        for low in (math.floor(y), math.ceil(y))
        if all(zone.number is None for zone in _measure_all(thing.room, (left, low), limits))
    ]
    return min(whole, key=lambda point: math.dist(point, here), default=(x, y))


def _measure_all(room: RoomFacts, place: tuple[float, float], limits: Any) -> list[Zone]:
    return [
        _measure(room, fixture, polygon, place, limits)
        for fixture, polygon in room.fixtures
        if fixture.kind in BATHS
    ]


RULE = Rule(
    severities=("error", "warning"),
    finds="a thermostat or a junction box in a zone of a bath or shower",
    why="Wet skin lets a far greater current through: where water reaches, a fault can kill.",
    unit="mm",
    basis=standard(
        "IEC 60364-7-701, 701.30 and 701.512.3; what SELV may do in zones 1 and 2 is from memory"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "zone_2",
            600,
            "mm",
            "how far zone 2 reaches beyond a bath or shower",
            serves="bath zone 2",
        ),
        at_least(
            "open_shower",
            1200,
            "mm",
            "how far an open shower's zone 1 reaches",
            serves="zone 1 of an open shower",
        ),
        at_least(
            "top",
            2250,
            "mm",
            "how high the zones reach above the floor",
            serves="height of bath zones",
        ),
        at_least("zone_0", 100, "mm", "how high zone 0 of an open shower reaches"),
        at_most("selv_zone_1", 12, "V", "greatest voltage of SELV that may be switched in zone 1"),
    ),
    electrical=True,
    protects_life=True,
)
