"""Circuits that together draw more than the installation, or one of its phases, can spare."""

import math
from collections.abc import Iterable

from underfoot.api.facts import CircuitFacts, Facts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    format_at_least,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard

PHASES = ("L1", "L2", "L3")


def subjects(facts: Facts) -> tuple[Subject[list[CircuitFacts]], ...]:
    """The supply, where it feeds circuits with strips; of three phases each, and what has none."""
    supply = facts.plan.supply
    if not facts.protections:
        return ()
    circuits = [circuit for circuit in facts.circuits.values() if circuit.elements]
    if supply.phases == 1:
        return (Subject(room=None, items=(), path=supply.path, payload=circuits),)
    of: dict[str | None, list[CircuitFacts]] = {}
    for circuit in circuits:
        of.setdefault(facts.plan.circuits[circuit.protection].phase, []).append(circuit)
    found = [
        Subject(room=None, items=(phase,), path=supply.path, payload=of[phase])
        for phase in PHASES
        if phase in of
    ]
    if None in of:
        found.append(Subject(room=None, items=(), path=supply.path, payload=of[None]))
    return tuple(found)


def check(
    subject: Subject[list[CircuitFacts]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Add up the currents of all circuits, phase by phase where there are three."""
    supply = facts.plan.supply
    circuits = subject.payload
    if supply.available_a is None:
        return CannotTell(
            why="what the supply has available is not given",
            write="Write what the supply can spare: `supply.available`.",
        )
    if supply.phases == 3 and not subject.items:
        return _judge_unplaced(circuits, facts, supply.available_a)
    current_a = _add(circuits)
    if not above(current_a, supply.available_a):
        return None
    over = format_at_least(current_a - supply.available_a, "A")
    if subject.items:
        message = (
            f"The circuits on phase {subject.items[0]} together draw {{measured}}; each phase has "
            "{limit} available."
        )
        remedy = (
            f"Move circuits to another phase, or leave out strips, so that {over} less is drawn "
            "here."
        )
    else:
        message = "All circuits together draw {measured}; the supply has {limit} available."
        remedy = (
            f"Leave out strips or take a weaker film, so that {over} less is drawn; or have the "
            "supply made stronger, or the circuits switched so that they never run all at once."
        )
    return Finding(
        message=message,
        remedy=remedy,
        measured=current_a,
        most=supply.available_a,
        details=_each(circuits),
    )


def _judge_unplaced(
    circuits: list[CircuitFacts], facts: Facts, available_a: float
) -> Finding | CannotTell | None:
    """Judge circuits of which no phase is written: by the worst way to place them, and the best."""
    placed_a = dict.fromkeys(PHASES, 0.0)
    for circuit in facts.circuits.values():
        phase = facts.plan.circuits[circuit.protection].phase
        if circuit.elements and phase is not None:
            placed_a[phase] += circuit.current_a
    current_a = _add(circuits)
    if not above(max(placed_a.values()) + current_a, available_a):
        return None
    left_a = math.fsum(max(0.0, available_a - each) for each in placed_a.values())
    if above(current_a, left_a):
        return Finding(
            message=f"{_named(circuits)} together draw {{measured}}; all three phases together "
            "have {limit} left.",
            remedy="Leave out strips or take a weaker film, or have the supply made stronger.",
            measured=current_a,
            most=left_a,
            details=_each(circuits),
        )
    protecting = list(dict.fromkeys(circuit.protection for circuit in circuits))
    return CannotTell(
        why=f"the phase of {_named(circuits)} is not given, and all on one would be too much",
        write=f"Write `phase` with {join_names(protecting)}: L1, L2 or L3.",
    )


def _named(circuits: list[CircuitFacts]) -> str:
    names = [circuit.id for circuit in circuits]
    return f"circuit{'s' if len(names) > 1 else ''} {join_names(names)}"


def _add(circuits: Iterable[CircuitFacts]) -> float:
    return math.fsum(circuit.current_a for circuit in circuits)


def _each(circuits: list[CircuitFacts]) -> tuple[tuple[str, str], ...]:
    return tuple((f"circuit {c.id}", format_quantity(c.current_a, "A")) for c in circuits)


RULE = Rule(
    finds="all circuits together, or those of one phase, above what the supply has available",
    why="On the first cold evening all floors heat at once, and the main fuse goes.",
    unit="A",
    basis=standard("IEC 60364-1, 311"),
    subjects=subjects,
    check=check,
    electrical=True,
)
