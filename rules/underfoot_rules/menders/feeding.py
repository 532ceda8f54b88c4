"""Joins every strip to the box by a lead of its own circuit, and to no other."""

import math
from collections.abc import Iterator
from difflib import get_close_matches

from underfoot.api.facts import CircuitFacts, RoomFacts, strips_of
from underfoot.api.plan import Element, Lead
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, join_names
from underfoot_rules.circuits.circuits_joined import list_joined
from underfoot_rules.menders.joining import (
    add_lead,
    draw_lead,
    find_lead,
    leave_stops_out,
    put_into_lead,
    put_on_circuit,
    remove_lead,
    write_lead,
)
from underfoot_rules.menders.laid import is_cut, is_laid
from underfoot_rules.menders.spelled import new_name
from underfoot_rules.menders.written import change, look_up

# No more circuits are tried for a strip that is on none.
_MOST_CIRCUITS = 3


def feed(found: ToMend) -> Iterator[Proposal]:
    """Propose what joins a circuit, or a strip, to the box."""
    if found.room is None:
        circuit = found.facts.circuits.get(found.items[0])
        if circuit is not None:
            yield from _feed_circuit(found, circuit)
        return
    room = found.facts.rooms[found.room]
    if is_laid(found.facts, room.id):
        return
    element = room.elements[room.place_of[found.items[0]]]
    naming = [lead for lead in room.drawn.leads if element.id in strips_of(lead)]
    if element.circuit is None or element.circuit not in found.facts.circuits:
        yield from _give_circuit(found, room, element, naming)
        return
    others = [lead for lead in naming if lead.circuit != element.circuit]
    misnamed = others or _list_before(room, naming)
    for lead in misnamed:
        if _joins_alone(room, lead, element.circuit):
            yield _rename(found, room.id, lead, element.circuit)
            return
    if others:
        yield from _part_from(found, room, element, others[0])
    else:
        yield from _join(found, room, element, element.circuit)


def _list_before(room: RoomFacts, leads: list[Lead]) -> list[Lead]:
    """List the leads of other circuits which join the strip that a lead goes on from."""
    first = {strips_of(lead)[0]: lead for lead in leads}
    return [
        lead
        for lead in room.drawn.leads
        for name, later in first.items()
        if name in strips_of(lead) and lead.circuit != later.circuit
    ]


def _joins_alone(room: RoomFacts, lead: Lead, circuit: str) -> bool:
    """Tell whether a lead of another circuit joins strips of this one alone."""
    own = {each.id for each in room.elements if each.circuit == circuit}
    return lead.circuit != circuit and own.issuperset(strips_of(lead))


def _feed_circuit(found: ToMend, circuit: CircuitFacts) -> Iterator[Proposal]:
    """Propose that a lead which names its strips is the circuit's, or a lead of its own."""
    if any(is_laid(found.facts, name) for name in circuit.rooms):
        return
    own = {element.id for element in circuit.elements}
    misnamed = [
        (name, lead)
        for name in circuit.rooms
        for lead in found.facts.plan.rooms[name].leads
        if own.issuperset(strips_of(lead)) and strips_of(lead)
    ]
    for name, lead in misnamed:
        yield _rename(found, name, lead, circuit.id)
    if misnamed:
        return
    steps: list[Proposal] = []
    for name in circuit.rooms:
        room = found.facts.rooms[name]
        strips = [each for each in room.elements if each.circuit == circuit.id]
        drawn = _draw(found, room, circuit.id, strips)
        if drawn is None:
            return
        steps.append(drawn)
    yield Proposal(
        says=" ".join(step.says for step in steps),
        edits=tuple(edit for step in steps for edit in step.edits),
    )


def _rename(found: ToMend, room: str, lead: Lead, circuit: str) -> Proposal:
    path = ("rooms", room, "leads", lead.id, "circuit")
    return Proposal(
        says=f"Put lead {lead.id} on circuit {circuit}.",
        edits=(change(found.data, path, circuit),),
    )


def _draw(found: ToMend, room: RoomFacts, circuit: str, strips: list[Element]) -> Proposal | None:
    """Draw a lead like those that the room has, or had."""
    taken = {lead.id for each in found.facts.plan.rooms.values() for lead in each.leads}
    name = new_name(taken, "W")
    told = {"size": f"{_size(found):g} mm2", "recessed": True}
    for like in room.drawn.leads:
        written = look_up(found.data, ("rooms", room.id, "leads", like.id)) or {}
        told = {key: written[key] for key in ("size", "width", "thickness", "recessed")
                if key in written}  # fmt: skip
    like_it = next(iter(room.drawn.leads), Lead(id=name, path="", circuit=circuit, route=()))
    lead = Lead(
        id=name,
        path="",
        circuit=circuit,
        route=(),
        size_mm2=like_it.size_mm2,
        width=like_it.width,
        thickness=like_it.thickness,
    )
    drawn = draw_lead(found.facts, room, lead, strips)
    if drawn is None:
        return None
    names = join_names([each.id for each in strips]) if len(strips) < 4 else f"{len(strips)} strips"
    return Proposal(
        says=f"Draw lead {name} of circuit {circuit} from the junction box to {names}.",
        edits=add_lead(room, drawn, told),
    )


def _size(found: ToMend) -> float:
    """Choose the least size for fixed wiring, where no lead of the room tells one."""
    limits = found.facts.limits["conductor-size"]
    return max(1.5, limits["smallest"])


