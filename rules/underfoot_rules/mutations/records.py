"""Tests left out, misdated or too late; papers and waivers that do not hold."""

import random
from datetime import date, timedelta

from underfoot.api.rules import Data, Expected, Severity
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.readings import STAGES, caused_by, choose_test

CALLED_FOR = {"laid": ("laid",), "covered": ("laid", "covered"), "handed over": ("laid", "covered")}


@mutation("rcd-trip", "rcd-slow")
def trip_late(plan: Data, rng: random.Random) -> Caused:
    """The RCD trips, but too late."""
    test = choose_test(plan, rng, "rcd_trip_time")
    given(plan["supply"].get("system") != "SELV")
    test["rcd_trip_time"] = f"{rng.choice((0, 1, 2.9, 301, rng.randint(302, 900)))} ms"
    return caused_by("rcd-trip", test, severity="error")


@mutation("test-stages", "test-skipped")
def skip_test(plan: Data, rng: random.Random) -> Caused:
    """A test was left out."""
    # Leave out a test that the plan's status calls for.
    test = choose_test(plan, rng, "stage")
    given(test["stage"] in CALLED_FOR.get(plan.get("status", "for review"), ()))
    if rng.random() < 0.5:
        plan["tests"].remove(test)
    else:  # written down, and one of the two readings forgotten
        test.pop(rng.choice(("load_resistance", "insulation_resistance")), None)
    refused = plan["status"] == "handed over" and test["stage"] == "covered"
    severity: Severity = "error" if refused else "warning"
    return caused_by("test-stages", test, severity=severity)


@mutation("test-stages", "status-moved-on")
def move_status_on(plan: Data, rng: random.Random) -> Caused:
    """The work went on, and nobody tested."""
    before = plan.get("status", "for review")
    plan["status"] = "covered" if before == "laid" else "laid"
    given(before in ("for review", "laid") and (before != "for review" or not plan.get("tests")))
    stage = plan["status"]
    given(not any(test["stage"] == stage for test in plan.get("tests") or []))
    return tuple(
        Expected(rule="test-stages", room=None, items=(name, stage), severity="warning")
        for name in plan["circuits"]
    )


@mutation("test-date", "year-mistaken")
def date_ahead(plan: Data, rng: random.Random) -> Caused:
    """The date of a test was mistyped, or left out."""
    test = choose_test(plan, rng, "date")
    stages = [t["stage"] for t in plan["tests"] if t["circuit"] == test["circuit"]]
    given(test["stage"] == max(stages, key=STAGES.index))
    items = (test["circuit"], test["stage"])
    if rng.random() < 0.3:
        del test["date"]
        return cause("test-date", None, *items, severity="warning")
    day = date.fromisoformat(test["date"])
    test["date"] = day.replace(year=rng.choice((2062, 2116)), day=min(day.day, 28)).isoformat()
    own = [Expected(rule="test-date", room=None, items=items, severity="error")]
    if test["stage"] == "covered" and "laid" in stages:
        own.append(Expected(rule="covering-delay", room=None, items=items[:1], severity="note"))
    return tuple(own)


def _choose_covered(plan: Data, rng: random.Random) -> tuple[Data, date]:
    """Choose a dated test of a covered floor; give the date of that of the laid one."""
    test = choose_test(plan, rng, "date")
    laid = [t for t in plan["tests"] if t["stage"] == "laid" and t["circuit"] == test["circuit"]]
    given(test["stage"] == "covered" and laid and "date" in laid[0])
    return test, date.fromisoformat(laid[0]["date"])


@mutation("test-date", "covered-before-laid")
def cover_before_laying(plan: Data, rng: random.Random) -> Caused:
    """The tests were written up from memory, in the wrong order."""
    test, laid = _choose_covered(plan, rng)
    test["date"] = (laid - timedelta(days=rng.randint(1, 30))).isoformat()
    return cause("test-date", None, test["circuit"], "covered", severity="error")


@mutation("covering-delay", "left-open")
def leave_open(plan: Data, rng: random.Random) -> Caused:
    """The laid film lay open for weeks while others worked over it."""
    test, laid = _choose_covered(plan, rng)
    test["date"] = (laid + timedelta(days=rng.randint(8, 36))).isoformat()
    return cause("covering-delay", None, test["circuit"], severity="note")


@mutation("paperwork", "head-not-filled-in")
def lose_head(plan: Data, rng: random.Random) -> Caused:
    """A field of the plan's head was left empty."""
    keys = [key for key in ("title", "reference", "revision", "date") if key in plan.get("job", {})]
    key = pick(rng, keys)
    del plan["job"][key]
    draft = plan.get("status") == "draft"
    return cause("paperwork", None, key, severity="note" if draft else "warning")


@mutation("paperwork", "papers-kept")
def keep_papers(plan: Data, rng: random.Random) -> Caused:
    """A paper was not handed over with the floor."""
    given(plan.get("status") == "handed over" and plan.get("handover"))
    key = rng.choice(("diagram", "certificate", "left_with_customer"))
    if rng.random() < 0.5:
        plan["handover"].pop(key, None)
    else:
        plan["handover"][key] = "unsigned" if key == "certificate" else False
    return cause("paperwork", None, key, severity="warning")


@mutation("waiver-lapsed", "waiver-does-not-hold")
def waive_badly(plan: Data, rng: random.Random) -> Caused:
    """An agreement was written down that ran out, or that nobody needs."""
    waiver = {
        "rule": "wall-clearance",
        "item": rng.choice(heated_rooms(plan)),
        "reason": "agreed on site",
        "agreed_by": "design lead",
    }
    faults: tuple[Data, ...] = (
        {"until": "2020-01-31"}, {"reason": None}, {"agreed_by": None}, {"item": "no-such-thing"},
        {}, {"rule": "no-such-rule"}, {"item": None},
    )  # fmt: skip
    waiver = {key: said for key, said in {**waiver, **rng.choice(faults)}.items() if said}
    plan.setdefault("waivers", []).append(waiver)
    items = [waiver[key] for key in ("rule", "item") if key in waiver]
    return cause("waiver-lapsed", None, *items, severity="warning")
