"""A sensor below a strip that its thermostat does not switch, or read by two thermostats."""

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    format_quantity,
    join_names,
    point_text,
)
from underfoot_rules.advice import Advice
from underfoot_rules.basis import common_practice
from underfoot_rules.sensor.sensor_advice import place_sensor, say_place
from underfoot_rules.sensor.under_strips import find_strips_over


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips and a sensor."""
    return tuple(
        Subject(room=room.id, items=(), path=room.drawn.sensor.path, payload=room)
        for room in facts.heated_rooms
        if room.drawn.sensor is not None
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the strip over the sensor against what the thermostat that reads it switches."""
    room = subject.payload
    sensor = room.drawn.sensor
    readers = facts.readers.get(room.id, ())
    if sensor is None or not readers:
        return CannotTell(
            why="no thermostat is drawn that reads the sensor",
            write=f"Draw the `thermostat` of room {room.id}.",
        )
    if len(readers) > 1:
        return Finding(
            message=f"The sensor of room {room.id} is read by the thermostats of rooms "
            f"{join_names(readers)}: wired to both, it reads wrong in each.",
            remedy="Draw a sensor for each thermostat, or leave the room out of `reads` of all "
            "but one.",
            shape=shapely.Point(sensor.at),
        )
    (reader,) = readers
    switching = {
        circuit: _find_thermostat(circuit, facts)
        for circuit in dict.fromkeys(element.circuit for element in room.elements)
    }
    if all(place == reader for place in switching.values()):
        return None
    over = [room.elements[place] for place in find_strips_over(room, sensor.at)]
    if not over:
        return CannotTell(
            why="the sensor is not below a strip", write="Move the `sensor` below a strip."
        )
    if any(switching[element.circuit] == reader for element in over):
        return None
    others = [element for element in over if switching[element.circuit] is not None]
    if not others:
        return CannotTell(
            why=f"strip {over[0].id} over the sensor is on no thermostat",
            write=f"Write the `circuit` of strip {over[0].id}, and the `thermostat` of that "
            "circuit.",
        )
    said = [f"{element.id} (circuit {element.circuit})" for element in others]
    places = dict.fromkeys(str(switching[element.circuit]) for element in others)
    advice = _advise(facts, room, reader, switching)
    return Finding(
        message=f"The sensor that the thermostat of room {reader} reads lies below "
        f"strip{'s' if len(said) > 1 else ''} {join_names(said)}, which the thermostat of "
        f"room{'s' if len(places) > 1 else ''} {join_names(list(places))} switches: it does not "
        "feel how warm its own strips get.",
        remedy=advice.says,
        offer=advice.offer,
        shape=shapely.Point(sensor.at),
        related=tuple(element.path for element in others),
    )


def _find_thermostat(circuit: str | None, facts: Facts) -> str | None:
    """Name the room of the thermostat that switches a circuit; None where there is none."""
    known = facts.circuits.get(circuit or "")
    thermostat = None if known is None else known.circuit.thermostat
    return thermostat if thermostat in facts.readings else None


def _advise(
    facts: Facts, room: RoomFacts, reader: str, switching: dict[str | None, str | None]
) -> Advice:
    if not facts.is_advised:
        return Advice()
    own = [
        place for place, element in enumerate(room.elements) if switching[element.circuit] == reader
    ]
    circuits = dict.fromkeys(str(room.elements[place].circuit) for place in own)
    if not own:
        return Advice(
            says=f"Let the thermostat of room {reader} switch the circuit over its sensor, or read "
            "the sensor by the thermostat that does."
        )
    place = place_sensor(facts, room, own)
    below = (
        f"below a strip of circuit{'s' if len(circuits) > 1 else ''} {join_names(list(circuits))}"
    )
    if place is None:
        return Advice(says=f"Move it {below}, clear of heat sources and fixtures.")
    deep = format_quantity(place.depth, "mm")
    return say_place(
        facts,
        room,
        place,
        f"Move it to {point_text(place.x, place.y)}: {below}, {deep} from the edge of what that "
        "heats.",
        f"Move it {below}",
    )


RULE = Rule(
    finds="a floor sensor below a strip that the thermostat which reads it does not switch",
    why="A sensor below another thermostat's strip lets its own floor heat on without a limit.",
    basis=common_practice("a thermostat must feel the floor that it heats"),
    subjects=subjects,
    check=check,
    protects_life=True,
)
