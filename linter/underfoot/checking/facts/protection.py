"""The facts of protection: the circuits behind one breaker, RCD and cable."""

import math
from collections.abc import Mapping

from msgspec import Struct

from underfoot.checking.facts.circuit import CircuitFacts
from underfoot.checking.words import join_names
from underfoot.plan import Circuit, Plan


class ProtectionFacts(Struct, frozen=True, kw_only=True):
    """Protection and the circuits with strips that it carries.

    `id` and `circuit` are those of the circuit that has the breaker, the RCD and the cable;
    `current_a` is the sum of the circuits' own at the supply voltage.
    """

    id: str
    path: str
    circuit: Circuit
    circuits: tuple[CircuitFacts, ...]
    current_a: float

    @property
    def whose(self) -> str:
        """Say whose protection it is: ``circuit C1 (shared by C2)``."""
        others = [circuit.id for circuit in self.circuits if circuit.id != self.id]
        shared = f" (shared by {join_names(others)})" if others else ""
        return f"circuit {self.id}{shared}"


def find_protections(
    plan: Plan, circuits: Mapping[str, CircuitFacts]
) -> dict[str, ProtectionFacts]:
    """Gather the circuits with strips by their protection, in the plan's order."""
    gathered: dict[str, list[CircuitFacts]] = {}
    for circuit in circuits.values():
        if circuit.elements:
            gathered.setdefault(circuit.protection, []).append(circuit)
    return {
        name: ProtectionFacts(
            id=name,
            path=plan.circuits[name].path,
            circuit=plan.circuits[name],
            circuits=tuple(gathered[name]),
            current_a=math.fsum(circuit.current_a for circuit in gathered[name]),
        )
        for name in plan.circuits
        if name in gathered
    }
