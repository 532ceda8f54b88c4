"""A lead through something that is fixed to the floor or stands on the subfloor."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from underfoot.api import (
    Facts,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    find_barred,
    list_barring,
)
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Subjects:
    """Every lead with every fixture of its room that no lead can pass."""
    total = sum(len(room.room.leads) * len(list_barring(room)) for room in facts.rooms.values())
    return Subjects(tuple(_near(facts)), total)


def _near(facts: Facts) -> Iterator[Subject]:
    for room in facts.rooms.values():
        for which, place, length in find_barred(room):
            lead = room.leads[which]
            fixture, polygon = list_barring(room)[place]
            thing = (lead, fixture, polygon, length)
            yield Subject(room.id, (lead.lead.id, fixture.id), lead.lead.path, thing)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Find more of the lead inside the fixture than the tolerance."""
    lead, fixture, polygon, length = subject.thing
    if not above(length, limits["tolerance"]):
        return None
    name = lead.lead.id
    if fixture.kind == "fixings":
        why = "whose fixings go through the floor"
    elif fixture.kind == "structure":
        why = "which is part of the building"
    else:
        why = "which stands on the subfloor"
    return Finding(
        message=f"Lead {name} runs {{measured}} through {fixture.id} ({fixture.kind}), {why}.",
        remedy=f"Take {name} round {fixture.id}.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(lead.line, polygon),
        related=(fixture.path,),
    )


RULE = Rule(
    id="lead-under-fixture",
    topic="leads",
    severities=("error",),
    finds="a lead through fixings, through structure, or under what stands on the subfloor",
    why="A screw through a live lead, or a lead crushed under a unit, is found by the fault alone.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("tolerance", 1, "mm", "length of lead that may lie under it", "lower"),),
    electrical=True,
    protects_life=True,
)
