"""A load resistance that moved between two stages."""

from __future__ import annotations

from collections.abc import Iterator

from underfoot.api import (
    Basis,
    CannotTell,
    Facts,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    above,
    written,
)
from underfoot_rules.visits import STAGES, visit_of, visits


def subjects(facts: Facts) -> Iterator[Subject]:
    """Every circuit at every stage that another came before."""
    for visit in visits(facts):
        circuit, stage = visit.items
        before = [
            test
            for earlier in STAGES[: STAGES.index(stage)]
            if (test := visit_of(facts, circuit, earlier)) is not None
        ]
        if before:
            yield visit._replace(thing=(before[-1], visit.thing))


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the reading with that of the stage before."""
    before, after = subject.thing
    if after is None:
        return CannotTell(
            "no test is recorded", "Test the circuit and write the readings under `tests`."
        )
    first, second = before.load_resistance_ohm, after.load_resistance_ohm
    if first is None or second is None:
        return CannotTell(
            "a load resistance is missing at one of the two stages",
            "Write the reading under each test: `load_resistance`.",
        )
    change = abs(second - first) / first * 100
    if not above(change, limits["within"]):
        return None
    circuit, stage = subject.items
    return Finding(
        message=f"The load resistance of circuit {circuit} went from {written(first, 'ohm')} "
        f"({before.stage}) to {written(second, 'ohm')} ({stage}), a change of {{measured}}; at "
        "most {limit} is expected.",
        remedy="Find out what happened between the two stages before going on: a strip pulled "
        "off its connector, a cut, or a reading at another temperature.",
        measured=change,
        most=limits["within"],
        limit_key="within",
    )


RULE = Rule(
    id="resistance-drift",
    topic="records",
    severities=("warning",),
    finds="a load resistance that changed between two stages",
    why="Film keeps its resistance; a change between two tests is damage in between.",
    unit="%",
    basis=Basis(
        "common practice",
        "common practice in the trade, no source; the figure is this project's own",
    ),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("within", 5, "%", "greatest change between stages", "lower"),),
    electrical=True,
)
