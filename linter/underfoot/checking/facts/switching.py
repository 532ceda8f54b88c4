"""The facts of switching: which circuits a thermostat switches, and which none does."""

from __future__ import annotations

from collections.abc import Mapping

from underfoot.checking.facts.circuit import CircuitFacts
from underfoot.checking.facts.room import RoomFacts
from underfoot.plan import Plan


def find_switched(circuits: Mapping[str, CircuitFacts]) -> dict[str, tuple[CircuitFacts, ...]]:
    """Gather the circuits with strips by the room whose thermostat switches them."""
    gathered: dict[str, list[CircuitFacts]] = {}
    for circuit in circuits.values():
        if circuit.elements and circuit.circuit.thermostat is not None:
            gathered.setdefault(circuit.circuit.thermostat, []).append(circuit)
    return {room: tuple(members) for room, members in gathered.items()}


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
