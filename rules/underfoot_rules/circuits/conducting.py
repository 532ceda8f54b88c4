"""What conducts behind one protection: its cable, the links from box to box, the leads."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot.api.facts import (
    Facts,
    Link,
    ProtectionFacts,
    Unknown,
    find_all_boxes,
    find_currents_behind,
    gather_circuit_leads,
    no_cable,
)
from underfoot.api.plan import Cable, Lead
from underfoot.api.rules import Limits, Subject
from underfoot_rules.circuits.capacity import (
    METHODS,
    Carrying,
    find_cable_capacity,
    find_lead_capacity,
)


class Conductor(Struct, frozen=True, kw_only=True):
    """A cable, link or lead; `cable` and `lead` are both None for one that the plan leaves out.

    `name` stands in the middle of a sentence. `path` is its own place, where it has one.
    """

    protection: ProtectionFacts
    name: str
    cable: Cable | None = None
    lead: Lead | None = None
    link: Link | None = None

    @property
    def path(self) -> str | None:
        """Its own place in the plan."""
        thing = self.lead or self.cable
        return None if thing is None else thing.path

    @property
    def size_mm2(self) -> float | None:
        """Its cross-section."""
        thing = self.lead or self.cable
        return None if thing is None else thing.size_mm2

    @property
    def size_text(self) -> str | None:
        """Its cross-section as the plan writes it."""
        thing = self.lead or self.cable
        return None if thing is None else thing.size_text


def list_conductors(facts: Facts) -> tuple[Subject[Conductor], ...]:
    """Every protection's cable, then the links, then every lead of a circuit with strips."""
    protections = facts.protections.values()
    cables = [
        Subject(
            room=None,
            items=(p.id,),
            path=p.path,
            payload=Conductor(protection=p, name=f"the cable of {p.whose}", cable=p.circuit.cable),
        )
        for p in protections
    ]
    links = [
        Subject(
            room=None,
            items=link.items,
            path=link.circuit.path,
            payload=Conductor(protection=p, name=link.name, cable=link.cable, link=link),
        )
        for p in protections
        for link in facts.once(find_all_boxes)[p.id].links
    ]
    leads = [
        Subject(
            room=room.id,
            items=(circuit.id, laid.lead.id),
            path=circuit.path,
            payload=Conductor(protection=p, name=f"lead {laid.lead.id}", lead=laid.lead),
        )
        for p in protections
        for circuit in p.circuits
        for room, laid in facts.once(gather_circuit_leads).get(circuit.id, ())
    ]
    return (*cables, *links, *leads)


def conductors_of(protection: ProtectionFacts, facts: Facts) -> Iterator[Conductor]:
    """List the conductors behind one protection in the same order; its cable is just that."""
    yield Conductor(protection=protection, name="the cable", cable=protection.circuit.cable)
    for link in facts.once(find_all_boxes)[protection.id].links:
        yield Conductor(protection=protection, name=link.name, cable=link.cable, link=link)
    for circuit in protection.circuits:
        for _, laid in facts.once(gather_circuit_leads).get(circuit.id, ()):
            yield Conductor(protection=protection, name=f"lead {laid.lead.id}", lead=laid.lead)


def find_carrying(conductor: Conductor, limits: Limits) -> Carrying | Unknown:
    """Find what a conductor can carry; how leads lie is a limit of cable-capacity."""
    if conductor.lead is not None:
        of_leads = limits.of("cable-capacity")
        method = METHODS[round(of_leads["lead_method"])]
        return find_lead_capacity(conductor.lead, method, of_leads["lead_ambient"])
    if conductor.cable is not None:
        return find_cable_capacity(conductor.cable, _own_name(conductor))
    if conductor.link is not None:
        return Unknown(why=conductor.link.why, write=conductor.link.write)
    return no_cable(conductor.protection.id)


def find_current_a(conductor: Conductor, facts: Facts) -> float:
    """Find what the strips beyond a conductor draw, in A."""
    protection = conductor.protection
    if conductor.lead is None and conductor.link is None:
        return protection.current_a
    currents = facts.once(find_currents_behind, protection.id)
    name = conductor.lead.id if conductor.lead is not None else conductor.name
    return currents.get(name, 0.0)


def _own_name(conductor: Conductor) -> str:
    if conductor.link is not None:
        return conductor.link.name
    return f"the cable of circuit {conductor.protection.id}"
