"""Leads that feed strips on more than one way."""

from underfoot.api.facts import Facts, RoomFacts, gather_leads
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects, join_names
from underfoot_rules.basis import common_practice
from underfoot_rules.leads.rings import Ring, find_ring


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, Ring]]:
    """The leads of each circuit, room by room."""
    found, total = [], 0
    for room in facts.rooms.values():
        by_circuit = gather_leads(room)
        total += len(by_circuit)
        for circuit, leads in by_circuit.items():
            ring = find_ring(leads)
            if ring is not None:
                path = next(lead.path for lead in leads if lead.id == ring.leads[0])
                found.append(
                    Subject(room=room.id, items=(circuit,), path=path, payload=(room, ring))
                )
    return Subjects(candidates=tuple(found), total=total)


def check(subject: Subject[tuple[RoomFacts, Ring]], facts: Facts, limits: Limits) -> Finding | None:
    """Say which leads close the ring, and which strips are fed twice."""
    room, ring = subject.payload
    (circuit,) = subject.items
    strips = [f"strip{'s' if len(ring.strips) > 1 else ''} {join_names(ring.strips)}"]
    if len(ring.strips) > 6:
        strips = [f"{len(ring.strips)} strips, {ring.strips[0]} to {ring.strips[-1]},"]
    one = len(ring.leads) == 1
    return Finding(
        message=f"Lead{'' if one else 's'} {join_names(ring.leads)} of circuit {circuit} feed"
        f"{'s' if one else ''} {strips[0]} by two ways: a ring.",
        remedy="Open the ring at one stop, so that one way leads from the junction box to each "
        "strip: leave that stop out of the route of "
        f"{ring.leads[-1]}{', or that lead altogether' if not one else ''}.",
        related=tuple(
            lead.path
            for lead in room.drawn.leads
            if lead.id in ring.leads and lead.path != subject.path
        ),
    )


RULE = Rule(
    severities=("warning",),
    finds="leads of one circuit that feed a strip by two ways",
    why="Nobody notices where a ring breaks: the other half goes on, and carries all of it.",
    basis=common_practice("one way from the box to each strip, which a test can follow"),
    subjects=subjects,
    check=check,
    electrical=True,
)
