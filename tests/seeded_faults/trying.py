"""Tries mutations on plans until enough of them fit."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.seeded_faults.judging import Found, Verdict, damage, judge
from underfoot.api.rules import Data, Mutation


@dataclass(frozen=True, slots=True)
class Right:
    """A right plan with what is found in it, which is nothing, or what is known of it."""

    name: str
    plan: Data
    found: Found


def try_mutation(
    mutation: Mutation, demos: Sequence[Right], drawn: Sequence[Right], seed: int, rounds: int = 3
) -> Iterator[Verdict]:
    """Damage the demo plans, then the drawn ones in an order of the mutation's own, and judge.

    Each round goes over all plans, with other damage.
    """
    for number in range(rounds):
        order = list(drawn)
        random.Random(f"{mutation.name} {seed} {number}").shuffle(order)
        for right in (*demos, *order):
            of_plan = seed + number
            damaged = damage(mutation, right.plan, of_plan)
            if damaged is not None:
                yield judge(mutation, damaged, right.found, right.name, of_plan)
