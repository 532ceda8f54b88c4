"""Makes a mutation of a function that damages a plan in place."""

import random
from collections.abc import Callable, Iterable
from typing import TypeVar

from underfoot.api.rules import Damaged, Data, Expected, Mutation, Severity
from underfoot_rules.mutations.expand_rows import copy_plan

Thing = TypeVar("Thing")

Caused = tuple[Expected, ...]
Damage = Callable[[Data, random.Random], Caused | None]


class UnfitError(Exception):
    """A damage does not fit the plan: what it would spoil is not there."""


def mutation(rule: str, name: str, *, not_set: str = "") -> Callable[[Damage], Mutation]:
    """Make a mutation of a function that damages the copy of a plan that it is handed.

    Its docstring says what somebody got wrong, in one line. It returns what the damage is sure to
    cause, if anything, and raises UnfitError where it does not fit.
    """

    def of(damage: Damage) -> Mutation:
        def apply(data: Data, rng: random.Random) -> Damaged | None:
            plan = copy_plan(data)
            try:
                expected = damage(plan, rng)
            except UnfitError:
                return None
            return Damaged(data=plan, expected=expected or ())

        says = damage.__doc__ or ""
        return Mutation(rule=rule, name=name, says=says, apply=apply, not_set=not_set)

    return of


def given(thing: Thing | None) -> Thing:
    """Return a thing that a damage needs; where it is missing, empty or false, none fits."""
    if not thing:
        raise UnfitError
    return thing


def pick(rng: random.Random, things: Iterable[Thing]) -> Thing:
    """Choose one of the things; where there is none, no damage fits."""
    return rng.choice(given(list(things)))


def cause(rule: str, room: str | None, *items: str, severity: Severity | None = None) -> Caused:
    """Return one finding as all that a damage is sure to cause."""
    return (Expected(rule=rule, room=room, items=items, severity=severity),)
