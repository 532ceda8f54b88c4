"""A laid floor left open too long."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, list_tests, visit_of
from underfoot.api.plan import Measurement
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
)
from underfoot_rules.records.test_records import REQUIRED

# The test after laying and the first after covering.
Tests = tuple[Measurement | None, Measurement | None]


def subjects(facts: Facts) -> Iterator[Subject[Tests]]:
    """Every circuit that is covered, or should be by the plan's status."""
    called_for = "covered" in REQUIRED.get(facts.plan.status, ())
    for circuit in facts.circuit_subjects:
        # How long it lay open ended with the first test after it was covered.
        covered = next(iter(list_tests(facts, circuit.items[0], "covered")), None)
        if covered is not None or called_for:
            yield Subject(
                room=None,
                items=circuit.items,
                path=covered.path if covered else circuit.path,
                payload=(visit_of(facts, circuit.items[0], "laid"), covered),
            )


def check(subject: Subject[Tests], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Count the days between the two tests."""
    laid, covered = subject.payload
    if laid is None or covered is None or laid.date is None or covered.date is None:
        return CannotTell(
            why="the dates of the tests 'laid' and 'covered' are not both recorded",
            write="Write the `date` of each test.",
        )
    days = (covered.date - laid.date).days
    if not above(days, limits["within"]):
        return None
    return Finding(
        message=f"The strips of circuit {subject.items[0]} lay open for {{measured}} before they "
        "were covered; at most {limit} is good practice.",
        remedy="Cover a laid floor at once, or keep everybody off it; look again at the readings "
        "of the test 'covered'.",
        measured=float(days),
        most=limits["within"],
        limit_key="within",
    )


RULE = Rule(
    severities=("note",),
    finds="a laid floor left uncovered too long",
    why="Open film is easily hurt by boots, tools and ladders, and the marks hardly show.",
    unit="days",
    basis=Basis(
        kind="common practice",
        text="common practice in the trade, no source; the number is this project's own",
    ),
    subjects=subjects,
    check=check,
    limits=(at_most("within", 7, "days", "most days between the tests laid and covered"),),
)
