"""Finds rule sets through the entry-point group ``underfoot.rule_sets``."""

from __future__ import annotations

from collections.abc import Container
from importlib.metadata import entry_points

from underfoot.checking.rule import RuleSet

GROUP = "underfoot.rule_sets"


class RuleSetError(Exception):
    """A rule set that is missing or cannot be loaded."""


def installed_rule_sets(wanted: Container[str] | None = None) -> tuple[RuleSet, ...]:
    """Load the installed sets by name order; `wanted` keeps those beside the standard one.

    RuleSetError where a set cannot be loaded or is no RuleSet.
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
        sets.append(loaded)
    return tuple(sets)
