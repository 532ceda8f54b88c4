"""A load resistance that moved between two stages."""

from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from underfoot.api.facts import STAGES, Facts
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
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.records.test_records import LOAD, visits

# The tests to compare with, and the one that came after them.
Tests = tuple[tuple[Measurement, ...], Measurement | None]


def subjects(facts: Facts) -> Iterator[Subject[Tests]]:
    """Every circuit at every stage that another came before; with the tests before it."""
    at_stage = {visit.items: visit for visit in visits(facts, LOAD)}
    for circuit in facts.circuits:
        of_circuit = [at_stage[circuit, stage] for stage in STAGES if (circuit, stage) in at_stage]
        tests = [
            (visit, test)
            for visit in of_circuit
            if (test := visit.payload) is not None
            and (visit.items[1] != "made up" or test.load_resistance_ohm is not None)
        ]
        if all(test.date is not None for _, test in tests):
            tests.sort(key=lambda recorded: recorded[1].date or date.max)
        for (_, last), (visit, test) in pairwise(tests):
            yield Subject(
                room=None, items=visit.items, path=visit.path, payload=((last, tests[0][1]), test)
            )
        for visit in of_circuit:
            if visit.payload is None and tests:
                yield Subject(
                    room=None, items=visit.items, path=visit.path, payload=((tests[-1][1],), None)
                )


def check(subject: Subject[Tests], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the reading with the one before it, then with the first of all."""
    before, after = subject.payload
    if after is None:
        return not_given.TEST
    for earlier in before:
        if after.load_resistance_ohm is None or not earlier.load_resistance_ohm:
            return CannotTell(
                why="a load resistance is missing at one of the two stages",
                write="Write the reading under each test: `load_resistance`.",
            )
        found = _compare(subject, earlier, after, limits)
        if found is not None:
            return found
    return None


def _compare(
    subject: Subject[Tests], before: Measurement, after: Measurement, limits: Limits
) -> Finding | None:
    first, second = before.load_resistance_ohm or 0.0, after.load_resistance_ohm or 0.0
    change = abs(second - first) / first * 100
    if not above(change, limits["within"]):
        return None
    circuit, stage = subject.items
    return Finding(
        message=f"The load resistance of circuit {circuit} went from "
        f"{format_quantity(first, 'ohm')} ({before.stage}) to {format_quantity(second, 'ohm')} "
        f"({stage}), a change of {{measured}}; at most {{limit}} is expected.",
        remedy="Find out what happened between the two stages before going on: a strip pulled "
        "off its connector, a cut, or a reading at another temperature.",
        measured=change,
        most=limits["within"],
        limit_key="within",
    )


RULE = Rule(
    severities=("warning",),
    finds="a load resistance that changed from one stage to the next, or since the first",
    why="Film keeps its resistance; a change between two tests is damage in between.",
    unit="%",
    basis=Basis(
        kind="common practice",
        text="common practice in the trade, no source; the figure is this project's own",
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most(
            "within",
            5,
            "%",
            "greatest change between stages",
            serves="change of the load resistance",
        ),
    ),
    electrical=True,
)
