"""Readings of a circuit that are wrong, or tell less than they should."""

from __future__ import annotations

import random
from collections.abc import Iterator

from underfoot.api.rules import Damaged, Data, Mutation, read_quantity
from underfoot_rules.mutations.choosing import cause, damages, heated_rooms
from underfoot_rules.mutations.drawn import Strip, draw
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import strip_power, volts

STAGES = ("made up", "laid", "covered")


def choose_test(data: Data, rng: random.Random, key: str) -> tuple[Data, Data] | None:
    """Copy a plan and choose one of its tests that records something."""
    plan = copy_plan(data)
    tests = [test for test in plan.get("tests") or [] if key in test]
    names = [(test["circuit"], test["stage"]) for test in plan.get("tests") or []]
    if not tests or len(set(names)) != len(names):
        return None
    return plan, rng.choice(tests)


def _ohm(value: str) -> float:
    return read_quantity(value, "ohm")


def _strips_of(plan: Data, circuit: str) -> Iterator[tuple[str, Strip]]:
    opened = open_rows(plan)
    for room in heated_rooms(opened):
        for name, strip in draw(opened, room).strips.items():
            if strip.circuit == circuit:
                yield name, strip


@damages(choose_test, "load_resistance")
def read_load_wrong(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Read a circuit far off its rated resistance."""
    ohms = _ohm(test["load_resistance"]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    items = (test["circuit"], test["stage"])
    return cause(plan, "load-resistance", None, *items, severity="error")


@damages(choose_test, "strips")
def read_strip_wrong(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Read one strip far off its rated resistance."""
    strip = rng.choice(list(test["strips"]))
    ohms = _ohm(test["strips"][strip]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["strips"][strip] = f"{ohms:.2f} ohm"
    items = (test["circuit"], test["stage"], strip)
    return cause(plan, "load-resistance", None, *items, severity="error")


def read_circuit_alone(data: Data, rng: random.Random) -> Damaged | None:
    """Read a circuit of many strips as a whole, and no strip by itself."""
    chosen = choose_test(data, rng, "strips")
    if chosen is None or "load_resistance" not in chosen[1]:
        return None
    plan, test = chosen
    for each in plan["tests"]:
        if each["circuit"] == test["circuit"]:
            each.pop("strips", None)
    return Damaged(data=plan)


@damages(choose_test, "insulation_resistance")
def read_insulation_low(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Read too little insulation resistance, or with too little voltage."""
    if rng.random() < 0.5:
        test["insulation_resistance"] = f"{rng.choice((0.02, 0.3, 0.49))} Mohm"
    else:
        test["test_voltage"] = f"{rng.choice((3, 50, 100, 240, 1001, 2500, 5000))} V"
    items = (test["circuit"], test["stage"])
    return cause(plan, "insulation-resistance", None, *items, severity="error")


@damages(choose_test, "insulation_resistance")
def record_insulation_half(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Record an insulation resistance without what it was measured against."""
    if rng.random() < 0.5:
        test.pop("against", None)
    else:
        test["thermostat_disconnected"] = False
    items = (test["circuit"], test["stage"])
    return cause(plan, "insulation-resistance", None, *items, severity="warning")


@damages(choose_test, "load_resistance")
def drift(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Let a resistance move between two stages, within what the tolerance allows."""
    before = _ohm(test["load_resistance"])
    ohms = before * rng.choice((0.93, 0.94, 1.06, 1.07, 1.08))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    for strip, told in (test.get("strips") or {}).items():
        test["strips"][strip] = f"{_ohm(told) * ohms / before:.2f} ohm"
    return Damaged(data=plan)


@damages(choose_test, "load_resistance")
def creep(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Let a resistance creep up from stage to stage, never far at a time."""
    tests = {t["stage"]: t for t in plan["tests"] if t["circuit"] == test["circuit"]}
    if not all("load_resistance" in tests.get(stage, {}) for stage in STAGES):
        return None
    ohms = _ohm(tests["made up"]["load_resistance"])
    strips = {n: _ohm(told) for n, told in (tests["made up"].get("strips") or {}).items()}
    for stage, by in zip(STAGES, (1, 1.035, 1.07), strict=True):
        tests[stage]["load_resistance"] = f"{ohms * by:.2f} ohm"
        if strips:
            tests[stage]["strips"] = {n: f"{each * by:.2f} ohm" for n, each in strips.items()}
    return Damaged(data=plan)


def lose_strip(data: Data, rng: random.Random) -> Damaged | None:
    """Read every strip, then join all but one, and write the circuit's reading down."""
    chosen = choose_test(data, rng, "strips")
    if chosen is None or "load_resistance" not in chosen[1] or len(chosen[1]["strips"]) < 2:
        return None
    plan, test = chosen
    read = {name: _ohm(told) for name, told in test["strips"].items()}
    read.pop(rng.choice(list(read)))
    ohms = 1 / sum(1 / ohm for ohm in read.values())
    test["load_resistance"] = f"{ohms:.2f} ohm"
    return Damaged(data=plan)


@damages(choose_test, "strips")
def misplace_strip(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Write a strip's reading under a circuit that it does not belong to."""
    others = [
        (name, strip)
        for circuit in plan["circuits"]
        if circuit != test["circuit"]
        for name, strip in _strips_of(plan, circuit)
    ]
    if not others:
        return None
    name, strip = rng.choice(others)
    opened = open_rows(plan)
    test["strips"][name] = f"{volts(plan) ** 2 / strip_power(opened, strip):.1f} ohm"
    items = (test["circuit"], test["stage"], name)
    return cause(plan, "strip-readings", None, *items, severity="warning")


def measure_against_nothing(data: Data, rng: random.Random) -> Damaged | None:
    """Say that the insulation was measured against a grid that no room of the circuit has."""
    chosen = choose_test(data, rng, "insulation_resistance")
    if chosen is None or any(room.get("grid") for room in data["rooms"].values()):
        return None
    plan, test = chosen
    test["against"] = "grid"
    items = (test["circuit"], test["stage"])
    return cause(plan, "insulation-resistance", None, *items, severity="error")


MUTATIONS = (
    Mutation(
        rule="load-resistance",
        name="circuit-read-wrong",
        says="A strip of the circuit is dead or shorted, and the reading was written down.",
        apply=read_load_wrong,
    ),
    Mutation(
        rule="load-resistance",
        name="strip-read-wrong",
        says="A strip is damaged, and its reading was written down all the same.",
        apply=read_strip_wrong,
    ),
    Mutation(
        rule="load-resistance",
        name="strips-not-read",
        says="A long circuit was read as a whole, which would not show a dead strip.",
        apply=read_circuit_alone,
    ),
    Mutation(
        rule="strip-readings",
        name="strip-not-joined",
        says="Every strip was read, and then one was not joined.",
        apply=lose_strip,
    ),
    Mutation(
        rule="strip-readings",
        name="strip-read-elsewhere",
        says="A strip was read under the id of one that another circuit feeds.",
        apply=misplace_strip,
    ),
    Mutation(
        rule="insulation-resistance",
        name="insulation-low",
        says="Film touches the grid, or the tester was set to the wrong voltage.",
        apply=read_insulation_low,
    ),
    Mutation(
        rule="insulation-resistance",
        name="measured-against-nothing",
        says="The insulation was measured against a grid that is not there.",
        apply=measure_against_nothing,
    ),
    Mutation(
        rule="insulation-resistance",
        name="insulation-half-recorded",
        says="Nobody wrote down against what, or the thermostat was still connected.",
        apply=record_insulation_half,
    ),
    Mutation(
        rule="resistance-drift",
        name="resistance-moved",
        says="A connector came loose between two stages, and nobody compared the readings.",
        apply=drift,
    ),
    Mutation(
        rule="resistance-drift",
        name="resistance-crept",
        says="A connector worked loose bit by bit, and only neighbouring readings were compared.",
        apply=creep,
    ),
)
