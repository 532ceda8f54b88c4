"""A lead that runs under a strip."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from underfoot.api.facts import Facts, LaidLead, RoomFacts, find_under_strips, size_lead
from underfoot.api.rules import (
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    format_at_least,
    format_quantity,
)
from underfoot_rules.basis import COMMON_PRACTICE

# A lead, a strip by its place in the room, and the length of the lead under it.
LeadUnder = tuple[RoomFacts, LaidLead, int, float]

# What lies so near to an edge lies on it (mm).
EDGE = 0.001


def subjects(facts: Facts) -> Subjects[LeadUnder]:
    """Every lead with every strip of its room."""
    total = sum(len(room.leads) * len(room.elements) for room in facts.heated_rooms)
    return Subjects(tuple(_near(facts)), total)


def _near(facts: Facts) -> Iterator[Subject[LeadUnder]]:
    for room in facts.heated_rooms:
        for which, place, length in find_under_strips(room):
            lead = room.leads[which]
            yield Subject(
                room.id,
                (lead.lead.id, room.elements[place].id),
                lead.lead.path,
                (room, lead, place, length),
            )


def check(subject: Subject[LeadUnder], facts: Facts, limits: Limits) -> Finding | None:
    """Find more of the lead, with its width, under the strip than the tolerance."""
    room, lead, place, length = subject.payload
    if not above(length, limits["tolerance"]):
        return None
    name, strip = subject.items
    size = size_lead(lead.lead)
    corners = room.strips[place]
    under = shapely.intersection(lead.line, shapely.buffer(corners, -EDGE))
    if above(under.length, limits["tolerance"]):
        message = f"Lead {name} runs under strip {strip} for {{measured}}."
        shape = shapely.intersection(lead.line, corners)
    else:
        wide = format_quantity(size.width, "mm")
        message = (
            f"Lead {name} is {wide} wide and lies with a part of that under the edge of strip "
            f"{strip} for {{measured}}."
        )
        beside = shapely.buffer(corners, size.width / 2, join_style="mitre")
        shape = shapely.intersection(lead.line, beside)
    return Finding(
        message=message,
        remedy=f"Take {name} round {strip}: along the walls, in the border that no strip covers, "
        f"its middle at least {format_at_least(size.width / 2, 'mm')} from every strip, and to "
        "each "
        "strip from its end.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shape,
        related=(room.elements[place].path,),
    )


RULE = Rule(
    id="lead-under-element",
    topic="leads",
    severities=("error",),
    finds="a lead that lies under a strip with some of its width",
    why="A lead under a strip is heated from above by the strip and from within by its current.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("tolerance", 1, "mm", "length of lead that may lie under a strip", "lower"),),
    electrical=True,
    protects_life=True,
)
