"""Tests left out, read wrong or too late; papers and waivers that do not hold."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

from underfoot.api import Damaged, Data, Expected, Mutation, read_quantity
from underfoot_rules.mutations.causing import cause
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.comparing import UnclearError, exceeds
from underfoot_rules.mutations.drawn import Strip, draw
from underfoot_rules.mutations.loads import strip_power, volts
from underfoot_rules.mutations.opening import copy_plan, open_rows

STAGES = ("made up", "laid", "covered")
CALLED_FOR = {"laid": ("laid",), "covered": ("laid", "covered"), "handed over": ("laid", "covered")}


def _choose(data: Data, rng: random.Random, key: str) -> tuple[Data, Data] | None:
    """Copy a plan and choose one of its tests that records something."""
    plan = copy_plan(data)
    tests = [test for test in plan.get("tests") or [] if key in test]
    names = [(test["circuit"], test["stage"]) for test in plan.get("tests") or []]
    if not tests or len(set(names)) != len(names):
        return None
    return plan, rng.choice(tests)


def _ohm(value: str) -> float:
    return read_quantity(value, "ohm")


def _drifts(plan: Data, circuit: str) -> Iterator[Expected]:
    """Find the readings of a circuit that moved too far from one stage to the next."""
    tests = {t["stage"]: t for t in plan["tests"] if t["circuit"] == circuit}
    read = [
        (stage, _ohm(tests[stage]["load_resistance"]))
        for stage in STAGES
        if stage in tests and "load_resistance" in tests[stage]
    ]
    for (_, earlier), (stage, later) in pairwise(read):
        if exceeds(100 * abs(later - earlier) / earlier, 5, 0.01):
            yield Expected("resistance-drift", None, (circuit, stage), "warning")


def _conductances(plan: Data, circuit: str) -> list[tuple[float, float]]:
    """Give each strip's least and greatest conductance by its tolerance."""
    opened = open_rows(plan)
    found: list[tuple[float, float]] = []
    for room in heated_rooms(opened):
        for strip in draw(opened, room).strips.values():
            if strip.circuit == circuit:
                found.append(_band(opened, strip))
    return found


def _band(plan: Data, strip: Strip) -> tuple[float, float]:
    tolerance = plan["materials"]["films"][strip.film].get("tolerance")
    if tolerance is None:
        raise UnclearError
    siemens = strip_power(plan, strip) / volts(plan) ** 2
    return siemens * (1 + tolerance[0] / 100), siemens * (1 + tolerance[1] / 100)


