"""The recorded tests: in which order, which count, and which the plan's status calls for."""

from collections.abc import Iterator, Mapping
from datetime import date

from msgspec import Struct

from underfoot.api.facts import STAGES, Facts, list_tests, visit_of
from underfoot.api.plan import Measurement
from underfoot.api.rules import Subject

REQUIRED = {
    "laid": ("laid",),
    "covered": ("laid", "covered"),
    "handed over": ("laid", "covered"),
}
# The two readings without which a test is none.
LOAD, INSULATION = "load_resistance_ohm", "insulation_resistance_mohm"


def called_for(facts: Facts, circuit: str) -> tuple[str, ...]:
    """List the stages at which a circuit must have been tested.

    The plan's status calls for them, or the circuit's own tests do: whoever records one after the
    floor was covered has covered it, whatever the status still says.
    """
    reached = [facts.plan.status]
    reached += [test.stage for test in facts.plan.tests if test.circuit == circuit]
    return max((REQUIRED.get(stage, ()) for stage in reached), key=len)


class StripReading(Struct, frozen=True, kw_only=True):
    """What a strip read by itself, and whether in the same test as the circuit."""

    ohm: float
    is_same: bool


def visits(facts: Facts, reading: str | None = None) -> Iterator[Subject[Measurement | None]]:
    """List circuit and stage of every test recorded or called for.

    The subject's payload is the test that counts for a reading, None where there is none.
    """
    for circuit in facts.circuits.values():
        if not circuit.elements:
            continue
        required = called_for(facts, circuit.id)
        for stage in STAGES:
            test = visit_of(facts, circuit.id, stage, reading)
            if test is not None or stage in required:
                yield Subject(
                    room=None,
                    items=(circuit.id, stage),
                    path=test.path if test else circuit.path,
                    payload=test,
                )


def read_strips(facts: Facts, circuit: str, test: Measurement) -> Mapping[str, StripReading]:
    """Gather what the strips of a circuit read, in a test or the last time before it."""
    own = {element.id for element in facts.circuits[circuit].elements}
    found: dict[str, StripReading] = {}
    for stage in STAGES[: STAGES.index(test.stage) + 1]:
        for each in list_tests(facts, circuit, stage):
            if each.stage == test.stage and (each.date or date.min) > (test.date or date.min):
                continue
            for strip, ohm in (each.strips_ohm or {}).items():
                if strip in own:
                    found[strip] = StripReading(ohm=ohm, is_same=each is test)
    return found
