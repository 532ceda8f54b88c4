"""Finds rule sets through the entry-point group ``underfoot.rule_sets``."""

from __future__ import annotations

from collections.abc import Container, Iterator
from importlib.metadata import entry_points

from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis, Finding, Subject
from underfoot.checking.rule import API_VERSION, AnyRule, Limits, Rule, RuleSet
from underfoot.checking.soundness import find_mistake

GROUP = "underfoot.rule_sets"


class RuleSetError(Exception):
    """A rule set that is missing or cannot be loaded."""


def installed_rule_sets(wanted: Container[str] | None = None) -> tuple[RuleSet, ...]:
    """Load the installed sets by name order; `wanted` keeps those beside the standard one.

    RuleSetError where a set cannot be loaded, is no RuleSet, or is written for another version of
    ``underfoot.api``.
    """
    sets = []
    for entry in sorted(entry_points(group=GROUP), key=lambda entry: entry.name):
        if wanted is not None and entry.name != "standard" and entry.name not in wanted:
            continue
        try:
            loaded = entry.load()
        except Exception as error:  # whatever a foreign package raises on import
            raise RuleSetError(f"the rule set {entry.name} cannot be loaded: {error}") from error
        if not isinstance(loaded, RuleSet):
            raise RuleSetError(f"the rule set {entry.name} is no RuleSet ({entry.value})")
        if loaded.api != API_VERSION:
            raise RuleSetError(
                f"the rule set {entry.name} is written for version {loaded.api} of underfoot.api; "
                f"this Underfoot has version {API_VERSION}: install a set that is written for it"
            )
        sets.append(replace_mistaken(loaded))
    return tuple(sets)


def replace_mistaken(rule_set: RuleSet) -> RuleSet:
    """Put in the place of a rule that is no sound value one that crashes and says why.

    So it costs nobody else's findings, and no report is silent about it.
    """
    rules: list[AnyRule] = []
    for number, rule in enumerate(rule_set.rules, 1):
        mistake = find_mistake(rule)
        if mistake is None:
            rules.append(rule)
        else:
            name = getattr(rule, "id", None)
            called = name if isinstance(name, str) else f"{rule_set.name}, rule {number}"
            rules.append(_make_crashing(called, mistake))
    return replace(rule_set, rules=tuple(rules))


def _make_crashing(name: str, mistake: str) -> AnyRule:
    def list_none(facts: Facts) -> Iterator[Subject[None]]:
        raise RuleSetError(mistake)

    def find_none(subject: Subject[None], facts: Facts, limits: Limits) -> Finding | None:
        return None

    return Rule(
        id=name,
        topic="mistaken",
        severities=("error",),
        finds=f"nothing: {mistake}",
        why="A rule with a mistake judges nothing.",
        unit=None,
        basis=Basis(kind="own default", text="none: the rule could not be used"),
        subjects=list_none,
        check=find_none,
        module=__name__,
    )
