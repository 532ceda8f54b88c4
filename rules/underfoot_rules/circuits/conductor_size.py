"""Conductors thinner than fixed power wiring may be."""

from underfoot.api.facts import Facts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_size,
)
from underfoot_rules.basis import standard
from underfoot_rules.circuits.conducting import Conductor, list_conductors
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.trying import try_lead_size


def subjects(facts: Facts) -> tuple[Subject[Conductor], ...]:
    """Every cable, link and lead of circuits with strips that the plan gives."""
    return tuple(_at_the_lead(each) for each in list_conductors(facts) if each.payload.path)


def _at_the_lead(subject: Subject[Conductor]) -> Subject[Conductor]:
    lead = subject.payload.lead
    return (
        subject
        if lead is None
        else Subject(room=subject.room, items=(lead.id,), path=lead.path, payload=subject.payload)
    )


def check(subject: Subject[Conductor], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the cross-section with the least for the supply."""
    conductor = subject.payload
    size_mm2 = conductor.size_mm2
    if size_mm2 is None:
        name = conductor.name
        return CannotTell(
            why=f"the size of {name} is not given", write=f"Write the `size` of {name}."
        )
    key = "smallest_selv" if facts.plan.supply.is_selv else "smallest"
    if not below(size_mm2, limits[key]):
        return None
    size = format_size(size_mm2, conductor.size_text)
    where = "SELV wiring" if facts.plan.supply.is_selv else "fixed power wiring"
    return Finding(
        message=f"{conductor.name[0].upper()}{conductor.name[1:]} has conductors of {size}; the "
        f"least for {where} is {{limit}}.",
        remedy=_advise(conductor, limits[key], facts),
        measured=size_mm2,
        least=limits[key],
        limit_key=key,
        related=() if conductor.path is None else (conductor.path,),
    )


def _advise(conductor: Conductor, least_mm2: float, facts: Facts) -> str:
    if not facts.is_advised:
        return ""
    lead = conductor.lead
    brought = () if lead is None else try_lead_size(facts, lead.id, least_mm2)
    if not brought:
        return f"Take {least_mm2:g} mm² or more."
    return f"Take a larger size; {join_clauses(list_what_to_see_to(brought))}."


RULE = Rule(
    finds="a cable, link or lead thinner than fixed power wiring may be",
    why="A thin conductor breaks at the bend and at the terminal, and glows before the breaker "
    "trips.",
    unit="mm2",
    basis=standard(
        "IEC 60364-5-52, table 52.2 (where 1 mm² is allowed it is for lighting); the least for "
        "SELV is from memory"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_least("smallest", 1.5, "mm2", "least cross-section of fixed power wiring"),
        at_least("smallest_selv", 0.75, "mm2", "least cross-section in SELV wiring"),
    ),
    electrical=True,
    protects_life=True,
)
