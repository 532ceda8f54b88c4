"""Puts the rules of all sets in an order in which a cause comes before what it silences."""

from collections.abc import Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

from msgspec import Struct

from underfoot.checking.rule import AnyRule, RuleSet, Suppression


class RuleOrder(Struct, frozen=True, kw_only=True):
    """The rules to run, in an order in which a cause comes before what it silences."""

    rules: tuple[AnyRule, ...]
    silences: Mapping[str, tuple[Suppression, ...]]
    causes: frozenset[str] = frozenset()


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
    )
