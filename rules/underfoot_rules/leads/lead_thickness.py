"""A lead thicker than the insulation that it is recessed in."""

from __future__ import annotations

from underfoot.api import (
    CannotTell,
    Facts,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    find_insulation_below,
    size_lead,
)
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every lead."""
    return tuple(
        Subject(room.id, (laid.lead.id,), laid.lead.path, (room, laid))
        for room in facts.rooms.values()
        for laid in room.leads
    )


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the lead's thickness with the insulation under its whole way."""
    room, laid = subject.thing
    lead = laid.lead
    if lead.recessed is False or not laid.places:
        return None  # lead-recessed and lead-outside-room speak
    if room.room.insulation is None:
        # A room without heating has a floor of its own.
        return NO_INSULATION if room.elements else None
    thickness = find_insulation_below(room, laid.places)
    if isinstance(thickness, CannotTell):
        return thickness
    size = size_lead(lead)
    if above(size.thickness, thickness):
        taken = f" ({size.taken_from})" if size.taken_from else ""
        return Finding(
            message=f"Lead {lead.id} is {{measured}} thick{taken}, and the insulation that it is "
            "let into only {limit}: it stands proud, and every step presses on it.",
            remedy=f"Take a thinner lead for {lead.id}, lay thicker insulation, or divide the "
            "circuit so that thinner conductors will do.",
            measured=size.thickness,
            most=thickness,
            related=() if room.room.insulation is None else (room.room.insulation.path,),
        )
    if lead.size_text is None and lead.thickness is None:
        return CannotTell(
            f"neither the size nor the thickness of lead {lead.id} is given",
            f"Write the `size` of lead {lead.id}, or its `thickness`.",
        )
    return None


RULE = Rule(
    id="lead-thickness",
    topic="leads",
    severities=("error",),
    finds="a lead thicker than the insulation that it is recessed in",
    why="A lead that stands proud is pressed by every step until its insulation gives way.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    protects_life=True,
    electrical=True,
)
