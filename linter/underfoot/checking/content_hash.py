"""Hashes of what was reviewed: the plan, its catalogue, the settings, the rules."""

import json
from collections.abc import Sequence
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, entry_points, version
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_sets import GROUP
from underfoot.checking.settings import Settings
from underfoot.plan import Plan
from underfoot.reading.plan_file import Taken
from underfoot.reading.review_file import ReviewedContent

# What is compared, by the name that a reader knows it under.
PARTS = ("plan", "catalogue", "settings", "rules")


def hash_bytes(content: bytes) -> str:
    """Write the SHA-256 of a content as review files do."""
    return f"sha256:{sha256(content).hexdigest()}"


def hash_content(
    source: bytes, plan: Plan, settings: Settings, taken: Taken | None
) -> ReviewedContent:
    """Hash a plan as it stands, with its catalogue and the settings in force; `rules` is empty.

    `taken` is the catalogue as it was read for the plan.
    """
    return ReviewedContent(
        plan=hash_bytes(source),
        settings=_hash_values(_settings(settings)),
        rules="",
        catalogue=None if taken is None or taken.source is None else hash_bytes(taken.source),
        revision=plan.job.revision if plan.job is not None else None,
    )


class HashedRules(Struct, frozen=True, kw_only=True):
    """The hash of the rules, and the versions of underfoot and the rule sets in words."""

    hash: str
    said: str


def hash_rules(sets: Sequence[RuleSet], tool: str) -> HashedRules:
    """Hash the rules of a run; `tool` is underfoot's version."""
    versions = _versions_of_sets(sets)
    said = [f"underfoot {tool}", *(f"{name} {number}" for name, number in versions.items())]
    values = [tool, versions, [_rules(each) for each in sets]]
    return HashedRules(hash=_hash_values(values), said=", ".join(said))


def with_rules(content: ReviewedContent, rules: HashedRules) -> ReviewedContent:
    """Add the hash of the rules, and what they were."""
    return replace(content, rules=rules.hash, checked_with=rules.said)


def find_changes(then: ReviewedContent, now: ReviewedContent) -> tuple[str, ...]:
    """Name the parts that differ; rules count only where both have their hash."""
    return tuple(
        part
        for part in PARTS
        if getattr(then, part) != getattr(now, part) and (part != "rules" or now.rules)
    )


def _settings(settings: Settings) -> Any:
    """What settings change, without the places and the reasons: those decide nothing.

    What came to settings later is left out where it is not used, so that older hashes still hold.
    """
    floor = settings.undecided_floor
    materials = settings.materials_from
    return {
        **({} if materials is None else {"materials_from": sorted(materials.catalogues)}),
        **({} if floor is None else {"undecided_floor": floor[0]}),
        "limits": {
            rule: {
                key: [limit.value, limit.unit]
                for key, limit in limits.items()
                if limit.origin is not None
            }
            for rule, limits in settings.limits.items()
            if any(limit.origin is not None for limit in limits.values())
        },
        "severities": {rule: word for rule, (word, _) in settings.severities.items()},
        "off": sorted(settings.off),
        "undecided": {rule: word for rule, (word, _) in settings.undecided.items()},
        "may_waive": sorted(settings.may_waive),
        "never_waive": sorted(settings.never_waive),
        "rule_sets": None if settings.rule_sets is None else sorted(settings.rule_sets),
    }


def _rules(rule_set: RuleSet) -> Any:
    return [
        rule_set.name,
        sorted(
            [
                rule.id,
                list(rule.severities),
                rule.unit,
                [[limit.key, limit.default, limit.unit] for limit in rule.limits],
            ]
            for rule in rule_set.rules
        ),
    ]


def _versions_of_sets(sets: Sequence[RuleSet]) -> dict[str, str]:
    """The version of the package that brings each set, where one is installed."""
    wanted = {each.name for each in sets}
    found: dict[str, str] = {}
    for entry in sorted(entry_points(group=GROUP), key=lambda entry: entry.name):
        if entry.name in wanted and entry.dist is not None:
            try:
                found[entry.name] = version(entry.dist.name)
            except PackageNotFoundError:
                continue
    return found


def _hash_values(values: Any) -> str:
    return hash_bytes(json.dumps(values, sort_keys=True, ensure_ascii=True).encode())
