"""The facts of visits: the recorded tests of a circuit by stage, and which of several counts."""

from datetime import date

from underfoot.checking.facts.facts import Facts
from underfoot.plan import Measurement

STAGES = ("made up", "laid", "covered")
"""The stages of the work at which a circuit is tested, in order."""


def list_tests(facts: Facts, circuit: str, stage: str) -> list[Measurement]:
    """List the tests of a circuit at a stage by date; those without one stand first, as listed."""
    tests = [test for test in facts.plan.tests if test.circuit == circuit and test.stage == stage]
    return sorted(tests, key=lambda test: test.date or date.min)


def visit_of(
    facts: Facts, circuit: str, stage: str, reading: str | None = None
) -> Measurement | None:
    """Return the test of a circuit at a stage; of several the last by date counts.

    With a `reading` the last one counts that has it: a repeat of one reading leaves the others as
    they were. Where none has it, the last one.
    """
    tests = list_tests(facts, circuit, stage)
    read = [test for test in tests if reading is not None and getattr(test, reading) is not None]
    counting = read or tests
    return counting[-1] if counting else None