def _give_circuit(
    found: ToMend, room: RoomFacts, element: Element, naming: list[Lead]
) -> Iterator[Proposal]:
    """Propose the circuit that is named almost so, that of a lead, or that of a strip nearby."""
    if is_cut(found.facts, room.id):
        return
    known = found.facts.circuits
    close = get_close_matches(element.circuit or "", list(known), 1, 0.7)
    near = sorted(
        (each for each in room.elements if each.circuit in known),
        key=lambda each: math.dist(_middle(room, each), _middle(room, element)),
    )
    tried = dict.fromkeys(
        (*close, *(lead.circuit for lead in naming), *(str(each.circuit) for each in near))
    )
    for circuit in list(tried)[:_MOST_CIRCUITS]:
        edits = put_on_circuit(found, room.id, [element], circuit)
        says = f"Put {element.id} on circuit {circuit}"
        if any(lead.circuit == circuit for lead in naming):
            yield Proposal(says=f"{says}.", edits=edits)
            continue
        for step in _join(found, room, element, circuit):
            yield Proposal(says=f"{says}. {step.says}", edits=(*edits, *step.edits))


def _join(found: ToMend, room: RoomFacts, element: Element, circuit: str) -> Iterator[Proposal]:
    """Propose to take a lead of a circuit on to a strip, or to draw one to it."""
    for lead in room.drawn.leads:
        if lead.circuit != circuit or element.id in strips_of(lead):
            continue
        longer = put_into_lead(found.facts, room, lead, element)
        if longer is not None:
            yield Proposal(
                says=f"Take lead {lead.id} on to {element.id}.",
                edits=write_lead(found, room, longer),
            )
    if not any(element.id in strips_of(lead) for lead in room.drawn.leads):
        drawn = _draw(found, room, circuit, [element])
        if drawn is not None:
            yield drawn


def _part_from(found: ToMend, room: RoomFacts, element: Element, lead: Lead) -> Iterator[Proposal]:
    """Propose that a strip is on the circuit of its lead, else that another lead joins it."""
    if lead.circuit in found.facts.circuits and not is_cut(found.facts, room.id):
        yield Proposal(
            says=f"Put {element.id} on circuit {lead.circuit}, whose lead {lead.id} joins it.",
            edits=put_on_circuit(found, room.id, [element], lead.circuit),
        )
    shorter = leave_stops_out(lead, [element.id])
    if shorter is None:
        return
    for step in _join(found, room, element, str(element.circuit)):
        yield Proposal(
            says=f"Leave {element.id} out of lead {lead.id}. {step.says}",
            edits=(*write_lead(found, room, shorter), *step.edits),
        )


def part_circuits(found: ToMend) -> Iterator[Proposal]:
    """Propose that a lead joins the strips of one circuit alone."""
    room = found.room_facts
    if is_laid(found.facts, room.id):
        return
    lead = find_lead(room, found.items[0])
    joined = list_joined(lead, room, found.facts)
    if lead.circuit not in joined:
        if len(joined) == 1:
            yield _rename(found, room.id, lead, next(iter(joined)))
        others = {name for each in room.drawn.leads if each is not lead for name in strips_of(each)}
        if others.issuperset(strips_of(lead)):
            yield Proposal(
                says=f"Leave out lead {lead.id}: what it joins is fed without it.",
                edits=remove_lead(room, lead.id),
            )
        return
    foreign = [
        name for circuit, names in joined.items() if circuit != lead.circuit for name in names
    ]
    if found.facts.fed.issuperset(foreign):
        yield _leave_foreign(found, room, lead, foreign)
    if not is_cut(found.facts, room.id):
        strips = [room.elements[room.place_of[name]] for name in foreign]
        them = "them" if len(foreign) > 1 else "it"
        yield Proposal(
            says=f"Put {join_names(foreign)} on circuit {lead.circuit}, whose lead {lead.id} "
            f"joins {them}.",
            edits=put_on_circuit(found, room.id, strips, lead.circuit),
        )
    # What nothing else feeds is not left to itself.
    if len(foreign) == 1 and foreign[0] not in found.facts.fed:
        element = room.elements[room.place_of[foreign[0]]]
        parted = _leave_foreign(found, room, lead, foreign)
        for step in _join(found, room, element, str(element.circuit)):
            yield Proposal(says=f"{parted.says} {step.says}", edits=(*parted.edits, *step.edits))


def _leave_foreign(found: ToMend, room: RoomFacts, lead: Lead, foreign: list[str]) -> Proposal:
    shorter = leave_stops_out(lead, foreign)
    edits: tuple[Edit, ...] = (
        remove_lead(room, lead.id) if shorter is None else write_lead(found, room, shorter)
    )
    return Proposal(says=f"Leave {join_names(foreign)} out of lead {lead.id}.", edits=edits)


def _middle(room: RoomFacts, element: Element) -> tuple[float, float]:
    x, y = room.corners[room.place_of[element.id]].mean(axis=0).tolist()
    return x, y


def leave_circuit_out(found: ToMend) -> Iterator[Proposal]:
    """Propose to leave out a circuit that has no strips; one that anything names cannot be."""
    if not found.items or is_cut(found.facts, None):
        return
    path = ("circuits", found.items[0])
    if look_up(found.data, path) is not None:
        yield Proposal(
            says=f"Leave out circuit {found.items[0]}, which has no strips.",
            edits=(Edit(op="remove", path=path),),
        )


MENDERS = (
    Mender(rule="nothing-heated", propose=leave_circuit_out),
    Mender(rule="circuit-feed", propose=feed),
    Mender(rule="circuits-joined", propose=part_circuits),
)
