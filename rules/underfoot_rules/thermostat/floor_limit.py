"""A floor limit that is not set, or set above what covering and room allow."""

from __future__ import annotations

from underfoot.api import (
    Basis,
    CannotTell,
    Facts,
    Finding,
    Limit,
    Limits,
    RoomFacts,
    Rule,
    Subject,
    SurfaceLimit,
    above,
    find_surface_limit,
    listed,
    written_down,
)
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import MAKER, standard

COMFORT = standard(
    "EN 1264-2 (a standard for water systems, used here as a comfort limit): 29 °C where people "
    "stay; 33 °C in bathrooms is from memory"
)


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every heated room's thermostat, and every other one drawn."""
    return facts.thermostat_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the limit set against the lowest of the rooms that the thermostat heats."""
    thermostat = subject.thing.room.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    rooms = _heated_by(subject.room or "", facts)
    if not rooms:
        return None
    found = [(room, find_surface_limit(room, limits["room"], limits["bathroom"])) for room in rooms]
    room, lowest = min(found, key=lambda pair: pair[1].warmest_c)
    surface = written_down(lowest.warmest_c, "degC")
    whose = _whose(lowest, room, subject.room)
    if thermostat.floor_limit_c is None:
        return Finding(
            message=f"The thermostat of room {subject.room} has no floor limit.",
            remedy=f"Set one: `floor_limit` of {surface} or less, as {whose} asks.",
        )
    if above(thermostat.floor_limit_c, lowest.warmest_c):
        return Finding(
            message=f"The floor limit of room {subject.room} is set to {{measured}}; "
            f"{whose} must not get warmer than {{limit}}.",
            remedy=f"Set the floor limit to {surface} or less.",
            measured=thermostat.floor_limit_c,
            most=lowest.warmest_c,
            limit_key=_key(lowest, room),
            basis=MAKER if lowest.covering is not None else COMFORT,
            related=(lowest.covering.path,) if lowest.covering is not None else (),
        )
    for room, limit in found:
        if limit.unstated:
            names = [covering.id for covering in limit.unstated]
            return CannotTell(
                f"the warmest surface that {listed(names)} may have is not given",
                "Write from the maker's data how warm it may get: `warmest_surface`.",
            )
        if limit.uncovered:
            return CannotTell(
                f"no covering is given for room {room.id}",
                f"Name what lies on the floor of room {room.id}: `covering`.",
            )
    return None


def _heated_by(name: str, facts: Facts) -> tuple[RoomFacts, ...]:
    """List the rooms whose strips the thermostat switches, and its own where that is heated."""
    names = dict.fromkeys(
        room for circuit in facts.switched.get(name, ()) for room in circuit.rooms
    )
    if facts.rooms[name].elements:
        names.setdefault(name)
    return tuple(facts.rooms[each] for each in names)


def _whose(limit: SurfaceLimit, room: RoomFacts, own: str | None) -> str:
    return limit.whose if room.id == own else f"{limit.whose} in room {room.id}"


def _key(limit: SurfaceLimit, room: RoomFacts) -> str | None:
    if limit.covering is not None:
        return None
    return "bathroom" if room.room.is_bathroom else "room"


BASIS = Basis(MAKER.kind, f"{MAKER.text}; {COMFORT.text}")

RULE = Rule(
    id="floor-limit",
    topic="thermostat",
    severities=("error",),
    finds="no floor limit set, or one above what the covering and the kind of room allow",
    why="Only the floor limit keeps wood from cracking, glue from softening and feet from burning.",
    unit="degC",
    basis=BASIS,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(
        Limit("room", 29, "degC", "warmest surface where people stay", "lower"),
        Limit("bathroom", 33, "degC", "warmest surface in a bathroom", "lower"),
    ),
    protects_life=True,
)
