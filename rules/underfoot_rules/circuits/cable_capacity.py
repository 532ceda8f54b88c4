"""A cable or a lead that cannot carry its current."""

from __future__ import annotations

from typing import NamedTuple

from underfoot.api import (
    METHODS,
    TABLE_AMBIENT_C,
    CannotTell,
    Carrying,
    Facts,
    Finding,
    Lead,
    Limit,
    Limits,
    ProtectionFacts,
    Rule,
    Subject,
    Unknown,
    below,
    find_cable_capacity,
    find_lead_capacity,
    find_lead_currents,
    find_size,
    written,
)
from underfoot_rules.basis import standard

ASIDE = (
    "not judged",
    "grouping with other cables, and burial in the building's insulation: both lower what a "
    "conductor can carry",
)


class Conductor(NamedTuple):
    """A cable (`lead` None) or a lead, and the protection that feeds it."""

    protection: ProtectionFacts
    lead: Lead | None = None


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every protection's cable, then every lead of a circuit with strips."""
    cables = [Subject(None, (p.id,), p.path, Conductor(p)) for p in facts.protections.values()]
    leads = [
        Subject(room.id, (circuit.id, laid.lead.id), circuit.path, Conductor(protection, laid.lead))
        for protection in facts.protections.values()
        for circuit in protection.circuits
        for room, laid in facts.circuit_leads.get(circuit.id, ())
    ]
    return (*cables, *leads)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the capacity with the current times the share that local practice asks for."""
    thing: Conductor = subject.thing
    lead, protection = thing.lead, thing.protection
    if lead is None:
        found = find_cable_capacity(protection.circuit.cable, protection.id)
    else:
        method = METHODS[round(limits["lead_method"])]
        found = find_lead_capacity(lead, method, limits["lead_ambient"])
    if isinstance(found, Unknown):
        return CannotTell(found.why, found.write)
    share = limits["of_current"] / 100
    # No lead carries more than all strips together: most need no closer look.
    current_a = protection.current_a
    if lead is not None and below(found.current_a, current_a * share):
        supply_v = facts.plan.supply.voltage_v
        currents = find_lead_currents(facts.wirings[protection.id], supply_v)
        current_a = currents.get(lead.id, 0.0)
    if not below(found.current_a, current_a * share):
        return None
    return _finding(thing, found, current_a, limits)


def _finding(thing: Conductor, found: Carrying, current_a: float, limits: Limits) -> Finding:
    asked_a = current_a * limits["of_current"] / 100
    drawn = "{limit}"
    if limits["of_current"] != 100:
        share = written(limits["of_current"], "%")
        drawn = f"{written(current_a, 'A')} × {share} = {{limit}}"
    lead, cable = thing.lead, thing.protection.circuit.cable
    path = lead.path if lead is not None else cable.path if cable is not None else None
    name = f"The cable of {thing.protection.whose}" if lead is None else f"Lead {lead.id}"
    return Finding(
        message=f"{name} can carry {{measured}}, but the strips beyond it draw {drawn}.",
        remedy=f"{_stronger(thing, asked_a, limits)}, or divide the strips over more circuits.",
        measured=found.current_a,
        least=asked_a,
        limit_key="of_current" if limits["of_current"] != 100 else None,
        details=(("capacity", found.how), ASIDE),
        related=() if path is None else (path,),
    )


def _stronger(thing: Conductor, asked_a: float, limits: Limits) -> str:
    """Name the smallest size that would do as the conductor lies."""
    lead, cable = thing.lead, thing.protection.circuit.cable
    if lead is not None:
        stated = lead.capacity_a is not None
        method, ambient_c = METHODS[round(limits["lead_method"])], limits["lead_ambient"]
    else:
        stated = cable is None or cable.method is None or cable.capacity_a is not None
        method = (cable.method if cable is not None else None) or ""
        ambient_c = TABLE_AMBIENT_C
        if cable is not None and cable.ambient_c is not None:
            ambient_c = cable.ambient_c
    if stated:
        return "Take a larger size and have its capacity worked out anew"
    size_mm2 = find_size(asked_a, method, ambient_c)
    return (
        "No size up to 10 mm² carries that: take one larger still"
        if size_mm2 is None
        else (f"Take {size_mm2:g} mm² or more")
    )


RULE = Rule(
    id="cable-capacity",
    topic="circuits",
    severities=("error",),
    finds="a cable or a lead that can carry less than its current",
    why="A conductor that carries too much bakes its insulation for years, until it shorts.",
    unit="A",
    basis=standard(
        "IEC 60364-5-52, tables B.52.2 and B.52.14, two loaded conductors in PVC; how leads lie "
        "and how warm they get are own defaults; grouping, and burial in the building's "
        "insulation, are not judged"
    ),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(
        Limit("of_current", 100, "%", "share of its current that a conductor must carry", "higher"),
        Limit("lead_method", METHODS.index("A1"), "", "how a lead lies, by reference method", None,
              choices=METHODS),
        Limit("lead_ambient", 40, "degC", "how warm it gets where leads lie", "higher"),
    ),
    electrical=True,
    protects_life=True,
)  # fmt: skip
