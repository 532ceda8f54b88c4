"""Readings of single strips that do not agree with the reading of their circuit."""

from collections.abc import Iterator, Mapping

from underfoot.api.facts import Facts, element_conductance_band
from underfoot.api.plan import Element, Measurement
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    below,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import own_default
from underfoot_rules.records.test_records import LOAD, StripReading, read_strips, visits

# More strips than this, all alike, are not named one by one.
_NAMED = 4


def subjects(facts: Facts) -> Iterator[Subject[Measurement]]:
    """Every circuit with strips read by themselves, stage by stage, and every strip misplaced.

    Before they are laid the strips need not be joined yet.
    """
    for visit in visits(facts, LOAD):
        circuit, stage = visit.items
        test = visit.payload
        if test is None or (stage == "made up" and test.load_resistance_ohm is None):
            continue
        if read_strips(facts, circuit, test):
            yield Subject(room=None, items=visit.items, path=visit.path, payload=test)
    misplaced = {}
    for test in facts.plan.tests:
        for strip in test.strips_ohm or ():
            if facts.elements[strip].circuit != test.circuit:
                items = (test.circuit, test.stage, strip)
                misplaced[items] = Subject(
                    room=None, items=items, path=f"{test.path}.strips.{strip}", payload=test
                )
    yield from misplaced.values()


def check(
    subject: Subject[Measurement], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Add up what the strips conduct, and hold the circuit's reading against it."""
    test = subject.payload
    if len(subject.items) == 3:
        return _misplaced(subject, facts)
    circuit = subject.items[0]
    reading = test.load_resistance_ohm
    if not reading:
        return CannotTell(
            why=f"no load resistance of circuit {circuit} is recorded beside its strips' own",
            write="Measure the circuit as a whole and write its `load_resistance`.",
        )
    elements = facts.circuits[circuit].elements
    strips = read_strips(facts, circuit, test)
    if any(not strip.ohm for strip in strips.values()):
        return CannotTell(
            why=f"a strip of circuit {circuit} reads 0 ohm",
            write="Measure that strip again and write its reading under `strips`.",
        )
    within = limits["within"]
    if not all(strip.is_same for strip in strips.values()):
        within = max(within, limits.of("resistance-drift")["within"])
    low, high = _bounds(elements, strips, within / 100)
    if not below(reading, low) and not above(reading, high):
        return None
    together = 1 / _conduct(elements, strips)
    return Finding(
        message=f"Circuit {circuit} ({subject.items[1]}) reads {{measured}}, but its strips, read "
        f"one by one, make {format_quantity(together, 'ohm', reading)} side by side"
        f"{_dead(elements, strips, reading, limits['within'] / 100)}.",
        remedy="Do not go on. Measure the strips again one by one at their connectors, mend what "
        "is not connected, and measure the circuit."
        if reading > high
        else "Do not go on. Look for a short between the conductors, or for strips that the plan "
        "does not show on this circuit; measure again.",
        measured=reading,
        least=low if reading < low else None,
        most=high if reading > high else None,
        limit_key="within",
        severity="error",
    )


def _misplaced(subject: Subject[Measurement], facts: Facts) -> Finding:
    circuit, stage, strip = subject.items
    own = facts.elements[strip].circuit
    whose = f"it belongs to {own}" if own is not None else "it belongs to no circuit"
    return Finding(
        message=f"Strip {strip} is read in a test of circuit {circuit} ({stage}), but {whose}.",
        remedy=f"Write the reading under a test of {own or 'its circuit'}, or the id of the strip "
        "that was measured; then see that every strip has its own reading.",
        severity="warning",
    )


def _bounds(
    elements: tuple[Element, ...], strips: Mapping[str, StripReading], share: float
) -> tuple[float, float]:
    """Return the least and the greatest resistance that the circuit may read.

    A strip that was not read counts with what its rated power's tolerance allows.
    """
    least = most = 0.0
    for element in elements:
        if element.id in strips:
            least += 1 / strips[element.id].ohm
            most += 1 / strips[element.id].ohm
        else:
            band = element_conductance_band(element)
            least += band[0]
            most += band[1]
    return (1 - share) / most, (1 + share) / least


def _conduct(elements: tuple[Element, ...], strips: Mapping[str, StripReading]) -> float:
    """Add up the conductances, those not read as rated."""
    return sum(
        1 / strips[e.id].ohm
        if e.id in strips
        else e.film.rated_w_m * e.length / 1000 / e.film.voltage_v**2
        for e in elements
    )


def _dead(
    elements: tuple[Element, ...],
    strips: Mapping[str, StripReading],
    reading: float,
    share: float,
) -> str:
    """Name the strips of which any one left out would make the circuit read so."""
    whole = _conduct(elements, strips)
    names = []
    for element in elements:
        left = whole - (1 / strips[element.id].ohm if element.id in strips else 0)
        if element.id in strips and left > 0 and abs(reading * left - 1) <= share:
            names.append(element.id)
    if not names:
        return ""
    which = names[0] if len(names) == 1 else f"one of {join_names(names)}"
    if len(names) > _NAMED:
        which = f"one of them, any of {len(names)},"
    return f": it reads as if {which} were dead"


RULE = Rule(
    severities=("error", "warning"),
    finds="readings of single strips that do not agree with their circuit's, or are another's",
    why="What the strips read one by one must come out when all are joined: else one is dead.",
    unit="ohm",
    basis=own_default(
        "two readings with one meter; what was read at an earlier stage may have drifted"
    ),
    subjects=subjects,
    check=check,
    limits=(at_most("within", 2, "%", "how far a circuit may read off its strips side by side"),),
    electrical=True,
    protects_life=True,
)
