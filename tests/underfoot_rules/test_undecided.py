"""A key that a rule needs and the plan leaves out is said to be missing, never passed over.

Which keys each rule needs stands in needed_keys.yaml, rule by rule; and whatever stands under a key
and could be wrong is looked for by putting other values there.
"""

from __future__ import annotations

from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.underfoot_rules.leaving_out import (
    Data,
    leave_out,
    list_keys,
    plan_named,
    report_on,
    row_of,
    rules_that_hang_on,
    split,
)
from tests.underfoot_rules.plans import check, of_rule, tally_of
from underfoot.checking.report import PlanReport
from underfoot_rules import STANDARD

TOLD = yaml.safe_load(Path(__file__).with_name("needed_keys.yaml").read_text("utf-8"))
NEEDED = [
    (rule, plan, key)
    for rule, plans in TOLD["needed"].items()
    for plan, keys in plans.items()
    for key in keys
]
PLANS = ("base", "bathroom.yaml", "conservatory.yaml", "guest-room.yaml")


@cache
def right(name: str) -> tuple[Data, PlanReport]:
    plan = plan_named(name)
    return plan, report_on(plan)


def is_passed(rule: str, less: PlanReport, before: PlanReport) -> bool:
    """Whether a rule neither finds more nor leaves more open than it did with the key."""
    now, then = row_of(less, rule), row_of(before, rule)
    return now.found <= then.found and now.undecided <= then.undecided


@pytest.mark.parametrize(("rule", "plan", "key"), NEEDED)
def test_without_a_key_that_it_needs_a_rule_does_not_pass(rule: str, plan: str, key: str) -> None:
    whole, before = right(plan)
    less = report_on(leave_out(whole, split(key)))
    assert less.problems or not is_passed(rule, less, before)


def test_every_rule_says_what_it_needs() -> None:
    rules = {rule.id for rule in STANDARD.rules}
    silent = rules - set(TOLD["needed"]) - set(TOLD["nothing"])
    assert not silent, "list in needed_keys.yaml which keys these rules need, or why none"
    assert set(TOLD["needed"]) | set(TOLD["nothing"]) == rules
    assert not set(TOLD["needed"]) & set(TOLD["nothing"])


def is_taken(rule: str, path: str) -> bool:
    return any(
        row["rule"] == rule and (row["key"] == "**" or _fits(path, row["key"]))
        for row in TOLD["taken"]
    )


def _fits(path: str, pattern: str) -> bool:
    steps, wanted = path.split("."), pattern.split(".")
    return len(steps) == len(wanted) and all(map(fnmatchcase, steps, wanted))


@pytest.mark.parametrize("name", PLANS)
def test_a_key_whose_value_a_verdict_hangs_on_is_missed(name: str) -> None:
    """Put other values under every key; what finds one of them wrong must miss the key, too.

    It is enough that some other rule misses it: the plan is then not called in order.
    """
    plan, before = right(name)
    passed = []
    for path, value in list_keys(plan):
        less = report_on(leave_out(plan, path))
        if less.problems:
            continue
        if any(not is_passed(row.rule, less, before) for row in before.checks):
            continue
        dotted = ".".join(map(str, path))
        passed += [
            f"{rule} passes without {dotted}, but not with {other}"
            for rule, other in rules_that_hang_on(plan, path, value, before).items()
            if not is_taken(rule, dotted) and not row_of(less, rule).undecided
        ]
    assert passed == []


NO_USE = "what the room is used for is not given (`use`)"
EARTHED = {"mesh": 30, "earthed": True, "protective_conductor": "4 mm2"}
CONCRETE = {"kind": "concrete", "below": "heated"}


def room(**change: Any) -> dict[str, Any]:
    return {"rooms": {"room": change}}


@pytest.mark.parametrize(
    ("change", "rule", "why"),
    [
        # It might be a bathroom, which asks for a grid over any film.
        (room(use=None), "protective-grid", NO_USE),
        (room(use="hall"), "protective-grid", None),
        (room(use=None, grid=EARTHED), "protective-grid", None),
        # It might be a conservatory, which asks for two layers on concrete.
        (room(use=None, subfloor=CONCRETE), "insulation-layers", NO_USE),
        (room(use="hall", subfloor=CONCRETE), "insulation-layers", None),
        (
            room(
                use=None,
                subfloor=CONCRETE,
                insulation={"layers": [{"courses": "x", "stagger": 600}, {"courses": "y"}]},
            ),
            "insulation-layers",
            None,
        ),
    ],
)
def test_what_a_room_is_for(change: dict[str, Any], rule: str, why: str | None) -> None:
    report = check(change)
    assert not of_rule(report, rule)
    assert (tally_of(report, rule).checked, tally_of(report, rule).why) == (1, why)


def test_how_warm_a_covering_may_get() -> None:
    # 80 W/m2 make 26.5 degC of it (the rule's page): fine for a room, perhaps not for the oak.
    subfloor = {"layers": [{"thickness": 250, "resistance": "1.1 m2 K/W"}]}
    bare = {"materials": {"coverings": {"oak-14": {"warmest_surface": None}}}}
    for change, why in (
        (room(subfloor=subfloor), None),
        (
            {**bare, **room(subfloor=subfloor)},
            "the warmest surface that oak-14 may have is not given",
        ),
    ):
        report = check(change)
        assert not of_rule(report, "floor-temperature")
        assert tally_of(report, "floor-temperature").why == why
