"""A floor whose surface would pass its limit at full output: its floor limit alone keeps it."""

from underfoot.api.facts import Facts, RoomFacts, each_room, find_heated_parts, resist_to_sensor
from underfoot.api.physics import heat
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    format_at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard
from underfoot_rules.sensed import find_floor_at_sensor, keep_limit, list_states
from underfoot_rules.warmth import (
    ASSUMED,
    NO_LAYERS,
    Floor,
    SurfaceMost,
    limit_surface,
    name_part,
    tell_layers,
    tell_split,
    tell_warm_sides,
    warmest_room,
    work_out,
)


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the surface temperature at full output with the surface limit, part by part."""
    room = subject.payload
    floors = work_out(find_heated_parts(room), room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    worst: tuple[float, Floor, SurfaceMost, heat.FloorTemperatures] | None = None
    unknown = False
    for floor in floors:
        limit = limit_surface(room, floor.part, limits)
        ends = (floor.settled, floor.settled_at_most)
        least = min(ends, key=lambda state: state.surface_c)
        most = max(ends, key=lambda state: state.surface_c)
        if above(least.surface_c, limit.limit_c):
            passed = least.surface_c - limit.limit_c
            if worst is None or passed > worst[0]:
                worst = (passed, floor, limit, least)
        elif above(most.surface_c, limit.limit_c):
            unknown = True
    if worst is not None:
        return _finding(facts, room, floors, *worst[1:], limits)
    if unknown:
        return NO_LAYERS
    unstated = _unstated(floors)
    if unstated:
        return CannotTell(
            why=f"the warmest surface that {join_names(unstated)} may have is not given",
            write="Write from the maker's data how warm it may get: `warmest_surface`.",
        )
    return None


def _unstated(floors: tuple[Floor, ...]) -> list[str]:
    """List the coverings of which nobody says how warm they may get."""
    coverings = [floor.part.covering.covering for floor in floors if floor.part.covering]
    return list(dict.fromkeys(each.id for each in coverings if each.warmest_surface_c is None))


def _finding(
    facts: Facts,
    room: RoomFacts,
    floors: tuple[Floor, ...],
    floor: Floor,
    limit: SurfaceMost,
    state: heat.FloorTemperatures,
    limits: Limits,
) -> Finding:
    least = "at least " if not floor.stack.whole else ""
    rows = [
        *tell_layers(floor, facts.plan.supply.voltage_v),
        *tell_split(floor),
        ("surface at full output", f"{least}{format_quantity(state.surface_c, 'degC')}"),
        *tell_warm_sides(room, floor, floor.output_w_m2),
        ("surface limit", f"{format_quantity(limit.limit_c, 'degC')}, {limit.said}"),
    ]  # fmt: skip
    read = _read_at_limit(facts, room, floors, limits)
    rows += [row for row, _ in read]
    most_c = min(
        [
            *(limit_surface(room, each.part, limits).limit_c for each in floors),
            *(reading_c for _, reading_c in read),
        ]
    )
    thermostat = room.drawn.thermostat
    set_c = thermostat.floor_limit_c if thermostat is not None else None
    unstated = _unstated(floors)
    if set_c is not None and set_c <= most_c and not unstated:
        dial = f"Leave the dial of the floor limit at {format_quantity(set_c, 'degC')}"
    else:
        most_c = most_c if set_c is None else min(most_c, set_c)
        dial = f"Set the dial of the floor limit to {format_at_most(most_c, 'degC')} or less"
        dial += (
            f" and no warmer than the maker of {join_names(unstated)} allows" if unstated else ""
        )
    return Finding(
        message=f"At full output the floor over {name_part(floor)} would reach {least}"
        f"{{measured}}; its limit is {{limit}} ({limit.said}). "
        "Its floor limit alone keeps it cooler.",
        remedy=f"{dial}, and leave nothing flat on this floor that holds its heat.",
        measured=state.surface_c,
        most=limit.limit_c,
        details=tuple(rows),
    )


def _read_at_limit(
    facts: Facts, room: RoomFacts, floors: tuple[Floor, ...], limits: Limits
) -> list[tuple[tuple[str, str], float]]:
    """Tell what the sensor reads when the surface is at its limit: as designed, and in the warm.

    The warmer the room, the less the film has to give, and the less the sensor reads then. So this
    is told and never advised: a dial set to what is read in the cold overheats the floor later.
    """
    sensor = room.drawn.sensor
    at_sensor = find_floor_at_sensor(room, floors, facts, limits)
    if sensor is None or at_sensor is None:
        return []
    to_m2k_w = resist_to_sensor(sensor).likely_m2k_w
    inside_c = floors[0].stack.room.temperature_c
    read = []
    for room_c in dict.fromkeys((inside_c, warmest_room(floors[0], limits))):
        states = list_states(room, floors, at_sensor, room_c, to_m2k_w)
        kept = [each for state in states if (each := keep_limit(state, limits)) is not None]
        if not kept:
            continue
        low_c, high_c = min(k.reading_c for k in kept), max(k.reading_c for k in kept)
        said = format_quantity(low_c, "degC")
        if format_quantity(high_c, "degC") != said:
            said += f" to {format_quantity(high_c, 'degC')}"
        film_c = max(each.film_c for each in kept)
        row = (
            f"at the limit, {format_quantity(room_c, 'degC')} inside",
            f"film {format_quantity(film_c, 'degC')}, sensor {said}: for information, not for the "
            "dial",
        )
        read.append((row, low_c))
    return read


RULE = Rule(
    severities=("note",),
    finds="a floor that would pass its surface limit at full output, so that its floor limit "
    "must keep it",
    why="Such a floor is safe only while its sensor and its limit work: whoever sets it must know.",
    unit="degC",
    basis=standard(
        "ISO 11855-2, A.29 to A.31 and equation 1; surface limits by EN 1264-2 (for water "
        "systems, used as a comfort limit; 33 °C for bathrooms from memory)"
    ),
    subjects=each_room,
    check=check,
    limits=ASSUMED,
)
