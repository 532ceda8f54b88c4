"""A key that a rule needs and the plan leaves out is said to be missing, never passed over.

Which keys each rule needs stands in needed_keys.yaml, rule by rule; and whatever stands under a key
and could be wrong is looked for by putting other values there.
"""

from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

import pytest
import yaml

from tests.missing_keys.leaving_out import (
    Data,
    leave_out,
    list_keys,
    plan_named,
    report_on,
    row_of,
    rules_that_hang_on,
    split,
)
from underfoot.checking.report import PlanReport
from underfoot_rules import STANDARD

pytestmark = pytest.mark.oracle

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


# Those that cost seconds; CI has the time.
SLOW = PLANS[1:]


@pytest.mark.parametrize(
    "name",
    [pytest.param(one, marks=pytest.mark.long) if one in SLOW else one for one in PLANS],
)
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