def read_load_wrong(data: Data, rng: random.Random) -> Damaged | None:
    """Read a circuit far off its rated resistance."""
    chosen = _choose(data, rng, "load_resistance")
    if chosen is None:
        return None
    plan, test = chosen
    ohms = _ohm(test["load_resistance"]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    key = (test["circuit"], test["stage"])
    own = Expected("load-resistance", None, key, "error")
    try:
        return Damaged(plan, (own, *_drifts(plan, test["circuit"])))
    except UnclearError:
        return None


def read_strip_wrong(data: Data, rng: random.Random) -> Damaged | None:
    """Read one strip far off its rated resistance."""
    chosen = _choose(data, rng, "strips")
    if chosen is None:
        return None
    plan, test = chosen
    strip = rng.choice(list(test["strips"]))
    ohms = _ohm(test["strips"][strip]) * rng.choice((0.5, 0.7, 1.35, 2))
    test["strips"][strip] = f"{ohms:.2f} ohm"
    items = (test["circuit"], test["stage"], strip)
    return cause(plan, "load-resistance", None, *items, severity="error")


def read_circuit_alone(data: Data, rng: random.Random) -> Damaged | None:
    """Read a circuit of many strips as a whole, and no strip by itself."""
    chosen = _choose(data, rng, "strips")
    if chosen is None or "load_resistance" not in chosen[1]:
        return None
    plan, test = chosen
    del test["strips"]
    try:
        bands = _conductances(plan, test["circuit"])
        most = sum(band[1] for band in bands) - min(band[1] for band in bands)
        if len(bands) < 2 or not exceeds(most / sum(band[0] for band in bands), 1, 1e-6):
            return None
    except UnclearError:
        return None
    items = (test["circuit"], test["stage"])
    return cause(plan, "load-resistance", None, *items, severity="note")


def read_insulation_low(data: Data, rng: random.Random) -> Damaged | None:
    """Read too little insulation resistance, or with too little voltage."""
    chosen = _choose(data, rng, "insulation_resistance")
    if chosen is None:
        return None
    plan, test = chosen
    if rng.random() < 0.5:
        test["insulation_resistance"] = f"{rng.choice((0.02, 0.3, 0.49))} Mohm"
    else:
        test["test_voltage"] = f"{rng.choice((50, 100, 240))} V"
    items = (test["circuit"], test["stage"])
    return cause(plan, "insulation-resistance", None, *items, severity="error")


def record_insulation_half(data: Data, rng: random.Random) -> Damaged | None:
    """Record an insulation resistance without what it was measured against."""
    chosen = _choose(data, rng, "insulation_resistance")
    if chosen is None:
        return None
    plan, test = chosen
    if rng.random() < 0.5:
        test.pop("against", None)
    else:
        test["thermostat_disconnected"] = False
    items = (test["circuit"], test["stage"])
    return cause(plan, "insulation-resistance", None, *items, severity="warning")


def drift(data: Data, rng: random.Random) -> Damaged | None:
    """Let a resistance move between two stages, within what the tolerance allows."""
    chosen = _choose(data, rng, "load_resistance")
    if chosen is None:
        return None
    plan, test = chosen
    ohms = _ohm(test["load_resistance"]) * rng.choice((0.93, 0.94, 1.06, 1.07, 1.08))
    test["load_resistance"] = f"{ohms:.2f} ohm"
    try:
        bands = _conductances(plan, test["circuit"])
        low, high = 1 / sum(band[1] for band in bands), 1 / sum(band[0] for band in bands)
        own = tuple(_drifts(plan, test["circuit"]))
    except UnclearError:
        return None
    if not low * 1.001 < ohms < high * 0.999 or not own:
        return None
    return Damaged(plan, own)


def trip_late(data: Data, rng: random.Random) -> Damaged | None:
    """Record an RCD that trips too late."""
    chosen = _choose(data, rng, "rcd_trip_time")
    if chosen is None or data["supply"].get("system") == "SELV":
        return None
    plan, test = chosen
    test["rcd_trip_time"] = f"{rng.randint(301, 900)} ms"
    return cause(plan, "rcd-trip", None, test["circuit"], test["stage"], severity="error")


def skip_test(data: Data, rng: random.Random) -> Damaged | None:
    """Leave out a test that the plan's status calls for."""
    chosen = _choose(data, rng, "stage")
    if chosen is None:
        return None
    plan, test = chosen
    if test["stage"] not in CALLED_FOR.get(plan.get("status", "for review"), ()):
        return None
    plan["tests"].remove(test)
    return cause(plan, "test-stages", None, test["circuit"], test["stage"], severity="warning")


def move_status_on(data: Data, rng: random.Random) -> Damaged | None:
    """Set the status on without the tests that it calls for."""
    plan = copy_plan(data)
    before = plan.get("status", "for review")
    plan["status"] = "covered" if before == "laid" else "laid"
    if before not in ("for review", "laid") or (before == "for review" and plan.get("tests")):
        return None
    stage = plan["status"]
    if any(test["stage"] == stage for test in plan.get("tests") or []):
        return None
    return Damaged(
        plan,
        tuple(Expected("test-stages", None, (name, stage), "warning") for name in plan["circuits"]),
    )


def leave_open(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a laid floor open too long."""
    chosen = _choose(data, rng, "date")
    if chosen is None:
        return None
    plan, test = chosen
    laid = [t for t in plan["tests"] if t["stage"] == "laid" and t["circuit"] == test["circuit"]]
    if test["stage"] != "covered" or not laid or "date" not in laid[0]:
        return None
    days = timedelta(days=rng.randint(8, 60))
    test["date"] = (date.fromisoformat(laid[0]["date"]) + days).isoformat()
    return cause(plan, "covering-delay", None, test["circuit"], severity="note")


def lose_head(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a field of the plan's head empty."""
    plan = copy_plan(data)
    keys = [key for key in ("title", "reference", "revision", "date") if key in plan.get("job", {})]
    if not keys:
        return None
    key = rng.choice(keys)
    del plan["job"][key]
    draft = plan.get("status") == "draft"
    return cause(plan, "paperwork", None, key, severity="note" if draft else "warning")


def keep_papers(data: Data, rng: random.Random) -> Damaged | None:
    """Hand the floor over without one of its papers."""
    if data.get("status") != "handed over" or not data.get("handover"):
        return None
    plan = copy_plan(data)
    key = rng.choice(("diagram", "certificate", "left_with_customer"))
    if rng.random() < 0.5:
        plan["handover"].pop(key, None)
    else:
        plan["handover"][key] = "unsigned" if key == "certificate" else False
    return cause(plan, "paperwork", None, key, severity="warning")


def waive_badly(data: Data, rng: random.Random) -> Damaged | None:
    """Write a waiver that does not hold."""
    plan = copy_plan(data)
    waiver = {
        "rule": "wall-clearance",
        "item": rng.choice(heated_rooms(plan)),
        "reason": "agreed on site",
        "agreed_by": "design lead",
    }
    fault = rng.choice(("expired", "reason", "name", "nothing", "unneeded", "rule", "all"))
    if fault == "expired":
        waiver["until"] = "2020-01-31"
    elif fault == "reason":
        del waiver["reason"]
    elif fault == "name":
        del waiver["agreed_by"]
    elif fault == "nothing":
        waiver["item"] = "no-such-thing"
    elif fault == "rule":
        waiver["rule"] = "no-such-rule"
    elif fault == "all":
        del waiver["item"]
    plan.setdefault("waivers", []).append(waiver)
    items = [waiver[key] for key in ("rule", "item") if key in waiver]
    return cause(plan, "waiver-lapsed", None, *items, severity="warning")


MUTATIONS = (
    Mutation("load-resistance", "circuit-read-wrong",
             "A strip of the circuit is dead or shorted, and the reading was written down.",
             read_load_wrong),
    Mutation("load-resistance", "strip-read-wrong",
             "A strip is damaged, and its reading was written down all the same.",
             read_strip_wrong),
    Mutation("load-resistance", "strips-not-read",
             "A long circuit was read as a whole, which would not show a dead strip.",
             read_circuit_alone),
    Mutation("insulation-resistance", "insulation-low",
             "Film touches the grid, or the tester was set to its lowest voltage.",
             read_insulation_low),
    Mutation("insulation-resistance", "insulation-half-recorded",
             "Nobody wrote down against what, or the thermostat was still connected.",
             record_insulation_half),
    Mutation("resistance-drift", "resistance-moved",
             "A connector came loose between two stages, and nobody compared the readings.",
             drift),
    Mutation("rcd-trip", "rcd-slow", "The RCD trips, but too late.", trip_late),
    Mutation("test-stages", "test-skipped", "A test was left out.", skip_test),
    Mutation("test-stages", "status-moved-on",
             "The work went on, and nobody tested.", move_status_on),
    Mutation("covering-delay", "left-open",
             "The laid film lay open for weeks while others worked over it.", leave_open),
    Mutation("paperwork", "head-not-filled-in",
             "A field of the plan's head was left empty.", lose_head),
    Mutation("paperwork", "papers-kept",
             "A paper was not handed over with the floor.", keep_papers),
    Mutation("waiver-lapsed", "waiver-does-not-hold",
             "An agreement was written down that ran out, or that nobody needs.", waive_badly),
)  # fmt: skip
