"""Which circuits a thermostat should switch, and the thermostats that rules look at."""

from collections.abc import Iterable, Mapping

from underfoot.api.facts import CircuitFacts, Facts, RoomFacts
from underfoot.api.plan import Plan
from underfoot.api.rules import Subject


def find_circuits_in(
    room: RoomFacts, circuits: Mapping[str, CircuitFacts]
) -> tuple[CircuitFacts, ...]:
    """Find the known circuits that have strips in a room, in the strips' order."""
    named = dict.fromkeys(element.circuit for element in room.elements)
    return tuple(circuits[name] for name in named if name is not None and name in circuits)


def find_unswitched(
    room: RoomFacts, circuits: Mapping[str, CircuitFacts], plan: Plan
) -> tuple[CircuitFacts, ...]:
    """Find the circuits of a room that no thermostat switches, or one that is not there."""
    return tuple(
        circuit
        for circuit in find_circuits_in(room, circuits)
        if circuit.circuit.thermostat is None
        or plan.rooms[circuit.circuit.thermostat].thermostat is None
    )


def list_breakers(circuits: Iterable[CircuitFacts], plan: Plan) -> dict[str, float]:
    """List the breakers before circuits, in A, by the circuit that has each; those not given left
    out.
    """
    own = dict.fromkeys(each.protection for each in circuits)
    given = ((name, plan.circuits[name].breaker_a) for name in own)
    return {name: breaker_a for name, breaker_a in given if breaker_a is not None}


def list_thermostats(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """One subject a thermostat, or a room that lacks one; its payload is the room's facts."""
    return facts.once(_list_thermostats)


def _list_thermostats(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    return tuple(
        Subject(
            room=room.id,
            items=("thermostat",),
            path=room.path if room.drawn.thermostat is None else room.drawn.thermostat.path,
            payload=room,
        )
        for room in facts.rooms.values()
        if room.drawn.thermostat is not None or find_unswitched(room, facts.circuits, facts.plan)
    )
