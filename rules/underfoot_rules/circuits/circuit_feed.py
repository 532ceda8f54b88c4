"""Strips that no lead of their circuit feeds."""

import math
from collections.abc import Iterator
from difflib import get_close_matches

from msgspec.structs import replace

from underfoot.api.facts import (
    CircuitFacts,
    Facts,
    RoomFacts,
    element_current_a,
    gather_circuit_leads,
    strips_of,
)
from underfoot.api.plan import Element, Lead, Stop
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.trying import DOORWAYS, LEADS, MOST_STRIPS, Fault, find_brought

# A circuit that no lead feeds, or a strip.
Unfed = CircuitFacts | tuple[RoomFacts, Element]


def subjects(facts: Facts) -> Subjects[Unfed]:
    """Every circuit with strips, every strip."""
    circuits = [circuit for circuit in facts.circuits.values() if circuit.elements]
    return Subjects(candidates=tuple(_doubtful(facts)), total=len(circuits) + len(facts.elements))


def _doubtful(facts: Facts) -> Iterator[Subject[Unfed]]:
    # Whole circuits come first: one that no lead feeds speaks for its strips.
    for subject in facts.circuit_subjects:
        if subject.items[0] not in facts.once(gather_circuit_leads):
            yield subject
    for room in facts.heated_rooms:
        for element in room.elements:
            if element.id not in facts.fed:
                yield Subject(
                    room=room.id, items=(element.id,), path=element.path, payload=(room, element)
                )


def check(subject: Subject[Unfed], facts: Facts, limits: Limits) -> Finding | None:
    """Follow the leads of each circuit from the junction box, through strips fed on from."""
    if isinstance(subject.payload, CircuitFacts):
        return _unfed_circuit(subject.payload, facts)
    room, element = subject.payload
    return _unfed_strip(element, room, facts)


def _unfed_circuit(circuit: CircuitFacts, facts: Facts) -> Finding:
    strips = [element.id for element in circuit.elements]
    naming = [
        lead
        for name in circuit.rooms
        for lead in facts.plan.rooms[name].leads
        if not set(strips).isdisjoint(strips_of(lead))
    ]
    if naming:
        other = naming[0]
        return Finding(
            message=f"Circuit {circuit.id} has no lead: {other.id}, which names its strips, is on "
            f"circuit {other.circuit}.",
            remedy=f"Write `circuit: {circuit.id}` in {other.id} if it is that circuit's lead; "
            f"else draw a lead of circuit {circuit.id}, and leave its strips out of {other.id}.",
            related=tuple(lead.path for lead in naming),
        )
    return Finding(
        message=f"Circuit {circuit.id} has no lead: nothing joins its "
        f"{f'{len(strips)} strips' if len(strips) > 1 else f'strip {strips[0]}'} to the junction "
        "box.",
        remedy=f"Draw a lead with `circuit: {circuit.id}` and a route from `junction-box` along "
        "the border to each of its strips.",
        related=tuple(element.path for element in circuit.elements),
    )


def _unfed_strip(element: Element, room: RoomFacts, facts: Facts) -> Finding:
    name = element.id
    shape = room.strips[room.place_of[name]]
    if element.circuit is None or element.circuit not in facts.circuits:
        message = (
            f"Strip {name} is on no circuit."
            if element.circuit is None
            else f"Strip {name} is on circuit {element.circuit}, which the plan does not have."
        )
        return Finding(message=message, remedy=_offer_circuit(element, room, facts), shape=shape)
    naming = facts.once(_find_naming).get((room.id, name), [])
    own = [lead.id for lead in naming if lead.circuit == element.circuit]
    message = f"No lead of circuit {element.circuit} joins strip {name} to the junction box: "
    if own:
        what = "names it but does not begin" if len(own) == 1 else "name it but do not begin"
        message += f"{join_names(own)} {what} there."
        remedy = (
            f"Begin the route of {own[0]} at `junction-box`, or at a strip of circuit "
            f"{element.circuit} that is fed."
        )
    elif naming:
        other = naming[0]
        message += f"lead {other.id}, which names it, is on circuit {other.circuit}."
        remedy = (
            f"Put {name} on circuit {other.circuit}, or take it out of {other.id} and into the "
            f"route of a lead of circuit {element.circuit}."
        )
    else:
        message += "no lead names it."
        remedy = _offer_lead(element, room, facts)
    return Finding(
        message=message, remedy=remedy, shape=shape, related=tuple(lead.path for lead in naming)
    )


