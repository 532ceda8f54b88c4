"""A residual current device that trips too late."""

from collections.abc import Iterator

from underfoot.api.facts import Facts
from underfoot.api.plan import Measurement
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    at_most,
    below,
)
from underfoot_rules import not_given
from underfoot_rules.basis import own_default, standard
from underfoot_rules.records.test_records import visits


def subjects(facts: Facts) -> Iterator[Subject[Measurement | None]]:
    """Every circuit at every stage at which it can be switched on; SELV has no RCD."""
    if facts.plan.supply.is_selv:
        return
    for visit in visits(facts, "rcd_trip_time_ms"):
        test, made_up = visit.payload, visit.items[1] == "made up"
        if not made_up or (test is not None and test.rcd_trip_time_ms is not None):
            yield visit


def check(
    subject: Subject[Measurement | None], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the trip time with the longest, and with what a mechanism can do."""
    test = subject.payload
    if test is None:
        return not_given.TEST
    time = test.rcd_trip_time_ms
    if time is None:
        return CannotTell(
            why="no RCD trip time is recorded",
            write="Write the time under the test: `rcd_trip_time`.",
            worst=None if _must_be_known(subject.items[0], facts) else "warning",
        )
    if below(time, limits["fastest"]):
        return Finding(
            message=f"The RCD of circuit {subject.items[0]} ({subject.items[1]}) is said to have "
            "tripped in {measured}; no device opens its contacts in less than {limit}.",
            remedy="Test it again with an RCD tester and write down what that shows.",
            measured=time,
            least=limits["fastest"],
            limit_key="fastest",
            basis=own_default("a relay and its contacts take milliseconds to move"),
        )
    if not above(time, limits["maximum"]):
        return None
    circuit, stage = subject.items
    return Finding(
        message=f"The RCD of circuit {circuit} ({stage}) took {{measured}} to trip; at most "
        "{limit} is allowed.",
        remedy="Have the RCD replaced and tested again before the floor is used.",
        measured=time,
        most=limits["maximum"],
        limit_key="maximum",
    )


def _must_be_known(circuit: str, facts: Facts) -> bool:
    """Tell whether a floor is handed over whose RCD was tried at no stage."""
    return facts.plan.status == "handed over" and all(
        test.rcd_trip_time_ms is None for test in facts.plan.tests if test.circuit == circuit
    )


RULE = Rule(
    finds="a residual current device that trips too late, or sooner than one can",
    why="What a current through a body does depends on how long it lasts.",
    unit="ms",
    basis=standard("IEC 61008-1, general type at its rated residual current"),
    subjects=subjects,
    check=check,
    limits=(
        at_most(
            "maximum", 300, "ms", "longest trip time at the rated current", serves="RCD trip time"
        ),
        at_least("fastest", 3, "ms", "shortest trip time that a device can have"),
    ),
    electrical=True,
    protects_life=True,
)
