"""Puts the rules of all sets in an order in which a cause comes before what it silences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from graphlib import CycleError, TopologicalSorter
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.finding import Subject
from underfoot.checking.rule import AnyRule, RuleSet, Suppression
from underfoot.checking.soundness import MistakenError

STANDARD = "standard"


class RuleOrder(Struct, frozen=True, kw_only=True):
    """The rules to run, in an order in which a cause comes before what it silences.

    `foreign` are those of other sets than the standard one, each with its set's name.
    """

    rules: tuple[AnyRule, ...]
    silences: Mapping[str, tuple[Suppression, ...]]
    causes: frozenset[str] = frozenset()
    foreign: Mapping[str, str] = {}

    def without(self, left_out: Mapping[str, str]) -> RuleOrder:
        """Let some rules judge nothing, and say why, as rules that crash do."""
        rules = (
            replace(rule, subjects=partial(_refuse, left_out[rule.id]))
            if rule.id in left_out
            else rule
            for rule in self.rules
        )
        return replace(self, rules=tuple(rules))


def _refuse(why: str, facts: Facts) -> Iterator[Subject[Any]]:
    raise MistakenError(why)


def list_foreign(sets: Sequence[RuleSet]) -> dict[str, str]:
    """List the rules of other sets than the standard one, each with its set's name."""
    return {rule.id: each.name for each in sets if each.name != STANDARD for rule in each.rules}


def order_rules(sets: Sequence[RuleSet], off: Mapping[str, object] | None = None) -> RuleOrder:
    """Put the rules of all sets in order; ValueError where two share an id or causes go round."""
    rules: dict[str, AnyRule] = {}
    for rule_set in sets:
        for rule in rule_set.rules:
            if rule.id in rules:
                raise ValueError(f"two rules are called {rule.id}")
            rules[rule.id] = rule
    active = {name: rule for name, rule in rules.items() if not off or name not in off}
    silences: dict[str, list[Suppression]] = {}
    sorter: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(active, ()))
    for silence in (silence for rule_set in sets for silence in rule_set.silences):
        if silence.cause not in active:
            continue
        for name in silence.silenced:
            if name in active:
                silences.setdefault(name, []).append(silence)
                if name != silence.cause:
                    sorter.add(name, silence.cause)
    for name, rule in active.items():
        if rule.last:
            sorter.add(name, *(other for other in active if not active[other].last))
    try:
        order = tuple(sorter.static_order())
    except CycleError as error:
        ring = ", ".join(error.args[1])
        raise ValueError(f"rules that silence each other in a ring: {ring}") from None
    return RuleOrder(
        rules=tuple(active[name] for name in order),
        silences={name: tuple(of_rule) for name, of_rule in silences.items()},
        causes=frozenset(silence.cause for of_rule in silences.values() for silence in of_rule),
        foreign=list_foreign(sets),
    )
