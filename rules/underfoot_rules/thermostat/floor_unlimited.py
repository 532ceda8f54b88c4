"""Floor that is heated through a thermostat which feels another room's floor, or none."""

from underfoot.api.facts import Facts, Reading, RoomFacts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import common_practice
from underfoot_rules.thermostat.switching import find_circuits_in


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, str]], ...]:
    """The circuits of every heated room, by the thermostat that switches them."""
    found = []
    for room in facts.heated_rooms:
        by_thermostat: dict[str, list[str]] = {}
        for circuit in find_circuits_in(room, facts.circuits):
            thermostat = circuit.circuit.thermostat
            if thermostat is not None and thermostat in facts.readings:
                by_thermostat.setdefault(thermostat, []).append(circuit.id)
        for thermostat, circuits in by_thermostat.items():
            path = facts.circuits[circuits[0]].path
            found.append(
                Subject(room=room.id, items=tuple(circuits), path=path, payload=(room, thermostat))
            )
    return tuple(found)


def check(
    subject: Subject[tuple[RoomFacts, str]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Ask whether the thermostat that switches the strips reads the sensor of their room."""
    room, thermostat = subject.payload
    reading = facts.readings[thermostat]
    if room.id in reading.rooms:
        return None
    if room.drawn.sensor is None and not reading.rooms:
        return CannotTell(
            why="there is no floor sensor",
            write=f"Draw the floor sensor of room {room.id}: `sensor`.",
        )
    circuits = _circuits(subject.items)
    heats = "heats" if len(subject.items) == 1 else "heat"
    strips = [e.id for e in room.elements if e.circuit in subject.items]
    what = f"room {room.id}"
    if len(strips) < len(room.elements):
        what = f"a part of room {room.id} ({_some(strips)})"
    return Finding(
        message=f"{circuits[0].upper()}{circuits[1:]} {heats} {what} through the thermostat of "
        f"room {thermostat}, {_what_it_reads(reading)}: {_what_follows(reading)}.",
        remedy=_advise(room, thermostat, subject.items, facts),
        related=tuple(facts.circuits[name].path for name in subject.items[1:]),
    )


def _what_it_reads(reading: Reading) -> str:
    if reading.one_of:
        return (
            f"which takes one floor sensor, while rooms {join_names(reading.one_of)} have one each "
            "and the plan does not say which it reads"
        )
    if not reading.rooms:
        return "which reads no floor sensor"
    return f"which reads the floor sensor of {_rooms(reading.rooms)}"


def _what_follows(reading: Reading) -> str:
    return "this floor may have no limit" if reading.one_of else "nothing limits the floor here"


def _advise(room: RoomFacts, thermostat: str, circuits: tuple[str, ...], facts: Facts) -> str:
    if thermostat == room.id:
        return (
            f"Let the thermostat of room {room.id} read the sensor of its own room: leave `reads` "
            f"out of it, or name {room.id} there as well if it takes several."
        )
    steps = []
    apart = [name for name in circuits if len(facts.circuits[name].rooms) > 1]
    if apart:
        steps.append(
            f"Put the strips of room {room.id} on a circuit of their own: {_circuits(apart)} "
            f"{'heats' if len(apart) == 1 else 'heat'} other rooms, too."
        )
    if room.drawn.thermostat is None:
        steps.append(f"Draw a thermostat in room {room.id}, which reads the sensor there.")
    whole = [name for name in circuits if name not in apart]
    named = f" in {_circuits(whole)}" if whole else " there"
    steps.append(f"Write `thermostat: {room.id}`{named}.")
    reads = dict.fromkeys((*(facts.readings[thermostat].rooms), room.id))
    if len(reads) > 1:
        steps.append(
            f"Only where the thermostat of room {thermostat} takes a floor sensor in each room and "
            f"cuts off at the warmest: write `reads: [{', '.join(reads)}]` there instead."
        )
    elif facts.readings[thermostat].one_of:
        steps.append(f"Or say which sensors the thermostat of room {thermostat} reads (`reads`).")
    return " ".join(steps)


def _some(strips: list[str]) -> str:
    return join_names(strips) if len(strips) < 6 else f"{len(strips)} strips, {strips[0]} and on"


def _circuits(names: tuple[str, ...] | list[str]) -> str:
    return f"circuit{'s' if len(names) > 1 else ''} {join_names(names)}"


def _rooms(names: tuple[str, ...]) -> str:
    return f"room{'s' if len(names) > 1 else ''} {join_names(names)}"


RULE = Rule(
    finds="a room's strips that are switched by a thermostat which reads no sensor in that room",
    why="A floor whose own warmth nobody feels goes on heating under rugs and beds until it "
    "scorches.",
    basis=common_practice("a floor limit holds where its sensor lies, and nowhere else"),
    subjects=subjects,
    check=check,
    protects_life=True,
)
