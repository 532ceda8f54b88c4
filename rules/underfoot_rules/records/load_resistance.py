"""A load resistance outside what the rated power's tolerance allows."""

from collections.abc import Iterator

from underfoot.api.facts import (
    Facts,
    allow_side_by_side,
    element_conductance_band,
    rate_side_by_side,
)
from underfoot.api.plan import Element, Measurement
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    below,
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.basis import MAKER, standard
from underfoot_rules.records.test_records import LOAD, read_strips, visits

FROM_MEMORY = standard("IEC 60335-1, 10.1 table 1, from memory")


def subjects(facts: Facts) -> Iterator[Subject[Measurement | None]]:
    """Every circuit at every stage, and every strip that was measured by itself.

    Before they are laid the strips need not be joined yet.
    """
    for visit in visits(facts, LOAD):
        test = visit.payload
        if visit.items[1] != "made up" or (
            test is not None and test.load_resistance_ohm is not None
        ):
            yield visit
    for visit in visits(facts, "strips_ohm"):
        test = visit.payload
        for strip in (test.strips_ohm or {}) if test is not None else ():
            yield Subject(
                room=None,
                items=(*visit.items, strip),
                path=f"{visit.path}.strips.{strip}",
                payload=test,
            )


def check(
    subject: Subject[Measurement | None], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Hold the reading against the band; then ask whether it would show a dead strip."""
    test = subject.payload
    if test is None:
        return not_given.TEST
    if len(subject.items) == 3 and test.strips_ohm is not None:
        strip = subject.items[2]
        return _judge(test.strips_ohm[strip], (facts.elements[strip],), f"strip {strip}")
    reading = test.load_resistance_ohm
    if reading is None:
        return CannotTell(
            why="no load resistance is recorded",
            write="Write the reading under the test: `load_resistance`.",
        )
    elements = facts.circuits[subject.items[0]].elements
    fault = _judge(reading, elements, f"circuit {subject.items[0]}")
    if fault is not None or read_strips(facts, subject.items[0], test):
        return fault
    return _could_miss(reading, elements, subject.items[0])


def _judge(reading: float, elements: tuple[Element, ...], what: str) -> Finding | None:
    band = allow_side_by_side(elements)
    low, high = band.least_ohm, band.most_ohm
    if not below(reading, low) and not above(reading, high):
        return None
    too_low = below(reading, low)
    is_strip = what.startswith("strip ")
    longer = "a strip longer" if is_strip else "more strip on the circuit"
    dead = "a cut across it" if is_strip else "a strip that is not connected"
    return Finding(
        message=f"The load resistance of {what} reads {{measured}}; its rated power allows "
        f"{format_quantity(low, 'ohm', reading)} to {format_quantity(high, 'ohm', reading)}, "
        f"{format_quantity(rate_side_by_side(elements), 'ohm')} as rated.",
        remedy=f"Look for a short between the busbars, or {longer} than drawn."
        if too_low
        else f"Look for {dead}, a loose connector or a damaged busbar.",
        measured=reading,
        least=low if too_low else None,
        most=None if too_low else high,
        severity="error",
        basis=_basis(elements),
    )


def _could_miss(reading: float, elements: tuple[Element, ...], circuit: str) -> Finding | None:
    if len(elements) < 2:
        return None
    band = allow_side_by_side(elements)
    low, high = band.least_ohm, band.most_ohm
    smallest = min(elements, key=lambda e: (element_conductance_band(e)[1], e.id))
    without = 1 / (1 / low - element_conductance_band(smallest)[1])
    if above(without, high):
        return None
    return Finding(
        message=f"Circuit {circuit} reads {{measured}}, which is right, but would not show a dead "
        f"strip: without {smallest.id} it could read {format_quantity(without, 'ohm', high)}, and "
        f"up to {format_quantity(high, 'ohm')} is within the tolerance.",
        remedy="Measure every strip by itself before they are joined, and write the readings "
        "under `strips:`.",
        measured=reading,
        severity="note",
        basis=_basis(elements),
    )


def _basis(elements: tuple[Element, ...]) -> Basis:
    return MAKER if all(e.film.tolerance is not None for e in elements) else FROM_MEMORY


RULE = Rule(
    severities=("error", "note"),
    finds="a resistance reading outside what the rated power's tolerance allows, or one that "
    "could miss a dead strip",
    why="Resistance is the one reading that shows every strip connected and none short.",
    unit="ohm",
    basis=MAKER,
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
