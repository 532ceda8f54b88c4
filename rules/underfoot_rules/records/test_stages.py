"""A test that the plan's status calls for and that is not recorded."""

from __future__ import annotations

from collections.abc import Iterator

from underfoot.api import Facts, Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.visits import REQUIRED, visit_of


def subjects(facts: Facts) -> Iterator[Subject]:
    """Every circuit with strips, at every stage that the status calls for."""
    for stage in REQUIRED.get(facts.plan.status, ()):
        for circuit in facts.circuits.values():
            if circuit.elements:
                yield Subject(None, (circuit.id, stage), circuit.path)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Find no test of the circuit at the stage."""
    circuit, stage = subject.items
    if visit_of(facts, circuit, stage) is not None:
        return None
    return Finding(
        message=f"The plan is '{facts.plan.status}', but no test of circuit {circuit} at the "
        f"stage '{stage}' is recorded.",
        remedy="Test it and write the readings under `tests:`; after the floor is closed a fault "
        "can no longer be mended.",
    )


RULE = Rule(
    id="test-stages",
    topic="records",
    severities=("warning",),
    finds="a circuit without the tests that the plan's status calls for",
    why="Each stage can damage the film; only a test before the next shows which one did.",
    unit=None,
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    electrical=True,
    protects_life=True,
)
