"""A thermostat that reads wrong or cannot be reached: by a stove, on no wall, hidden."""

import shapely
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Thermostat
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import CLEARANCE, own_default
from underfoot_rules.thermostat.at_walls import find_before, measure_outside, measure_to_wall
from underfoot_rules.thermostat.hanging import EDGE, Hung, Place, advise_wall, ask_height
from underfoot_rules.trying import Fault


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, Thermostat]], ...]:
    """Every thermostat drawn."""
    return tuple(
        Subject(
            room=room.id,
            items=("thermostat",),
            path=room.drawn.thermostat.path,
            payload=(room, room.drawn.thermostat),
        )
        for room in facts.rooms.values()
        if room.drawn.thermostat is not None
    )


def check(
    subject: Subject[tuple[RoomFacts, Thermostat]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Look at the stoves round it, then at the wall that it hangs on, then at what stands before.

    A thermostat above the junction box hangs where that does: box-place and box-reach judge whether
    there is a wall.
    """
    here, thermostat = subject.payload
    room = here if thermostat.room is None else facts.rooms[thermostat.room]
    place = thermostat.at
    if place is None and room is here:
        place = room.box
    if place is None:
        return CannotTell(
            why="where the thermostat hangs is not given",
            write="Write where it hangs: `at` under `thermostat`.",
            worst="warning",
        )
    fault = Fault(rule="thermostat-place", room=here.id, items=subject.items)
    own = Hung(path=thermostat.path, found=fault)
    found = (
        _by_heat(room, place, own, facts, limits)
        or (_off_the_wall(room, place, own, facts, limits) if thermostat.at is not None else None)
        or _before(room, place, thermostat, own, facts, limits)
    )
    if isinstance(found, Finding) and room is not here:
        return replace(found, shape=None, offer=None)  # which would be drawn in the wrong room
    return found


def _by_heat(
    room: RoomFacts, place: Place, own: Hung, facts: Facts, limits: Limits
) -> Finding | None:
    hot = [
        (
            float(shapely.distance(polygon, shapely.Point(place))),
            max(limits["from_heat"], fixture.clearance or 0.0),
            fixture,
            polygon,
        )
        for fixture, polygon in room.fixtures
        if fixture.kind == "heat source"
    ]
    if not hot:
        return None
    distance, least, source, polygon = min(
        hot, key=lambda each: (each[0] - each[1], each[0], each[2].id)
    )
    if not below(distance, least):
        return None
    burns = distance <= EDGE or below(distance, source.clearance or 0.0)
    by_maker = least > limits["from_heat"]
    point = shapely.Point(place)
    where = "in or behind" if distance <= EDGE else "{measured} from"
    advice = advise_wall(facts, room, place, own)
    return Finding(
        message=f"The thermostat at {point_text(*place)} hangs {where} {source.id}, a heat source; "
        "at least {limit} is needed.",
        remedy=f"{advice.says} Warmed by {source.id} it reads too much and lets the floor go cold.",
        offer=advice.offer,
        measured=distance,
        least=least,
        limit_key=None if by_maker else "from_heat",
        basis=CLEARANCE if by_maker else None,
        severity="error" if burns else "warning",
        shape=shapely.shortest_line(point, polygon) if distance > EDGE else point,
        related=(source.path,),
    )


def _off_the_wall(
    room: RoomFacts, place: Place, own: Hung, facts: Facts, limits: Limits
) -> Finding | None:
    most = limits.of("box-place")["from_wall"]
    away = measure_to_wall(room, place)
    if not above(away, most):
        return None
    far = format_quantity(most, "mm", away)
    is_out = measure_outside(room, place) > EDGE
    advice = advise_wall(facts, room, place, own)
    return Finding(
        message=f"The thermostat at {point_text(*place)} "
        + (
            f"hangs outside room {room.id}, {{measured}} from it; up to {far} is in its wall."
            if is_out
            else f"hangs on no wall: the nearest is {{measured}} away; up to {far} counts as on it."
        ),
        remedy=f"{advice.says} Where it hangs in another room, name that (`room:`).",
        offer=advice.offer,
        measured=away,
        severity="warning",
        shape=shapely.Point(place),
    )


def _before(
    room: RoomFacts,
    place: Place,
    thermostat: Thermostat,
    own: Hung,
    facts: Facts,
    limits: Limits,
) -> Finding | CannotTell | None:
    box = limits.of("box-place")
    for which in find_before(room, place, box["from_wall"], box["half_width"], box["free"]):
        fixture, _ = room.fixtures[which]
        if fixture.height is not None and thermostat.height is None:
            return ask_height("thermostat", "thermostat")
        is_lower = (
            fixture.height is not None
            and thermostat.height is not None
            and below(fixture.height, thermostat.height)
        )
        if not is_lower:
            advice = advise_wall(facts, room, place, own)
            return Finding(
                message=f"The thermostat at {point_text(*place)} hangs behind {fixture.id} "
                f"({fixture.kind}): nobody sees or reaches it, and it feels no air.",
                remedy=f"{advice.says} Where {fixture.id} is lower than the thermostat, write its "
                "`height`.",
                offer=advice.offer,
                severity="warning",
                shape=shapely.Point(place),
                related=(fixture.path,),
                details=() if fixture.height is not None else (("height", _TAKEN),),
            )
    return None


_TAKEN = "that of the fixture is not given: higher than the thermostat is taken"

RULE = Rule(
    severities=("warning", "error"),
    finds="a thermostat by a stove, on no wall of its room, or behind furniture",
    why="Warmed by a stove or shut in by a wardrobe it reads another air than the room's.",
    unit="mm",
    basis=own_default("common practice in the trade is away from stoves, sun and draughts"),
    subjects=subjects,
    check=check,
    limits=(at_least("from_heat", 500, "mm", "least distance from thermostat to a heat source"),),
    electrical=True,
)
