"""Plans for tests of rules: small changes to the base plan, checked by the whole set."""

import dataclasses
import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import yaml
from msgspec.structs import replace

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.facts import Facts
from underfoot.checking.finding import CannotTell
from underfoot.checking.page import merge_patch
from underfoot.checking.report import CheckRow, LimitUsed, PlanReport, ReportedFinding
from underfoot.checking.rule import Subjects
from underfoot.checking.settings import Settings, default_settings
from underfoot.reading.plan_file import read_plan
from underfoot_rules import STANDARD

BASE: Mapping[str, Any] = yaml.safe_load(STANDARD.base_plan)
A_DAY = date(2026, 10, 1)
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), A_DAY)


def change_plan(base: Mapping[str, Any], change: Mapping[str, Any]) -> dict[str, Any]:
    """Apply a JSON Merge Patch (RFC 7396) in which a key may be a path: `{"supply.phases": 3}`."""
    opened: dict[str, Any] = {}
    for path, value in change.items():
        assert not any(other.startswith(f"{path}.") for other in change), path
        *above, key = path.split(".")
        thing = opened
        for part in above:
            thing = thing.setdefault(part, {})
        thing[key] = value
    changed: dict[str, Any] = merge_patch(base, opened)
    return changed


def check(
    change: Mapping[str, Any],
    base: Mapping[str, Any] = BASE,
    limits: Mapping[str, Mapping[str, float]] | None = None,
) -> PlanReport:
    """Check a plan: the base with a change made to it, as `change_plan` takes it.

    `limits` are other values of limits by rule and key, in the limits' units.
    """
    text = json.dumps(change_plan(base, change))  # which is YAML, too
    bench = BENCH if limits is None else replace(BENCH, settings=_with_limits(limits))
    report = check_source(text.encode(), bench, path="plan.yaml")
    assert not report.problems, report.problems
    return report


def _with_limits(limits: Mapping[str, Mapping[str, float]]) -> Settings:
    changed = {rule: dict(of_rule) for rule, of_rule in BENCH.settings.limits.items()}
    for rule, values in limits.items():
        for key, value in values.items():
            changed[rule][key] = replace(changed[rule][key], value=value)
    return dataclasses.replace(BENCH.settings, limits=changed)


def of_rule(report: PlanReport, rule: str) -> tuple[ReportedFinding, ...]:
    """Return what one rule found, in the report's order; a rule that crashed fails the test."""
    assert rule not in {fault.rule for fault in report.faults}, report.faults
    return tuple(finding for finding in report.findings if finding.rule == rule)


def measured(finding: ReportedFinding) -> float:
    """Return the figure that was measured; a finding without one fails the test."""
    assert finding.measured is not None, finding
    return finding.measured.value


def limit_of(finding: ReportedFinding) -> LimitUsed:
    """Return the limit that a finding is held against; one without fails the test."""
    assert finding.limit is not None, finding
    return finding.limit


def tally_of(report: PlanReport, rule: str) -> CheckRow:
    """Return what one rule looked at."""
    return next(row for row in report.checks if row.rule == rule)


def cannot_tell(change: Mapping[str, Any], rule: str) -> tuple[CannotTell, ...]:
    """Return what one rule says that it cannot judge, with nothing silenced."""
    text = json.dumps(change_plan(BASE, change))
    reading = read_plan(text.encode(), path="plan.yaml", folder=Path())
    assert reading.plan is not None, reading.problems
    settings = BENCH.settings
    facts = Facts(reading.plan, settings.numbers)
    own = next(each for each in STANDARD.rules if each.id == rule)
    subjects = own.subjects(facts)
    near = subjects.candidates if isinstance(subjects, Subjects) else subjects
    said = (own.check(subject, facts, settings.limits_by_rule[rule]) for subject in near)
    return tuple(each for each in said if isinstance(each, CannotTell))
