"""Two damages to one plan: a sample of pairs, each of which must show both.

The big run (``python -m tests.seeded_faults``) judges thousands.
"""

from functools import cache
from itertools import islice

import pytest
from msgspec.structs import replace

from tests.seeded_faults.judging import A_DAY
from tests.seeded_faults.pairing import are_apart, draw_pairs, list_changes, try_pair
from tests.seeded_faults.plans import right_plan
from tests.seeded_faults.trying import Right
from underfoot.api.rules import Mutation
from underfoot.checking.check import make_checker
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

pytestmark = pytest.mark.oracle

SEED = 30_000
PLANS = 12
PARTS, EACH = 6, 6


@cache
def rights() -> tuple[Right, ...]:
    return tuple(
        Right(f"plan {seed}", right_plan(seed), frozenset()) for seed in range(SEED, SEED + PLANS)
    )


def mutation_named(name: str) -> Mutation:
    return next(each for each in STANDARD.mutations if each.name == name)


@pytest.mark.parametrize("part", range(PARTS))
def test_of_two_damages_both_are_found(part: int) -> None:
    verdicts = list(islice(draw_pairs(rights(), SEED + part), EACH))
    assert [verdict for verdict in verdicts if verdict.missed] == []
    assert len({each.rule for verdict in verdicts for each in verdict.caused}) > EACH // 2


def test_a_rule_that_falls_silent_beside_another_would_be_noticed() -> None:
    first, second = mutation_named("fixture-added"), mutation_named("rcd-saved")
    hearing = tuple(rule for rule in STANDARD.rules if rule.id != "rcd")
    deaf = make_checker([replace(STANDARD, rules=hearing)], default_settings(STANDARD.rules), A_DAY)
    pairs = [
        (try_pair(first, second, right, 1), try_pair(first, second, right, 1, deaf))
        for right in rights()
    ]
    judged = [(heard, lost) for heard, lost in pairs if heard is not None and lost is not None]
    assert judged
    for heard, lost in judged:
        assert heard.missed == ()
        assert [each.rule for each in lost.missed] == ["rcd"]


def test_what_silences_and_is_silenced_is_no_pair() -> None:
    first, second = mutation_named("sensor-forgotten"), mutation_named("cabinet-over-sensor")
    assert all(try_pair(first, second, right, 1) is None for right in rights())
    assert all(try_pair(second, first, right, 1) is None for right in rights())


def test_the_same_damage_twice_is_no_pair() -> None:
    twice = mutation_named("covering-nailed")
    assert all(try_pair(twice, twice, right, 1) is None for right in rights())


def test_changes_are_listed_by_their_paths() -> None:
    old = {"rooms": {"a": {"elements": {}, "height": 1, "route": [1, 2]}}, "circuits": {"C": {}}}
    new = {
        "rooms": {"a": {"elements": {}, "height": 2, "route": [1, 3]}},
        "circuits": {"C": {"rcd": 1}},
    }
    assert list_changes(old, new) == [
        ("rooms", "a", "height"),
        ("rooms", "a", "route", 1),
        ("circuits", "C", "rcd"),
    ]


@pytest.mark.parametrize(
    ("some", "other", "apart"),
    [
        (("a", "b"), ("a", "c"), True),
        (("a", "b"), ("a", "b"), False),
        (("a",), ("a", "b"), False),
        (("a", "b"), ("a",), False),
    ],
)
def test_changes_apart(some: tuple[str, ...], other: tuple[str, ...], apart: bool) -> None:
    assert are_apart([some], [other]) is apart
