"""Leads that join two circuits, so that strips are fed from both."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts, strips_of
from underfoot.api.plan import Lead
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects, join_names
from underfoot_rules.basis import common_practice

# A lead, and the strips that it joins by their circuit.
Joined = tuple[RoomFacts, Lead, dict[str, list[str]]]


def subjects(facts: Facts) -> Subjects[Joined]:
    """Every lead."""
    leads = sum(len(room.leads) for room in facts.plan.rooms.values())
    return Subjects(candidates=tuple(_doubtful(facts)), total=leads)


def _doubtful(facts: Facts) -> Iterator[Subject[Joined]]:
    for room in facts.heated_rooms:
        for lead in room.drawn.leads:
            strips = list_joined(lead, room, facts)
            if any(circuit != lead.circuit for circuit in strips):
                yield Subject(
                    room=room.id, items=(lead.id,), path=lead.path, payload=(room, lead, strips)
                )


def list_joined(lead: Lead, room: RoomFacts, facts: Facts) -> dict[str, list[str]]:
    """Gather the strips that a lead names by their circuit, those on no known one left out."""
    joined: dict[str, list[str]] = {}
    for strip in strips_of(lead):
        circuit = room.elements[room.place_of[strip]].circuit
        if circuit is not None and circuit in facts.circuits:
            joined.setdefault(circuit, []).append(strip)
    return joined


def check(subject: Subject[Joined], facts: Facts, limits: Limits) -> Finding | None:
    """Hold a lead's own circuit and those of its strips against one another."""
    room, lead, strips = subject.payload
    if len(strips) == 1 and facts.fed.isdisjoint(*strips.values()):
        return None  # nothing else feeds them: circuit-feed says so, strip by strip
    brings = len(strips) > 1 or any(stop.kind == "box" for stop in lead.route)
    if not brings:
        return _misnamed(lead, strips)
    circuits = list(dict.fromkeys((*strips, lead.circuit)))
    said = [
        f"{name} ({join_names(strips[name])})" if name in strips else f"{name} (its own)"
        for name in circuits
    ]
    return Finding(
        message=f"Lead {lead.id} joins circuits {join_names(said)}: "
        f"{_what_follows(circuits, facts)}.",
        remedy=_advise(lead, strips),
        shape=room.leads[room.drawn.leads.index(lead)].line,
        related=tuple(facts.circuits[name].path for name in circuits),
    )


def _what_follows(circuits: list[str], facts: Facts) -> str:
    known = [facts.circuits[name] for name in circuits]
    thermostats = list(dict.fromkeys(circuit.circuit.thermostat for circuit in known))
    follows = []
    if len({circuit.protection for circuit in known}) > 1:
        follows.append("with one breaker off, its strips stay live from the other")
    if len(thermostats) > 1:
        rooms = [f"of room {name}" for name in thermostats if name is not None]
        whose = f" ({join_names(rooms)})" if len(rooms) == len(thermostats) else ""
        follows.append(
            f"two thermostats{whose} switch its strips: where one has cut off, the other heats on"
        )
    return "; ".join(follows) or "what each of them draws can no longer be told apart"


def _advise(lead: Lead, strips: dict[str, list[str]]) -> str:
    if lead.circuit not in strips:
        (circuit, *_) = strips
        return (
            f"Write `circuit: {circuit}` in {lead.id} if it is that circuit's lead; else take "
            f"{join_names([name for names in strips.values() for name in names])} out of its route."
        )
    return (
        f"Give each circuit a lead of its own: leave in the route of {lead.id} the strips of "
        f"circuit {lead.circuit} only; or put all of its strips on one circuit."
    )


def _misnamed(lead: Lead, strips: dict[str, list[str]]) -> Finding:
    ((circuit, names),) = strips.items()
    return Finding(
        message=f"Lead {lead.id} is on circuit {lead.circuit}, but joins strips of circuit "
        f"{circuit} only ({join_names(names)}).",
        remedy=f"Write `circuit: {circuit}` in {lead.id}, or begin its route at `junction-box` and "
        f"join it to strips of circuit {lead.circuit}.",
        severity="warning",
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a lead that joins two circuits, so that strips are fed from both",
    why="A strip fed from two circuits is live, and heats, when one of them is switched off.",
    basis=common_practice("whoever switches a circuit off must find it dead"),
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
