"""A lead that leaves the room."""

import shapely

from underfoot.api.facts import Facts, LaidLead, Outside, RoomFacts, find_lengths_outside, size_lead
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_at_least,
    format_quantity,
)
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, LaidLead, Outside]], ...]:
    """Every lead."""
    return tuple(
        Subject(
            room=room.id, items=(lead.lead.id,), path=lead.lead.path, payload=(room, lead, length)
        )
        for room in facts.rooms.values()
        if room.drawn.leads
        for lead, length in zip(room.leads, find_lengths_outside(room), strict=True)
    )


def check(
    subject: Subject[tuple[RoomFacts, LaidLead, Outside]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Measure the length outside the outline, with the lead's width; at the box is inside."""
    room, lead, outside = subject.payload
    name = lead.lead.id
    if lead.line is None:
        return CannotTell(
            why="the lead's way is not drawn: its route has fewer than two places",
            write="Draw its way: `route`, from the `junction-box` to each strip.",
        )
    if not above(outside.any_width, limits["tolerance"]):
        return None
    if facts.is_trial:
        return Finding(message="", remedy="", measured=outside.any_width, most=limits["tolerance"])
    half = size_lead(lead.lead).width / 2
    if above(outside.middle, limits["tolerance"]):
        return Finding(
            message=f"Lead {name} runs outside the room for {{measured}}.",
            remedy=f"Draw {name} inside the outline, in the border along the wall; a lead that "
            "does go through a wall needs a sleeve there and a junction box of its own beyond it.",
            measured=outside.any_width,
            most=limits["tolerance"],
            limit_key="tolerance",
            shape=shapely.difference(lead.line, room.outline),
        )
    return Finding(
        message=f"Lead {name} is {format_quantity(2 * half, 'mm')} wide and lies with a part of "
        "that in the wall for {measured}.",
        remedy=f"Draw {name} with its middle at least {format_at_least(half, 'mm')} from the wall: "
        "in the middle of the border along it.",
        measured=outside.any_width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(lead.line, shapely.buffer(room.walls, half)),
    )


RULE = Rule(
    finds="a lead that leaves the outline, or lies in the wall with some of its width",
    why="Nobody can lay a lead through a wall as if it were floor, nor find it there again.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "length of lead that may lie outside"),),
    electrical=True,
    protects_life=True,
)
