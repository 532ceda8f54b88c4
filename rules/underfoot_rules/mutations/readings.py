"""Readings of a circuit that are wrong, or tell less than they should."""

import random
from collections.abc import Iterator

from underfoot.api.rules import Data, Severity, read_quantity
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Strip, draw
from underfoot_rules.mutations.expand_rows import open_rows
from underfoot_rules.mutations.loads import strip_power, volts

STAGES = ("made up", "laid", "covered")


def choose_test(plan: Data, rng: random.Random, key: str) -> Data:
    """Copy a plan and choose one of its tests that records something."""
    tests = [test for test in plan.get("tests") or [] if key in test]
    names = [(test["circuit"], test["stage"]) for test in plan.get("tests") or []]
    given(tests and len(set(names)) == len(names))
    return rng.choice(tests)


def caused_by(rule: str, test: Data, *items: str, severity: Severity) -> Caused:
    """Return the one finding of a test that a damage is sure to cause."""
    return cause(rule, None, test["circuit"], test["stage"], *items, severity=severity)


def _ohm(value: str) -> float:
    return read_quantity(value, "ohm")


def _strips_of(plan: Data, circuit: str) -> Iterator[tuple[str, Strip]]:
    opened = open_rows(plan)
    for room in heated_rooms(opened):
        for name, strip in draw(opened, room).strips.items():
            if strip.circuit == circuit:
                yield name, strip


@mutation("load-resistance", "circuit-read-wrong")
def read_load_wrong(plan: Data, rng: random.Random) -> Caused:
    """A strip of the circuit is dead or shorted, and the reading was written down."""
    test = choose_test(plan, rng, "load_resistance")
    ohms = _ohm(test["load_resistance"]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    return caused_by("load-resistance", test, severity="error")


@mutation("load-resistance", "strip-read-wrong")
def read_strip_wrong(plan: Data, rng: random.Random) -> Caused:
    """A strip is damaged, and its reading was written down all the same."""
    test = choose_test(plan, rng, "strips")
    strip = rng.choice(list(test["strips"]))
    ohms = _ohm(test["strips"][strip]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["strips"][strip] = f"{ohms:.2f} ohm"
    return caused_by("load-resistance", test, strip, severity="error")


@mutation("load-resistance", "strips-not-read")
def read_circuit_alone(plan: Data, rng: random.Random) -> None:
    """A long circuit was read as a whole, which would not show a dead strip."""
    test = choose_test(plan, rng, "strips")
    given("load_resistance" in test)
    for each in plan["tests"]:
        if each["circuit"] == test["circuit"]:
            each.pop("strips", None)


@mutation("strip-readings", "strip-not-joined")
def lose_strip(plan: Data, rng: random.Random) -> None:
    """Every strip was read, and then one was not joined."""
    # Read every strip, then join all but one, and write the circuit's reading down.
    test = choose_test(plan, rng, "strips")
    given("load_resistance" in test and len(test["strips"]) >= 2)
    read = {name: _ohm(told) for name, told in test["strips"].items()}
    read.pop(rng.choice(list(read)))
    ohms = 1 / sum(1 / ohm for ohm in read.values())
    test["load_resistance"] = f"{ohms:.2f} ohm"


@mutation("strip-readings", "strip-read-elsewhere")
def misplace_strip(plan: Data, rng: random.Random) -> Caused:
    """A strip was read under the id of one that another circuit feeds."""
    test = choose_test(plan, rng, "strips")
    others = [
        (name, strip)
        for circuit in plan["circuits"]
        if circuit != test["circuit"]
        for name, strip in _strips_of(plan, circuit)
    ]
    name, strip = pick(rng, others)
    opened = open_rows(plan)
    test["strips"][name] = f"{volts(plan) ** 2 / strip_power(opened, strip):.1f} ohm"
    return caused_by("strip-readings", test, name, severity="warning")


@mutation("insulation-resistance", "insulation-low")
def read_insulation_low(plan: Data, rng: random.Random) -> Caused:
    """Film touches the grid, or the tester was set to the wrong voltage."""
    test = choose_test(plan, rng, "insulation_resistance")
    if rng.random() < 0.5:
        test["insulation_resistance"] = f"{rng.choice((0.02, 0.3, 0.49))} Mohm"
    else:
        test["test_voltage"] = f"{rng.choice((3, 50, 100, 240, 1001, 2500, 5000))} V"
    return caused_by("insulation-resistance", test, severity="error")


@mutation("insulation-resistance", "measured-against-nothing")
def measure_against_nothing(plan: Data, rng: random.Random) -> Caused:
    """The insulation was measured against a grid that is not there."""
    # Say that the insulation was measured against a grid that no room of the circuit has.
    test = choose_test(plan, rng, "insulation_resistance")
    given(not any(room.get("grid") for room in plan["rooms"].values()))
    test["against"] = "grid"
    return caused_by("insulation-resistance", test, severity="error")


@mutation("insulation-resistance", "insulation-half-recorded")
def record_insulation_half(plan: Data, rng: random.Random) -> Caused:
    """Nobody wrote down against what, or the thermostat was still connected."""
    test = choose_test(plan, rng, "insulation_resistance")
    if rng.random() < 0.5:
        test.pop("against", None)
    else:
        test["thermostat_disconnected"] = False
    return caused_by("insulation-resistance", test, severity="warning")


@mutation("resistance-drift", "resistance-moved")
def drift(plan: Data, rng: random.Random) -> None:
    """A connector came loose between two stages, and nobody compared the readings."""
    # Let a resistance move between two stages, within what the tolerance allows.
    test = choose_test(plan, rng, "load_resistance")
    before = _ohm(test["load_resistance"])
    ohms = before * rng.choice((0.93, 0.94, 1.06, 1.07, 1.08))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    for strip, told in (test.get("strips") or {}).items():
        test["strips"][strip] = f"{_ohm(told) * ohms / before:.2f} ohm"


@mutation("resistance-drift", "resistance-crept")
def creep(plan: Data, rng: random.Random) -> None:
    """A connector worked loose bit by bit, and only neighbouring readings were compared."""
    # Let a resistance creep up from stage to stage, never far at a time.
    test = choose_test(plan, rng, "load_resistance")
    tests = {t["stage"]: t for t in plan["tests"] if t["circuit"] == test["circuit"]}
    given(all("load_resistance" in tests.get(stage, {}) for stage in STAGES))
    ohms = _ohm(tests["made up"]["load_resistance"])
    strips = {n: _ohm(told) for n, told in (tests["made up"].get("strips") or {}).items()}
    for stage, by in zip(STAGES, (1, 1.035, 1.07), strict=True):
        tests[stage]["load_resistance"] = f"{ohms * by:.2f} ohm"
        if strips:
            tests[stage]["strips"] = {n: f"{each * by:.2f} ohm" for n, each in strips.items()}
