"""A lead that runs under a strip."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from underfoot.api import Facts, Finding, Limit, Limits, Rule, Subject, Subjects, above
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Subjects:
    """Every lead with every strip of its room."""
    total = sum(len(room.leads) * len(room.elements) for room in facts.heated_rooms)
    return Subjects(tuple(_near(facts)), total)


def _near(facts: Facts) -> Iterator[Subject]:
    for room in facts.heated_rooms:
        for which, place, length in room.leads_under_strips:
            lead = room.leads[which]
            yield Subject(
                room.id,
                (lead.lead.id, room.elements[place].id),
                lead.lead.path,
                (room, lead, place, length),
            )


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Find more of the lead inside the strip than the tolerance; along its edge is not under."""
    room, lead, place, length = subject.thing
    if not above(length, limits["tolerance"]):
        return None
    name, strip = subject.items
    return Finding(
        message=f"Lead {name} runs under strip {strip} for {{measured}}.",
        remedy=f"Take {name} round {strip}: along the walls, in the border that no strip covers, "
        "and to each strip from its end.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(lead.line, room.strips[place]),
        related=(room.elements[place].path,),
    )


RULE = Rule(
    id="lead-under-element",
    topic="leads",
    severities=("error",),
    finds="a lead that runs under a strip",
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
