"""A test that the plan's status calls for and that is not recorded, or lacks its readings."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot.api.facts import STAGES, Facts, list_tests
from underfoot.api.rules import Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.records.test_records import (
    INSULATION,
    LOAD,
    REQUIRED,
    called_for,
)


class Lacking(Struct, frozen=True, kw_only=True):
    """The readings that no test of a stage has, and whether it has any test."""

    readings: tuple[str, ...]
    is_recorded: bool


READINGS = {LOAD: "load resistance", INSULATION: "insulation resistance"}


def subjects(facts: Facts) -> Iterator[Subject[Lacking]]:
    """Every circuit with strips, at every stage that it has reached; with what is missing."""
    for circuit in facts.circuits.values():
        if not circuit.elements:
            continue
        for stage in called_for(facts, circuit.id):
            tests = list_tests(facts, circuit.id, stage)
            lacking = tuple(
                said
                for reading, said in READINGS.items()
                if all(getattr(test, reading) is None for test in tests)
            )
            path = tests[-1].path if tests else circuit.path
            yield Subject(
                room=None,
                items=(circuit.id, stage),
                path=path,
                payload=Lacking(readings=lacking, is_recorded=bool(tests)),
            )


def check(subject: Subject[Lacking], facts: Facts, limits: Limits) -> Finding | None:
    """Find no reading of the circuit at the stage; what is handed over is refused without."""
    circuit, stage = subject.items
    lacking, is_recorded = subject.payload.readings, subject.payload.is_recorded
    if not lacking:
        return None
    status = facts.plan.status
    tested = [test.stage for test in facts.plan.tests if test.circuit == circuit]
    message = f"The plan is '{status}', but "
    if stage not in REQUIRED.get(status, ()):
        message = f"Circuit {circuit} was tested when '{max(tested, key=STAGES.index)}', but "
    message += f"no test of circuit {circuit} at the stage '{stage}' "
    message += f"has its {join_names(lacking)}." if is_recorded else "is recorded."
    is_refused = status == "handed over" and stage == "covered"
    return Finding(
        message=message,
        remedy="Do not hand it over: measure load and insulation resistance, and write both under "
        "`tests:`."
        if is_refused
        else "Measure and write the readings under `tests:`; after the floor is closed a fault can "
        "no longer be mended.",
        severity="error" if is_refused else "warning",
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a circuit without the tests that the stage of the work calls for, or their readings",
    why="Each stage can damage the film; only a test before the next shows which one did.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