def _find_naming(facts: Facts) -> dict[tuple[str, str], list[Lead]]:
    """Find the leads of a room that name a strip of it, by room and strip."""
    naming: dict[tuple[str, str], list[Lead]] = {}
    for room in facts.heated_rooms:
        for lead in room.drawn.leads:
            for strip in strips_of(lead):
                naming.setdefault((room.id, strip), []).append(lead)
    return naming


def _offer_circuit(element: Element, room: RoomFacts, facts: Facts) -> str:
    """Name the circuit meant, else the nearest strip's, and what it would draw."""
    close = get_close_matches(element.circuit or "", list(facts.circuits), 1, 0.7)
    near = _nearest(element, room, [e for e in room.elements if e.circuit in facts.circuits])
    circuit = close[0] if close else near.circuit if near is not None else None
    if circuit is None:
        return f"Give {element.id} a circuit, and draw a lead of that circuit to it."
    meant = "" if close or near is None else f" as {near.id} nearby has"
    added_a = element_current_a(element, facts.plan.supply.voltage_v)
    current = format_quantity(facts.circuits[circuit].current_a + added_a, "A")
    return f"Write `circuit: {circuit}`{meant}; that circuit would then draw {current}."


def _offer_lead(element: Element, room: RoomFacts, facts: Facts) -> str:
    """Name the route and the place in it that the strip belongs in."""
    leads = [lead for lead in room.drawn.leads if lead.circuit == element.circuit]
    named = {strip: lead for lead in leads for strip in strips_of(lead)}
    near = _nearest(element, room, [e for e in room.elements if e.id in named])
    if near is not None:
        return _offer_place(element, room, facts, named[near.id], near.id)
    if leads:
        return f"Put {element.id} into the route of {leads[0].id}."
    return (
        f"Draw a lead with `circuit: {element.circuit}` in room {room.id}, from `junction-box` to "
        f"{element.id}."
    )


def _offer_place(element: Element, room: RoomFacts, facts: Facts, lead: Lead, near: str) -> str:
    """Name the strip behind which a strip comes in a lead's route, where the lead then lies right.

    That is the nearest strip, or the one before it; else the words say what must hold.
    """
    if not facts.is_advised:
        return ""
    at = next(place for place, stop in enumerate(lead.route) if stop.element == near)
    before = lead.route[at - 1].element if at else None
    brought: tuple[Fault, ...] = ()
    for place, beside in ((at + 1, near), (at, before)):
        if beside is None or len(room.elements) > MOST_STRIPS:
            continue
        stop = Stop(kind="strip", path=lead.path, element=element.id, end=element.connected)
        route = (*lead.route[:place], stop, *lead.route[place:])
        leads = tuple(
            replace(each, route=route) if each.id == lead.id else each for each in room.drawn.leads
        )
        found = find_brought(facts, room, replace(room.drawn, leads=leads), (*LEADS, *DOORWAYS))
        if not found:
            return f"Put {element.id} into the route of {lead.id}, next to {beside}."
        brought = brought or found
    rough = f"Take lead {lead.id} to {element.id} as well, which lies nearest to {near}"
    return f"{rough}; {join_clauses(list_what_to_see_to(brought))}." if brought else f"{rough}."


def _nearest(element: Element, room: RoomFacts, others: list[Element]) -> Element | None:
    """Return the strip whose middle lies nearest, the first listed of equals."""
    middles = room.corners.mean(axis=1)
    x, y = middles[room.place_of[element.id]]
    return min(
        (other for other in others if other.id != element.id),
        key=lambda other: math.dist((x, y), middles[room.place_of[other.id]]),
        default=None,
    )


RULE = Rule(
    finds="a strip that no lead of its circuit joins to the junction box",
    why="A strip fed by nothing stays cold; one fed by another circuit is live with its own off.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
