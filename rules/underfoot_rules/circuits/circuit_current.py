"""A circuit that draws more than one circuit should."""

from __future__ import annotations

from underfoot.api import Facts, Finding, Limit, Limits, Rule, Subject, above
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.dividing import advise_division


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every circuit with strips."""
    return facts.circuit_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Compare the sum of its strips' currents at the supply voltage."""
    circuit = subject.thing
    if not above(circuit.current_a, limits["maximum"]):
        return None
    return Finding(
        message=f"Circuit {circuit.id} draws {{measured}}; one circuit may draw at most {{limit}}.",
        remedy=advise_division(circuit, facts),
        measured=circuit.current_a,
        most=limits["maximum"],
        limit_key="maximum",
    )


RULE = Rule(
    id="circuit-current",
    topic="circuits",
    severities=("error",),
    finds="a circuit whose own current is above the limit",
    why="Too much current heats connectors, leads and the thermostat's contact where none can see.",
    unit="A",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("maximum", 10, "A", "greatest current of one circuit", "lower"),),
    electrical=True,
    protects_life=True,
)
