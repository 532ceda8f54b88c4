"""Tests left out, misdated or too late; papers and waivers that do not hold."""

from __future__ import annotations

import random
from datetime import date, timedelta

from underfoot.api.rules import Damaged, Data, Expected, Mutation, Severity
from underfoot_rules.mutations.choosing import cause, damages, heated_rooms
from underfoot_rules.mutations.expand_rows import copy_plan
from underfoot_rules.mutations.readings import STAGES, choose_test

CALLED_FOR = {"laid": ("laid",), "covered": ("laid", "covered"), "handed over": ("laid", "covered")}


def trip_late(data: Data, rng: random.Random) -> Damaged | None:
    """Record an RCD that trips too late."""
    chosen = choose_test(data, rng, "rcd_trip_time")
    if chosen is None or data["supply"].get("system") == "SELV":
        return None
    plan, test = chosen
    test["rcd_trip_time"] = f"{rng.choice((0, 1, 2.9, 301, rng.randint(302, 900)))} ms"
    return cause(plan, "rcd-trip", None, test["circuit"], test["stage"], severity="error")


@damages(choose_test, "stage")
def skip_test(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Leave out a test that the plan's status calls for."""
    if test["stage"] not in CALLED_FOR.get(plan.get("status", "for review"), ()):
        return None
    if rng.random() < 0.5:
        plan["tests"].remove(test)
    else:  # written down, and one of the two readings forgotten
        test.pop(rng.choice(("load_resistance", "insulation_resistance")), None)
    refused = plan["status"] == "handed over" and test["stage"] == "covered"
    severity: Severity = "error" if refused else "warning"
    return cause(plan, "test-stages", None, test["circuit"], test["stage"], severity=severity)


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
        data=plan,
        expected=tuple(
            Expected(rule="test-stages", room=None, items=(name, stage), severity="warning")
            for name in plan["circuits"]
        ),
    )


@damages(choose_test, "date")
def leave_open(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Leave a laid floor open too long."""
    laid = [t for t in plan["tests"] if t["stage"] == "laid" and t["circuit"] == test["circuit"]]
    if test["stage"] != "covered" or not laid or "date" not in laid[0]:
        return None
    days = timedelta(days=rng.randint(8, 36))
    test["date"] = (date.fromisoformat(laid[0]["date"]) + days).isoformat()
    return cause(plan, "covering-delay", None, test["circuit"], severity="note")


@damages(choose_test, "date")
def date_ahead(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Get the year of a circuit's last test wrong, or leave its date out."""
    stages = [t["stage"] for t in plan["tests"] if t["circuit"] == test["circuit"]]
    if test["stage"] != max(stages, key=STAGES.index):
        return None
    items = (test["circuit"], test["stage"])
    if rng.random() < 0.3:
        del test["date"]
        return cause(plan, "test-date", None, *items, severity="warning")
    day = date.fromisoformat(test["date"])
    test["date"] = day.replace(year=rng.choice((2062, 2116)), day=min(day.day, 28)).isoformat()
    own = [Expected(rule="test-date", room=None, items=items, severity="error")]
    if test["stage"] == "covered" and "laid" in stages:
        own.append(Expected(rule="covering-delay", room=None, items=items[:1], severity="note"))
    return Damaged(data=plan, expected=tuple(own))


@damages(choose_test, "date")
def cover_before_laying(plan: Data, test: Data, rng: random.Random) -> Damaged | None:
    """Date the test of the covered floor before that of the laid one."""
    laid = [t for t in plan["tests"] if t["stage"] == "laid" and t["circuit"] == test["circuit"]]
    if test["stage"] != "covered" or not laid or "date" not in laid[0]:
        return None
    day = date.fromisoformat(laid[0]["date"]) - timedelta(days=rng.randint(1, 30))
    test["date"] = day.isoformat()
    return cause(plan, "test-date", None, test["circuit"], "covered", severity="error")


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
    Mutation(rule="rcd-trip", name="rcd-slow", says="The RCD trips, but too late.",
             apply=trip_late),
    Mutation(rule="test-stages", name="test-skipped", says="A test was left out.", apply=skip_test),
    Mutation(rule="test-stages", name="status-moved-on",
             says="The work went on, and nobody tested.", apply=move_status_on),
    Mutation(rule="test-date", name="year-mistaken",
             says="The date of a test was mistyped, or left out.", apply=date_ahead),
    Mutation(rule="test-date", name="covered-before-laid",
             says="The tests were written up from memory, in the wrong order.",
             apply=cover_before_laying),
    Mutation(rule="covering-delay", name="left-open",
             says="The laid film lay open for weeks while others worked over it.",
             apply=leave_open),
    Mutation(rule="paperwork", name="head-not-filled-in",
             says="A field of the plan's head was left empty.", apply=lose_head),
    Mutation(rule="paperwork", name="papers-kept",
             says="A paper was not handed over with the floor.", apply=keep_papers),
    Mutation(rule="waiver-lapsed", name="waiver-does-not-hold",
             says="An agreement was written down that ran out, or that nobody needs.",
             apply=waive_badly),
)  # fmt: skip
