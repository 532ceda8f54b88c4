"""A sensor cable that does not reach its thermostat."""

import math
from itertools import pairwise

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, above, format_quantity
from underfoot_rules import not_given
from underfoot_rules.absent import NO_SENSOR, NO_THERMOSTAT
from underfoot_rules.basis import COMMON_PRACTICE

# The way between rooms is not drawn: a cable too short for it is seen before the floor is closed.
AWAY = CannotTell(
    why="the thermostat hangs in another room, and the way there is not drawn",
    write="See on site that the sensor's cable reaches the thermostat without a joint.",
    worst="warning",
)


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Add up route, rise, and the way from box to thermostat in plan; compare with the cable."""
    room = subject.payload
    sensor, thermostat = room.drawn.sensor, room.drawn.thermostat
    if sensor is None:
        return NO_SENSOR
    if sensor.cable is None:
        return CannotTell(
            why="the length of the sensor's cable is not given",
            write="Write its length: `sensor.cable`.",
        )
    away = _hangs_elsewhere(facts, room)
    if thermostat is None and not away:
        return NO_THERMOSTAT
    height = thermostat.height if thermostat is not None else None
    if height is None and not away:
        return CannotTell(
            why="the height of the thermostat is not given",
            write="Write how high it hangs: `thermostat.height`.",
        )
    way = room.sensor_way
    if len(way) < 2:
        return not_given.ROUTE
    hangs = way[0] if away or thermostat is None else thermostat.at or room.box
    if hangs is None:
        return CannotTell(
            why="neither the thermostat nor the junction box has a place",
            write="Write where one of them is: `thermostat.at` or `junction_box.at`.",
        )
    route = sum(math.dist(a, b) for a, b in pairwise(way))
    aside = math.dist(way[0], hangs)
    rise = height or 0.0
    needed_m = (route + rise + aside) / 1000
    cable_m = sensor.cable / 1000
    if not above(needed_m, cable_m):
        return AWAY if away else None
    parts = [f"{format_quantity(route / 1000, 'm')} of route"]
    if rise > 0:
        parts.append(f"{format_quantity(rise / 1000, 'm')} up to the thermostat")
    if aside > 0:
        parts.insert(1, f"{format_quantity(aside / 1000, 'm')} across to below it")
    straight_m = (math.dist(way[0], sensor.at) + rise + aside) / 1000
    size_m = math.ceil(needed_m * 2 - 1e-6) / 2
    remedy = f"Take a sensor with {format_quantity(size_m, 'm')} of cable or more"
    if away:
        parts.append("the way to the other room")
        remedy += ", and as much again as it is to the thermostat in the other room"
    elif not above(straight_m, cable_m):
        remedy += f"; laid straight to the sensor it needs only {format_quantity(straight_m, 'm')}"
    return Finding(
        message=f"The sensor's cable is {{limit}} long but needs {{measured}}: "
        f"{' + '.join(parts)}.",
        remedy=f"{remedy}.",
        measured=needed_m,
        most=cable_m,
        path=sensor.path,
    )


def _hangs_elsewhere(facts: Facts, room: RoomFacts) -> bool:
    thermostat = room.drawn.thermostat
    if thermostat is not None:
        return thermostat.room not in (None, room.id)
    named = {element.circuit for element in room.elements}
    switching = {
        circuit.circuit.thermostat for name, circuit in facts.circuits.items() if name in named
    }
    return any(
        other.drawn.thermostat is not None
        for name, other in facts.rooms.items()
        if name in switching
    )


RULE = Rule(
    finds="a sensor cable shorter than its way to the thermostat",
    why="A cable that is too short is joined under the floor, where a bad joint cannot be mended.",
    unit="m",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
)
