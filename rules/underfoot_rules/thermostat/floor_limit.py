"""A floor limit whose dial is not set, or set where covering and room get too warm."""

from msgspec import Struct

from underfoot.api.facts import Facts, RoomFacts, find_heated_parts, resist_to_sensor
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import MAKER, standard
from underfoot_rules.sensed import (
    AtLimit,
    Sensed,
    find_floor_at_sensor,
    keep_limit,
    list_states,
    switch_off,
)
from underfoot_rules.thermostat.surface_limit import SurfaceLimit, find_surface_limit
from underfoot_rules.thermostat.switching import list_thermostats
from underfoot_rules.warmth import (
    NO_LAYERS,
    Floor,
    limit_surface,
    name_part,
    warmest_room,
    work_out,
)

COMFORT = standard(
    "EN 1264-2 (a standard for water systems, used here as a comfort limit): 29 °C where people "
    "stay; 33 °C in bathrooms is from memory"
)


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the dial against the lowest limit of the rooms that the thermostat heats.

    Then look whether the sensor, where it lies, lets another part of its room pass its limit.
    """
    thermostat = subject.payload.drawn.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    rooms = list_heated_by(subject.room or "", facts)
    if not rooms:
        return None
    found = [(room, find_surface_limit(room, limits["room"], limits["bathroom"])) for room in rooms]
    room, lowest = min(found, key=lambda pair: pair[1].warmest_c)
    unstated = [covering.id for _, limit in found for covering in limit.unstated]
    unknown = f", and no more than the maker of {join_names(unstated)} allows" if unstated else ""
    surface = f"{format_at_most(lowest.warmest_c, 'degC')} or less{unknown}"
    whose = lowest.whose if room.id == subject.room else f"{lowest.whose} in room {room.id}"
    if thermostat.floor_limit_c is None:
        return Finding(
            message=f"The thermostat of room {subject.room} has no floor limit.",
            remedy=f"Set its dial (`floor_limit`) to {surface}, as {whose} asks.",
        )
    if above(thermostat.floor_limit_c, lowest.warmest_c):
        return Finding(
            message=f"The dial of room {subject.room}'s floor limit is set to {{measured}}; "
            f"{whose} must not get warmer than {{limit}}.",
            remedy=f"Set the dial to {surface}.",
            measured=thermostat.floor_limit_c,
            most=lowest.warmest_c,
            limit_key=_key(lowest, room),
            basis=MAKER if lowest.covering is not None else COMFORT,
            related=(lowest.covering.path,) if lowest.covering is not None else (),
        )
    verdict = _sense(subject.payload, thermostat.floor_limit_c, facts, limits)
    if verdict is not None:
        return verdict
    for room, limit in found:
        if limit.unstated:
            names = [covering.id for covering in limit.unstated]
            return CannotTell(
                why=f"the warmest surface that {join_names(names)} may have is not given",
                write="Write from the maker's data how warm it may get: `warmest_surface`.",
            )
        if limit.uncovered:
            return CannotTell(
                why=f"no covering is given for room {room.id}",
                write=f"Name what lies on the floor of room {room.id}: `covering`.",
            )
    return None


class Late(Struct, frozen=True, kw_only=True):
    """A state in which the sensor lets a part pass its limit, and the most that the dial may be."""

    state: Sensed
    at: AtLimit
    most_c: float


def _sense(
    room: RoomFacts, dial_c: float, facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    late = find_late(room, dial_c, facts, limits)
    if not isinstance(late, Late):
        return late
    return _sensed_late(room, dial_c, late.state, late.at.floor, late.most_c, limits)


def find_late(
    room: RoomFacts, dial_c: float, facts: Facts, limits: Limits
) -> Late | CannotTell | None:
    """Look for a part of the room that passes its limit while the sensor reads less than the dial.

    A sensor that touches the film of a floor that is everywhere the same reads more than the
    surface. It reads less where the floor gives more elsewhere, or where it lies far below.
    """
    sensor, parts = room.drawn.sensor, find_heated_parts(room)
    if sensor is None or not parts:
        return None
    if len(parts) == 1 and resist_to_sensor(sensor).least_m2k_w == 0.0:
        return None
    floors = work_out(parts, room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    at_sensor = find_floor_at_sensor(room, floors, facts, limits)
    if at_sensor is None:
        return None  # sensor-under-element has its say
    spread_k, to_sensor = limits["spread"], resist_to_sensor(sensor)
    late: list[tuple[Sensed, AtLimit]] = []
    readings_c: list[float] = []
    unknown = False
    inside_c = floors[0].stack.room.temperature_c
    for room_c in dict.fromkeys((inside_c, warmest_room(floors[0], limits))):
        states = list_states(room, floors, at_sensor, room_c, to_sensor.least_m2k_w)
        passed = [(state, keep_limit(state, limits, spread_k)) for state in states]
        sure = [(state, at) for state, at in passed if at is not None and dial_c > at.reading_c]
        if len(sure) == len(passed):
            late += sure
        unknown = unknown or bool(sure)
        for state in list_states(room, floors, at_sensor, room_c, to_sensor.likely_m2k_w):
            kept = keep_limit(state, limits)
            readings_c += [kept.reading_c] if kept is not None else []
    if not late:
        return NO_LAYERS if unknown else None
    state, at = min(late, key=lambda each: each[1].reading_c)
    return Late(state=state, at=at, most_c=min(readings_c, default=inside_c))


def _sensed_late(
    room: RoomFacts, dial_c: float, state: Sensed, hot: Floor, most_c: float, limits: Limits
) -> Finding:
    cool = state.at_sensor
    limit = limit_surface(room, hot.part, limits)
    if _differ(hot, cool):
        where = f"below {name_part(cool)}"
        place = (
            f"Lay the sensor below {name_part(hot)}, which gets warmest, or give that a circuit, "
            "thermostat and sensor of its own"
        )
    else:
        where = "deep below the film"
        place = "Lay the sensor close below the film, in a channel no deeper than its conduit"
    return Finding(
        message=f"With the dial at {format_quantity(dial_c, 'degC')} the floor over "
        f"{name_part(hot)} would reach {{measured}} in a room of "
        f"{format_quantity(state.room_c, 'degC')}; its limit is {{limit}} ({limit.said}). The "
        f"sensor lies {where} and reads less.",
        remedy=f"{place}; where it is, the dial must be at "
        f"{format_at_most(most_c, 'degC')} or less.",
        measured=switch_off(state, dial_c, hot),
        most=limit.limit_c,
        limit_key="spread",
        path=room.drawn.sensor.path if room.drawn.sensor is not None else None,
    )


def _differ(one: Floor, other: Floor) -> bool:
    return (one.part.film, one.part.covering, one.part.boards) != (
        other.part.film, other.part.covering, other.part.boards
    )  # fmt: skip


def list_heated_by(name: str, facts: Facts) -> tuple[RoomFacts, ...]:
    """List the rooms whose strips the thermostat switches, and its own where that is heated."""
    names = dict.fromkeys(
        room for circuit in facts.switched.get(name, ()) for room in circuit.rooms
    )
    if facts.rooms[name].elements:
        names.setdefault(name)
    return tuple(facts.rooms[each] for each in names)


def _key(limit: SurfaceLimit, room: RoomFacts) -> str | None:
    if limit.covering is not None:
        return None
    return "bathroom" if room.drawn.is_bathroom else "room"


BASIS = Basis(kind=MAKER.kind, text=f"{MAKER.text}; {COMFORT.text}")

RULE = Rule(
    finds="no floor limit set, a dial above what the covering and the kind of room allow, or a "
    "sensor that reads less than the floor's warmest part",
    why="Only the floor limit keeps wood from cracking, glue from softening and feet from burning.",
    unit="degC",
    basis=BASIS,
    subjects=list_thermostats,
    check=check,
    limits=(
        at_most("room", 29, "degC", "warmest surface where people stay"),
        at_most("bathroom", 33, "degC", "warmest surface in a bathroom"),
        at_most(
            "spread",
            1,
            "K",
            "by how much a part may pass its limit before its sensor reads the dial",
        ),
    ),
    protects_life=True,
)
