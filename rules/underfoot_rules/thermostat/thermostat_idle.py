"""A thermostat that switches nothing."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.thermostat.switching import find_circuits_in


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every thermostat drawn."""
    return tuple(
        Subject(
            room=name, items=("thermostat",), path=room.thermostat.path, payload=facts.rooms[name]
        )
        for name, room in facts.plan.rooms.items()
        if room.thermostat is not None
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Look for a circuit with strips that names it."""
    name = subject.room or ""
    if name in facts.switched:
        return None
    empty = [each.id for each in facts.circuits.values() if each.circuit.thermostat == name]
    why = "no circuit names it"
    if empty:
        why = (
            f"circuit {empty[0]}, which names it, has no strips"
            if len(empty) == 1
            else f"circuits {join_names(empty)}, which name it, have no strips"
        )
    here = [each.id for each in find_circuits_in(subject.payload, facts.circuits)]
    if here:
        remedy = (
            f"Write `thermostat: {name}` in circuit{'s' if len(here) > 1 else ''} "
            f"{join_names(here)}, which heat this room; or leave the thermostat out."
        )
        if len(here) == 1:
            remedy = remedy.replace("which heat ", "which heats ")
    else:
        remedy = f"Write `thermostat: {name}` in the circuit that it is meant for; or leave it out."
    return Finding(
        message=f"The thermostat of room {name} switches nothing: {why}.",
        remedy=remedy,
        related=tuple(facts.circuits[each].path for each in empty),
    )


RULE = Rule(
    severities=("warning",),
    finds="a thermostat that switches no strip",
    why="Whoever turns such a dial down believes the floor to be off while it heats on.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
