"""Rooms, circuits and whole plans in which there is nothing to heat."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects, join_names
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Subjects[RoomFacts | None]:
    """The plan, every room, every circuit; a plan without strips speaks for all of them."""
    return Subjects(
        candidates=tuple(_without_strips(facts)), total=1 + len(facts.rooms) + len(facts.circuits)
    )


def _without_strips(facts: Facts) -> Iterator[Subject[RoomFacts | None]]:
    if not facts.elements:
        yield Subject(room=None, items=(), path="rooms")
        return
    for room in facts.rooms.values():
        if not room.elements and (room.drawn.leads or room.drawn.sensor is not None):
            yield Subject(room=room.id, items=(), path=room.path, payload=room)
    heads = {circuit.protection for circuit in facts.circuits.values() if circuit.elements}
    for circuit in facts.circuits.values():
        if not circuit.elements and circuit.id not in heads:
            yield Subject(room=None, items=(circuit.id,), path=circuit.path)


def check(subject: Subject[RoomFacts | None], facts: Facts, limits: Limits) -> Finding | None:
    """Say what is drawn for strips that are not there."""
    if subject.payload is not None:
        return _empty_room(subject.payload)
    if subject.items:
        return _empty_circuit(subject.items[0])
    return Finding(
        message="The plan has no strips: nothing in it is heated, and hardly anything of it could "
        "be judged.",
        remedy="Draw the strips of each room (`rows` or `elements`), then check it again.",
        severity="error",
    )


def _empty_room(room: RoomFacts) -> Finding:
    leads = [lead.id for lead in room.drawn.leads]
    has = [f"lead{'s' if len(leads) > 1 else ''} {join_names(leads)}"] if leads else []
    if room.drawn.sensor is not None:
        has.append("a floor sensor")
    live = " Under its floor live leads would end in nothing." if leads else ""
    return Finding(
        message=f"Room {room.id} has {' and '.join(has)}, but no strips: nothing in it is heated, "
        f"and no strip of it was judged.{live}",
        remedy="Draw its strips (`rows` or `elements`); or, where it is not to be heated, take out "
        "what is drawn for them.",
        severity="error" if leads else "warning",
        related=tuple(lead.path for lead in room.drawn.leads),
    )


def _empty_circuit(circuit: str) -> Finding:
    return Finding(
        message=f"Circuit {circuit} has no strips, and no other circuit hangs on its protection.",
        remedy=f"Write `circuit: {circuit}` at the rows or strips that it is to feed, or leave it "
        "out.",
        severity="warning",
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a plan, a room or a circuit that has no strips",
    why="Strips that are not on the plan are laid all the same, and nobody has judged them.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
