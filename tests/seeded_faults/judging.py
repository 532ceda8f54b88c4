"""Damages plans, checks them, and holds what was found against what the damage causes."""

import json
import random
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from tests.second_opinion.foreseeing import foresee
from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot.checking.check import Checker, check_source, make_checker
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

A_DAY = date(2026, 12, 1)
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), A_DAY)

Found = frozenset[Expected]


def find(plan: Data, bench: Checker = BENCH) -> Found:
    """Check a plan with the whole set and give what was found, waived or not.

    A plan that cannot be read, and a rule that crashes, are findings that nobody expects.
    """
    report = check_source(json.dumps(plan).encode(), bench, path="plan.yaml")
    return frozenset(
        (
            *(
                Expected(rule="unreadable", room=None, items=(each.path, each.message))
                for each in report.problems
            ),
            *(
                Expected(rule=f"{each.rule} crashed", room=None, items=(each.message,))
                for each in report.faults
            ),
            *(
                Expected(rule=f.rule, room=f.room, items=tuple(f.items), severity=f.severity)
                for f in report.findings
            ),
        )
    )


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one damaged plan came to.

    `caused` is what the damage causes; `missed` of it was not found, `false` was found but is not
    caused. `seed` with the plan's name makes the same damage again.
    """

    mutation: str
    rule: str
    plan: str
    seed: int
    caused: tuple[Expected, ...]
    missed: tuple[Expected, ...]
    false: tuple[Expected, ...]


def damage(mutation: Mutation, plan: Data, seed: int) -> Damaged | None:
    """Damage a plan by a mutation with a random source of its own, and say all that this causes.

    None where the mutation does not fit the plan, or where that cannot be said for sure.
    """
    damaged = mutation.apply(plan, random.Random(f"{mutation.name} {seed}"))
    return None if damaged is None else foresee(mutation, plan, damaged)


def judge(
    mutation: Mutation,
    damaged: Damaged,
    before: Found,
    plan: str,
    seed: int,
    bench: Checker = BENCH,
) -> Verdict:
    """Check a damaged plan; what the right plan already had is left out on both sides."""
    found = find(damaged.data, bench) - before
    caused = tuple(each for each in damaged.expected if not covers(each, before))
    missed = tuple(each for each in caused if not covers(each, found))
    false = [each for each in found if not any(_same(cause, each) for cause in caused)]
    false.sort(key=lambda each: (each.rule, each.room or "", each.items))
    return Verdict(mutation.name, mutation.rule, plan, seed, caused, missed, tuple(false))


def covers(expected: Expected, found: Iterable[Expected]) -> bool:
    """Tell whether a finding is among those found."""
    return any(_same(expected, each) for each in found)


def _same(expected: Expected, found: Expected) -> bool:
    return expected.identity == found.identity and expected.severity in (None, found.severity)
