"""The recorded tests: which count, and which the plan's status calls for."""

from __future__ import annotations

from collections.abc import Iterator

from underfoot.api import Facts, Subject, Test

STAGES = ("made up", "laid", "covered")
REQUIRED = {
    "laid": ("laid",),
    "covered": ("laid", "covered"),
    "handed over": ("laid", "covered"),
}


def visit_of(facts: Facts, circuit: str, stage: str) -> Test | None:
    """Give the test of a circuit at a stage; of several the last listed counts."""
    for test in reversed(facts.plan.tests):
        if test.circuit == circuit and test.stage == stage:
            return test
    return None


def visits(facts: Facts) -> Iterator[Subject]:
    """List circuit and stage of every test recorded, or called for by the plan's status.

    The subject's thing is the test, None where there is none.
    """
    required = REQUIRED.get(facts.plan.status, ())
    for circuit in facts.circuits.values():
        if not circuit.elements:
            continue
        for stage in STAGES:
            test = visit_of(facts, circuit.id, stage)
            if test is not None or stage in required:
                yield Subject(None, (circuit.id, stage), test.path if test else circuit.path, test)
