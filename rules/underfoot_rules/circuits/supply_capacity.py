"""Circuits that together draw more than the installation can spare."""

from __future__ import annotations

import math

from underfoot.api import (
    CannotTell,
    Facts,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    written,
    written_up,
)
from underfoot_rules.basis import standard


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """The supply, where it feeds circuits with strips."""
    if not facts.protections:
        return ()
    return (Subject(None, (), facts.plan.supply.path),)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Add up the currents of all circuits."""
    available_a = facts.plan.supply.available_a
    if available_a is None:
        return CannotTell(
            "what the supply has available is not given",
            "Write what the supply can spare: `supply.available`.",
        )
    circuits = [circuit for circuit in facts.circuits.values() if circuit.elements]
    current_a = math.fsum(circuit.current_a for circuit in circuits)
    if not above(current_a, available_a):
        return None
    over = written_up(current_a - available_a, "A")
    return Finding(
        message="All circuits together draw {measured}; the supply has {limit} available.",
        remedy=f"Leave out strips or take a weaker film, so that {over} less is drawn; or have the "
        "supply made stronger, or the circuits switched so that they never run all at once.",
        measured=current_a,
        most=available_a,
        details=tuple((f"circuit {c.id}", written(c.current_a, "A")) for c in circuits),
    )


RULE = Rule(
    id="supply-capacity",
    topic="circuits",
    severities=("error",),
    finds="all circuits together above what the supply has available",
    why="On the first cold evening all floors heat at once, and the main fuse goes.",
    unit="A",
    basis=standard("IEC 60364-1, 311"),
    subjects=subjects,
    check=check,
    module=__name__,
    electrical=True,
)
