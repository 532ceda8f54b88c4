"""A lead that crosses another or lies on it, or on itself."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts, find_insulation_below, size_lead
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    format_at_least,
    format_quantity,
    join_names,
    point_text,
)
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.leads.leads_together import LeadOnLeads, find_leads_together


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, LeadOnLeads]]:
    """Every lead, with those of its room that come before it by name, and with itself."""
    total = sum(len(room.drawn.leads) for room in facts.rooms.values())
    return Subjects(candidates=tuple(_together(facts)), total=total)


def _together(facts: Facts) -> Iterator[Subject[tuple[RoomFacts, LeadOnLeads]]]:
    for room in facts.rooms.values():
        for found in find_leads_together(room):
            lead = room.leads[found.which].lead
            yield Subject(room=room.id, items=(lead.id,), path=lead.path, payload=(room, found))


def check(subject: Subject[tuple[RoomFacts, LeadOnLeads]], facts: Facts, limits: Limits) -> Finding:
    """Tell each; an error where the two together are thicker than the insulation."""
    room, found = subject.payload
    (name,) = subject.items
    lead = room.leads[found.which].lead
    others = [room.leads[which].lead for which in found.on]
    size, sizes = size_lead(lead), [size_lead(other) for other in others]
    widest = max(sizes, key=lambda each: each.width)
    itself = others == [lead]
    named = "itself" if itself else f"lead {join_names([other.id for other in others])}"
    deep = size.thickness + max(each.thickness for each in sizes)
    board = find_insulation_below(room, (found.place,))
    proud = not isinstance(board, CannotTell) and above(deep, board)
    message = (
        f"Lead {name} crosses or lies on {named} at {point_text(*found.place)}, over {{measured}} "
        f"of floor: there one lies on the other, {format_quantity(deep, 'mm')} thick"
    )
    if proud and not isinstance(board, CannotTell):
        message += f", in insulation of {format_quantity(board, 'mm', deep)}"
    apart = format_at_least((size.width + widest.width) / 2, "mm")
    return Finding(
        message=f"{message}.",
        remedy=f"Lay the two ways of {name} side by side, their middles at least {apart} apart."
        if itself
        else f"Lay {name} beside it, their middles at least {apart} apart, and let the lead that "
        "goes farther lie nearer to the wall, so that none need cross.",
        measured=found.length,
        most=0.0,
        severity="error" if proud else "warning",
        shape=found.shape,
        related=tuple(other.path for other in others if other is not lead),
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a lead that crosses another or lies on it, away from the box and the joints they share",
    why="Two leads on each other stand proud of their groove, and each warms the other.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    protects_life=True,
    electrical=True,
)
