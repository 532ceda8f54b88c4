"""A lead that leaves the room."""

from __future__ import annotations

import shapely

from underfoot.api import (
    CannotTell,
    Facts,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    above,
    find_lengths_outside,
)
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every lead."""
    return tuple(
        Subject(room.id, (lead.lead.id,), lead.lead.path, (room, lead, length))
        for room in facts.rooms.values()
        if room.room.leads
        for lead, length in zip(room.leads, find_lengths_outside(room), strict=True)
    )


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure the length outside the outline; along the wall is inside."""
    room, lead, length = subject.thing
    if lead.line is None:
        return CannotTell(
            "the lead's way is not drawn: its route has fewer than two places",
            "Draw its way: `route`, from the `junction-box` to each strip.",
        )
    if not above(length, limits["tolerance"]):
        return None
    return Finding(
        message=f"Lead {lead.lead.id} runs outside the room for {{measured}}.",
        remedy=f"Draw {lead.lead.id} inside the outline, in the border along the wall; a lead that "
        "does go through a wall needs a sleeve there and a junction box of its own beyond it.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.difference(lead.line, room.outline),
    )


RULE = Rule(
    id="lead-outside-room",
    topic="leads",
    severities=("error",),
    finds="a lead that leaves the outline",
    why="Nobody can lay a lead through a wall as if it were floor, nor find it there again.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("tolerance", 1, "mm", "length of lead that may lie outside", "lower"),),
    electrical=True,
    protects_life=True,
)
