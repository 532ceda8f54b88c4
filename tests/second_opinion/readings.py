"""What is wrong with the resistances that were read of a plan's circuits."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn, Strip
from underfoot_rules.mutations.loads import strip_power, volts

STAGES = ("made up", "laid", "covered")

Tests = Mapping[str, Data]
Band = tuple[float, float]


def reading_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge all that was read of resistances; UnclearError where that is too close to tell."""
    read = plan.get("tests") or []
    for circuit in dict.fromkeys(test["circuit"] for test in read):
        tests = {test["stage"]: test for test in read if test["circuit"] == circuit}
        strips = [
            s for room in drawn.values() for s in room.strips.values() if s.circuit == circuit
        ]
        bands = {strip.id: _band(plan, strip) for strip in strips}
        if bands:
            yield from _off_rating(circuit, tests, bands)
        yield from _drifts(circuit, tests)
        yield from _disagreements(circuit, tests, set(bands))


def _ohm(value: str) -> float:
    return read_quantity(value, "ohm")


def _band(plan: Data, strip: Strip) -> Band:
    """Return a strip's least and greatest conductance by its tolerance."""
    tolerance = plan["materials"]["films"][strip.film].get("tolerance")
    if tolerance is None:
        raise UnclearError
    siemens = strip_power(plan, strip) / volts(plan) ** 2
    return siemens * (1 + tolerance[0] / 100), siemens * (1 + tolerance[1] / 100)


def _off_rating(circuit: str, tests: Tests, bands: Mapping[str, Band]) -> Iterator[Expected]:
    """Find what was read off its rating, and what would hide a strip that is dead."""
    least, most = sum(low for low, _ in bands.values()), sum(high for _, high in bands.values())
    by_itself = any(test.get("strips") for test in tests.values())
    hidden = len(bands) > 1 and exceeds((most - min(h for _, h in bands.values())) / least, 1, 1e-6)
    for stage, test in tests.items():
        if "load_resistance" in test:
            if _is_off(_ohm(test["load_resistance"]), (least, most)):
                yield error("load-resistance", None, circuit, stage)
            elif hidden and not by_itself:
                yield expect("load-resistance", None, circuit, stage, severity="note")
        for name, told in (test.get("strips") or {}).items():
            if name in bands and _is_off(_ohm(told), bands[name]):
                yield error("load-resistance", None, circuit, stage, name)


def _is_off(ohms: float, band: Band) -> bool:
    low, high = 1 / band[1], 1 / band[0]
    return exceeds(ohms, high, 0.001 * high) or falls_short(ohms, low, 0.001 * low)


def _drifts(circuit: str, tests: Tests) -> Iterator[Expected]:
    """Find the readings of a circuit that moved too far from one stage to the next."""
    read = [
        (stage, _ohm(tests[stage]["load_resistance"]))
        for stage in STAGES
        if stage in tests and "load_resistance" in tests[stage]
    ]
    for (_, earlier), (stage, later) in pairwise(read):
        first = read[0][1]
        moved = [100 * abs(later - before) / before for before in (earlier, first)]
        # Each is looked at, so that one too close to tell is noticed.
        if sum(exceeds(each, 5, 0.01) for each in moved):
            yield warning("resistance-drift", None, circuit, stage)


def _disagreements(circuit: str, tests: Tests, own: set[str]) -> Iterator[Expected]:
    """Find the readings of a circuit that its strips, read one by one, do not come to."""
    known: dict[str, tuple[float, str]] = {}
    for stage in STAGES:
        test = tests.get(stage, {})
        read = {name: _ohm(told) for name, told in (test.get("strips") or {}).items()}
        known |= {name: (ohm, stage) for name, ohm in read.items() if name in own}
        if not known or "load_resistance" not in test:
            continue
        if len(known) < len(own):
            raise UnclearError
        together = 1 / sum(1 / ohm for ohm, _ in known.values())
        share = 0.02 if all(when == stage for _, when in known.values()) else 0.05
        ohms = _ohm(test["load_resistance"])
        high = exceeds(ohms, together * (1 + share), 0.01)
        if high or falls_short(ohms, together * (1 - share), 0.01):
            yield error("strip-readings", None, circuit, stage)
