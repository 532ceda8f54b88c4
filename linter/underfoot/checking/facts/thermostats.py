"""The facts of switching: what each thermostat switches, and which floor sensors it reads."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.checking.facts.circuit import CircuitFacts
from underfoot.plan import Plan


class Reading(Struct, frozen=True, kw_only=True):
    """The rooms whose floor sensors a thermostat reads.

    Where the plan leaves open which of several sensors it is, `one_of` are their rooms and `rooms`
    is empty: a thermostat that does not say otherwise takes one.
    """

    rooms: tuple[str, ...]
    one_of: tuple[str, ...] = ()


def find_switched(circuits: Mapping[str, CircuitFacts]) -> dict[str, tuple[CircuitFacts, ...]]:
    """Gather the circuits with strips by the room whose thermostat switches them."""
    gathered: dict[str, list[CircuitFacts]] = {}
    for circuit in circuits.values():
        if circuit.elements and circuit.circuit.thermostat is not None:
            gathered.setdefault(circuit.circuit.thermostat, []).append(circuit)
    return {room: tuple(members) for room, members in gathered.items()}


def find_readings(
    plan: Plan, switched: Mapping[str, tuple[CircuitFacts, ...]]
) -> dict[str, Reading]:
    """Find what each thermostat reads, by its room.

    That is what `reads` says; else the sensor of its own room; else that of a room which it
    switches and which has no thermostat of its own.
    """
    return {
        name: _find_reading(plan, name, switched.get(name, ()))
        for name, room in plan.rooms.items()
        if room.thermostat is not None
    }


def _find_reading(plan: Plan, name: str, circuits: tuple[CircuitFacts, ...]) -> Reading:
    room = plan.rooms[name]
    if room.thermostat is not None and room.thermostat.reads is not None:
        return Reading(rooms=room.thermostat.reads)
    if room.sensor is not None:
        return Reading(rooms=(name,))
    heated = dict.fromkeys(each for circuit in circuits for each in circuit.rooms)
    found = tuple(
        each
        for each in heated
        if plan.rooms[each].sensor is not None and plan.rooms[each].thermostat is None
    )
    return Reading(rooms=found) if len(found) < 2 else Reading(rooms=(), one_of=found)


def find_readers(readings: Mapping[str, Reading]) -> dict[str, tuple[str, ...]]:
    """Gather, by the room of a sensor, the rooms of the thermostats that surely read it."""
    readers: dict[str, list[str]] = {}
    for thermostat, reading in readings.items():
        for room in reading.rooms:
            readers.setdefault(room, []).append(thermostat)
    return {room: tuple(names) for room, names in readers.items()}
