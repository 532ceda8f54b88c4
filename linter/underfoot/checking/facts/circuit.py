"""The facts of a circuit: its strips, and what they draw."""

import math
from collections.abc import Iterable

from msgspec import Struct

from underfoot.physics import electrics
from underfoot.plan import Circuit, Element, Film, Plan


class CircuitFacts(Struct, frozen=True, kw_only=True):
    """A circuit with its elements over all rooms.

    `current_a` and `power_w` are at the supply voltage. `protection` is the circuit whose breaker,
    cable and RCD carry it: its own id unless it shares another's.
    """

    id: str
    path: str
    circuit: Circuit
    elements: tuple[Element, ...]
    rooms: tuple[str, ...]
    films: tuple[Film, ...]
    current_a: float
    power_w: float
    protection: str


def element_power_w(element: Element) -> float:
    """Rated power of a strip, W at its film's rated voltage."""
    return element.film.rated_w_m * element.length / 1000


def element_current_a(element: Element, supply_v: float) -> float:
    """Current of a strip at the supply voltage, A: rated power x supply / rated voltage squared."""
    return electrics.compute_current(element_power_w(element), element.film.voltage_v, supply_v)


def element_conductance_band(element: Element) -> tuple[float, float]:
    """Least and greatest conductance (1/ohm) that a strip's rated power tolerance allows."""
    power = electrics.allow_power(element_power_w(element), element.film.tolerance)
    volts = element.film.voltage_v
    return (power.least_w / volts**2, power.most_w / volts**2)


def rate_side_by_side(elements: Iterable[Element]) -> float:
    """Resistance of strips side by side as rated, ohm; no conductor is in it. Infinite for none."""
    siemens = sum(element_power_w(each) / each.film.voltage_v**2 for each in elements)
    return 1 / siemens if siemens > 0 else math.inf


def allow_side_by_side(elements: Iterable[Element]) -> electrics.ResistanceBand:
    """Least and most resistance of strips side by side that their tolerances allow together.

    Each strip may lie at its own edge; no conductor is in it. Infinite where nothing conducts.
    """
    bands = [element_conductance_band(element) for element in elements]
    least, most = sum(band[0] for band in bands), sum(band[1] for band in bands)
    return electrics.ResistanceBand(
        least_ohm=1 / most if most > 0 else math.inf,
        most_ohm=1 / least if least > 0 else math.inf,
    )


def find_circuits(plan: Plan) -> dict[str, CircuitFacts]:
    """Gather the strips of every circuit; strips on an unknown circuit belong to none."""
    gathered: dict[str, list[tuple[str, Element]]] = {name: [] for name in plan.circuits}
    for room in plan.rooms.values():
        for element in room.elements:
            if element.circuit in gathered:
                gathered[element.circuit].append((room.id, element))
    supply_v = plan.supply.voltage_v
    return {
        name: _facts(plan, plan.circuits[name], members, supply_v)
        for name, members in gathered.items()
    }


def _facts(
    plan: Plan, circuit: Circuit, members: list[tuple[str, Element]], supply_v: float
) -> CircuitFacts:
    elements = tuple(element for _, element in members)
    current_a = sum(element_current_a(element, supply_v) for element in elements)
    return CircuitFacts(
        id=circuit.id,
        path=circuit.path,
        circuit=circuit,
        elements=elements,
        rooms=tuple(dict.fromkeys(room for room, _ in members)),
        films=tuple({element.film.id: element.film for element in elements}.values()),
        current_a=current_a,
        power_w=current_a * supply_v,
        protection=_protection(plan, circuit),
    )


def _protection(plan: Plan, circuit: Circuit) -> str:
    seen = {circuit.id}
    while circuit.shares is not None and circuit.shares in plan.circuits:
        circuit = plan.circuits[circuit.shares]
        if circuit.id in seen:
            return min(seen)
        seen.add(circuit.id)
    return circuit.id
