"""A lead thicker than the insulation that it lies in, or said to be thinner than its copper."""

import math

from underfoot.api.facts import Facts, LaidLead, RoomFacts, find_insulation_below, size_lead
from underfoot.api.plan import Lead
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    below,
    format_quantity,
)
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject[tuple[RoomFacts, LaidLead]], ...]:
    """Every lead."""
    return tuple(
        Subject(room=room.id, items=(laid.lead.id,), path=laid.lead.path, payload=(room, laid))
        for room in facts.rooms.values()
        for laid in room.leads
    )


def check(
    subject: Subject[tuple[RoomFacts, LaidLead]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the lead's thickness with the insulation under its whole way."""
    room, laid = subject.payload
    lead = laid.lead
    thin = _thinner_than_copper(lead)
    if thin is not None:
        return thin
    if lead.recessed is False or not laid.places:
        return None  # lead-recessed and lead-outside-room speak
    if room.drawn.insulation is None:
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
            related=() if room.drawn.insulation is None else (room.drawn.insulation.path,),
        )
    if lead.size_text is None and lead.thickness is None:
        return CannotTell(
            why=f"neither the size nor the thickness of lead {lead.id} is given",
            write=f"Write the `size` of lead {lead.id}, or its `thickness`.",
        )
    return None


def _thinner_than_copper(lead: Lead) -> Finding | None:
    """Tell a thickness in which the bare conductors would not lie, flat ones included.

    Round ones lie side by side; where the width is written, two flat ones may fill it.
    """
    if lead.thickness is None or lead.size_mm2 is None:
        return None
    if lead.width is None:
        least = 2 * math.sqrt(lead.size_mm2 / math.pi)
        within = ""
    else:
        least = 2 * lead.size_mm2 / lead.width
        within = f" in a width of {format_quantity(lead.width, 'mm')}"
    if not below(lead.thickness, least):
        return None
    return Finding(
        message=f"Lead {lead.id} is said to be {{measured}} thick; its two bare conductors of "
        f"{lead.size_text} alone need {{limit}}{within}.",
        remedy=f"Measure {lead.id} over its insulation and write that (`thickness`); left out, "
        "the least for its size is taken.",
        measured=lead.thickness,
        least=least,
    )


RULE = Rule(
    finds="a lead thicker than the insulation that it is recessed in, or said to be thinner than "
    "its bare copper",
    why="A lead that stands proud is pressed by every step until its insulation gives way.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    protects_life=True,
    electrical=True,
)
