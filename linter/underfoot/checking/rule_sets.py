"""Finds rule sets through the entry-point group ``underfoot.rule_sets``."""

import sys
from collections.abc import Container, Iterator, Sequence
from contextlib import redirect_stdout
from importlib.metadata import entry_points
from typing import Any

from msgspec.structs import replace

from underfoot.checking.crash import describe
from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis, Finding, Subject
from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.rule import API_VERSION, AnyRule, Limits, Rule, RuleSet
from underfoot.checking.rule_order import STANDARD
from underfoot.checking.soundness import MistakenError, find_mistake, find_mistake_in_silence

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
        if wanted is not None and entry.name != STANDARD and entry.name not in wanted:
            continue
        try:
            with redirect_stdout(sys.stderr):  # the output is the report's alone
                loaded = entry.load()
        except (Exception, SystemExit) as error:  # whatever a foreign package raises on import
            said = describe(error, entry.module)
            raise RuleSetError(f"the rule set {entry.name} cannot be loaded: {said}") from error
        if not isinstance(loaded, RuleSet):
            raise RuleSetError(f"the rule set {entry.name} is no RuleSet ({entry.value})")
        if loaded.api != API_VERSION:
            raise RuleSetError(
                f"the rule set {entry.name} is written for version {loaded.api!r} of "
                f"underfoot.api; this Underfoot has version {API_VERSION}: install a set that is "
                "written for it"
            )
        sets.append(replace_mistaken(loaded))
    return _part_namesakes(sets)


def replace_mistaken(rule_set: RuleSet) -> RuleSet:
    """Put in the place of a rule that is no sound value one that crashes and says why.

    So it costs nobody else's findings, and no report is silent about it. Of a suppression that is
    none, likewise.
    """
    rules: list[AnyRule] = []
    for number, rule in enumerate(_list_parts(rule_set.rules), 1):
        mistake = find_mistake(rule)
        if mistake is None:
            rules.append(rule)
        else:
            name = getattr(rule, "id", None)
            called = name if isinstance(name, str) else f"{rule_set.name}, rule {number}"
            rules.append(_make_crashing(called, mistake, rule_set.name))
    silences = []
    for number, silence in enumerate(_list_parts(rule_set.silences), 1):
        mistake = find_mistake_in_silence(silence)
        if mistake is None:
            silences.append(silence)
        else:
            rules.append(
                _make_crashing(f"{rule_set.name}, suppression {number}", mistake, rule_set.name)
            )
    return replace(rule_set, rules=tuple(rules), silences=tuple(silences))


def _list_parts(parts: object) -> tuple[Any, ...]:
    """List what should be a tuple; what is no list at all is a part that is none."""
    return tuple(parts) if isinstance(parts, (tuple, list)) else (parts,)


def _part_namesakes(sets: Sequence[RuleSet]) -> tuple[RuleSet, ...]:
    """Let an id belong to the standard set's rule, or to the first; another's crashes by name."""
    taken: dict[str, str] = {MAKERS_FIGURES.id: "the program itself"}
    parted = {}
    for rule_set in sorted(sets, key=lambda each: each.name != STANDARD):
        rules: list[AnyRule] = []
        for rule in rule_set.rules:
            owner = taken.setdefault(rule.id, f"the rule set {rule_set.name}")
            if rule.id in {each.id for each in rules} or owner != f"the rule set {rule_set.name}":
                mistake = f"{owner} has a rule {rule.id} already: choose another id"
                rules.append(
                    _make_crashing(
                        f"{rule_set.name}, rule {len(rules) + 1}", mistake, rule_set.name
                    )
                )
            else:
                rules.append(rule)
        parted[id(rule_set)] = replace(rule_set, rules=tuple(rules))
    return tuple(parted[id(rule_set)] for rule_set in sets)


def _make_crashing(name: str, mistake: str, rule_set: str) -> AnyRule:
    def list_none(facts: Facts) -> Iterator[Subject[None]]:
        raise MistakenError(f"a mistake in the rule set {rule_set}: {mistake}")

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
