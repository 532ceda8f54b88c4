"""Every mutation, on right plans drawn and of the scenario, and these themselves.

The big run (``python -m tests.seeded_faults``) does the same thousands of times.
"""

import json
from functools import cache
from itertools import islice

import pytest
from msgspec.structs import replace

from tests.second_opinion.listing import list_faults
from tests.seeded_faults.demo_plans import demo_plans
from tests.seeded_faults.judging import A_DAY, BENCH, damage, find, judge
from tests.seeded_faults.plans import right_plan
from tests.seeded_faults.trying import Right, try_mutation
from underfoot.api.rules import Damaged, Mutation
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.report import NO_OBJECTION
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

pytestmark = pytest.mark.oracle

SEED = 20_000
PLANS = 50
EACH = 2
DEMOS = demo_plans()


@cache
def drawn(seed: int) -> Right:
    return Right(f"plan {seed}", right_plan(seed), frozenset())


def some_drawn(count: int) -> tuple[Right, ...]:
    return tuple(drawn(seed) for seed in range(SEED, SEED + count))


@pytest.mark.parametrize("first", range(SEED, SEED + PLANS, 10))
def test_nothing_is_found_in_right_plans(first: int) -> None:
    for seed in range(first, first + 10):
        assert find(right_plan(seed)) == frozenset(), seed


def test_right_plans_say_enough_to_be_judged() -> None:
    for seed in range(SEED, SEED + PLANS, 4):
        text = json.dumps(right_plan(seed)).encode()
        report = check_source(text, BENCH, path="plan.yaml")
        assert report.verdict == NO_OBJECTION, (seed, report.checks)


@pytest.mark.parametrize("name", DEMOS)
def test_no_more_is_found_in_a_right_demo_plan_than_is_known(name: str) -> None:
    plan, known = DEMOS[name]
    assert find(plan) == known


@pytest.mark.parametrize("name", DEMOS)
def test_the_arithmetic_beside_the_rules_finds_nothing_in_a_right_demo_plan(name: str) -> None:
    assert list_faults(DEMOS[name][0], heat=False) == ()


@pytest.mark.parametrize("mutation", STANDARD.mutations, ids=lambda each: each.name)
def test_a_damage_is_found_and_nothing_else(mutation: Mutation) -> None:
    demos = tuple(Right(name, plan, known) for name, (plan, known) in DEMOS.items())
    verdicts = list(islice(try_mutation(mutation, (), some_drawn(30), SEED, 1), EACH - 1))
    verdicts += islice(try_mutation(mutation, demos, (), SEED, 2), EACH - len(verdicts))
    if not verdicts:
        verdicts += islice(try_mutation(mutation, (), some_drawn(300), SEED + 1, 2), 1)
    assert verdicts, "it fits no plan"
    for verdict in verdicts:
        assert verdict.caused[0].rule == mutation.rule
        assert verdict.missed == (), verdict
        assert verdict.false == (), verdict


def test_every_rule_that_a_plan_can_break_has_a_mutation() -> None:
    assert {rule.id for rule in STANDARD.rules} == {each.rule for each in STANDARD.mutations}


def test_mutations_say_what_went_wrong_in_a_line() -> None:
    names = [mutation.name for mutation in STANDARD.mutations]
    assert len(set(names)) == len(names)
    for mutation in STANDARD.mutations:
        assert mutation.says.endswith(".")
        assert len(mutation.says) <= 100, mutation.says


@pytest.mark.parametrize("mutation", STANDARD.mutations[::7], ids=lambda each: each.name)
def test_a_seed_gives_one_damage_and_leaves_the_plan_alone(mutation: Mutation) -> None:
    for right in some_drawn(8):
        before = json.dumps(right.plan)
        first, second = damage(mutation, right.plan, 7), damage(mutation, right.plan, 7)
        assert first == second
        assert json.dumps(right.plan) == before


def damaged_plan(name: str) -> tuple[Damaged, Mutation]:
    mutation = next(each for each in STANDARD.mutations if each.name == name)
    damages = (damage(mutation, right.plan, 1) for right in some_drawn(10))
    return next(each for each in damages if each is not None), mutation


def test_a_rule_that_is_deaf_would_be_noticed() -> None:
    damaged, mutation = damaged_plan("fixture-added")
    hearing = tuple(rule for rule in STANDARD.rules if rule.id != "fixture-clearance")
    bench = make_checker(
        [replace(STANDARD, rules=hearing)], default_settings(STANDARD.rules), A_DAY
    )
    verdict = judge(mutation, damaged, frozenset(), "plan", 1, bench)
    assert {each.rule for each in verdict.missed} == {"fixture-clearance"}
    assert verdict.false == ()


def test_a_finding_that_nobody_expects_would_be_noticed() -> None:
    damaged, mutation = damaged_plan("row-pushed-together")
    less = Damaged(data=damaged.data, expected=damaged.expected[1:])
    verdict = judge(mutation, less, frozenset(), "plan", 1)
    assert verdict.false == damaged.expected[:1]
    assert verdict.missed == ()
