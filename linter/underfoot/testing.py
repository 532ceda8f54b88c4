"""The rule kit: runs the examples on the pages of a rule set as tests, for any set.

In a test module of the set::

    import pytest
    from underfoot.testing import check_example, examples_of
    from acme_rules import ACME

    @pytest.mark.parametrize("example", examples_of(ACME), ids=str)
    def test_example(example):
        check_example(example, ACME)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import yaml

from underfoot.checking.check import check_source, set_up
from underfoot.checking.merging import Placed, put_in_force
from underfoot.checking.page import Example, Page, PageError, merge_patch, page_of
from underfoot.checking.report import PlanReport
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings, default_settings
from underfoot.reading.settings_file import read_settings

__all__ = [
    "Example",
    "Expected",
    "Page",
    "PageError",
    "check_example",
    "examples_of",
    "expected_of",
    "plan_text_of",
    "report_on",
    "show",
    "show_all",
    "show_plan",
]

A_DAY = date(2026, 10, 1)


@dataclass(frozen=True, slots=True, order=True)
class Expected:
    """A finding as an example names it."""

    rule: str
    severity: str
    room: str
    items: tuple[str, ...]
    path: str


def examples_of(rule_set: RuleSet) -> tuple[Example, ...]:
    """Give every example of every page of a set, in the set's order. PageError on a bad page."""
    return tuple(example for rule in rule_set.rules for example in page_of(rule).examples)


def plan_text_of(example: Example, base_plan: str) -> str:
    """Write the plan that an example stands for, as YAML text."""
    changed = merge_patch(yaml.safe_load(base_plan), _parts(example).get("change", {}))
    return yaml.safe_dump(
        changed, sort_keys=False, default_flow_style=None, width=100, allow_unicode=True
    )


def expected_of(example: Example) -> tuple[Expected, ...]:
    """Give the findings that an example names, sorted; none for a right one."""
    if example.kind == "right":
        return ()
    return tuple(
        sorted(
            Expected(
                rule=one["rule"],
                severity=one["severity"],
                room=one.get("room") or "",
                items=tuple(one.get("items", ())),
                path=one["path"],
            )
            for one in _parts(example)["expect"]
        )
    )


def report_on(example: Example, rule_set: RuleSet, beside: Sequence[RuleSet] = ()) -> PlanReport:
    """Check an example's plan by the whole set, and by the sets `beside` it."""
    parts = _parts(example)
    sets = (rule_set, *beside)
    day = date.fromisoformat(parts["today"]) if "today" in parts else A_DAY
    source = plan_text_of(example, rule_set.base_plan).encode()
    with TemporaryDirectory() as place:
        folder = Path(place)
        if "catalogue" in parts:
            shared = {"catalogue_format": 1, **parts["catalogue"]}
            (folder / "catalogue.yaml").write_text(yaml.safe_dump(shared), "utf-8")
        bench = set_up(sets, _settings_of(parts, sets, folder), day)
        return check_source(source, bench, path=f"{example}.yaml", folder=folder)


def check_example(example: Example, rule_set: RuleSet, beside: Sequence[RuleSet] = ()) -> None:
    """Assert that the set finds exactly what the example names, at its paths in the plan.

    A finding that the example's plan waives does not count.
    """
    report = report_on(example, rule_set, beside)
    text = plan_text_of(example, rule_set.base_plan)
    assert not report.problems, _told(f"{example} cannot be read", report.problems, text)
    assert not report.faults, _told(f"a rule crashed on {example}", report.faults, text)
    found = tuple(
        sorted(
            Expected(
                finding.rule,
                finding.severity,
                finding.room or "",
                finding.items,
                finding.path,
            )
            for finding in report.findings
            if finding.waiver is None
        )
    )
    expected = expected_of(example)
    assert found == expected, _told(
        f"{example} names\n  " + "\n  ".join(map(str, expected)) + "\nbut these were found",
        found,
        text,
    )
    if example.kind == "wrong":
        assert any(one.rule == example.rule for one in expected), (
            f"{example} is wrong, but not by its own rule"
        )


def _parts(example: Example) -> Mapping[str, Any]:
    parts = yaml.safe_load(example.text)
    if not isinstance(parts, dict):
        raise PageError(f"{example} must be a mapping with 'change'")
    unknown = set(parts) - {"expect", "settings", "today", "change", "catalogue"}
    if unknown:
        raise PageError(f"{example} has the unknown key {min(unknown)!r}")
    if (example.kind == "wrong") != ("expect" in parts):
        raise PageError(f"{example}: a wrong example names what it expects, a right one does not")
    return parts


def _settings_of(parts: Mapping[str, Any], sets: Sequence[RuleSet], folder: Path) -> Settings:
    if "settings" not in parts:
        return default_settings(rule for each in sets for rule in each.rules)
    text = yaml.safe_dump({"settings_format": 1, **parts["settings"]}, sort_keys=False)
    reading = read_settings(text.encode(), "underfoot.yaml")
    if reading.settings is None:
        raise PageError(f"the example's settings cannot be read: {reading.problems}")
    placed = Placed("underfoot.yaml", reading.settings, reading.positions, str(folder))
    settings, problems = put_in_force([placed], sets)
    if problems:
        raise PageError(f"the example's settings cannot be used: {problems}")
    return settings


def _told(head: str, things: Sequence[object], text: str) -> str:
    numbered = "\n".join(f"{number:4} {line}" for number, line in enumerate(text.splitlines(), 1))
    return f"{head}:\n  " + "\n  ".join(map(str, things)) + f"\nThe plan:\n{numbered}"


def show(rule_set: RuleSet, rule: str, beside: Sequence[RuleSet] = ()) -> str:
    """Write what the examples of one rule really give, in the words of a page's ``expect``.

    For authors: ``python -m underfoot.testing RULE`` prints it.
    """
    lines = []
    pages = [page_of(each) for each in rule_set.rules if each.id == rule]
    for example in (example for page in pages for example in page.examples):
        lines.append(f"== {example}")
        lines += _show_report(report_on(example, rule_set, beside))
    return "\n".join(lines)


def show_plan(sets: Sequence[RuleSet], rule: str, place: Path) -> str:
    """Write what one rule gives on a plan of one's own; a crash with all that led to it."""
    settings = default_settings(each for one in sets for each in one.rules)
    bench = set_up(sets, settings, A_DAY)
    report = check_source(place.read_bytes(), bench, path=str(place), folder=place.parent)
    report = report._replace(
        findings=tuple(each for each in report.findings if each.rule == rule),
        faults=tuple(each for each in report.faults if each.rule == rule),
        checks=tuple(each for each in report.checks if each.rule == rule),
    )
    return "\n".join([f"== {place}", *_show_report(report)])


def _show_report(report: PlanReport) -> list[str]:
    lines = [f"  cannot be read: {problem}" for problem in report.problems]
    for fault in report.faults:
        lines.append(f"  crashed: {fault.rule}: {fault.message}")
        lines += [f"    {line}" for line in fault.trace.splitlines()]
    for finding in report.findings:
        items = ", ".join(finding.items)
        lines.append(
            f"  - {{rule: {finding.rule}, severity: {finding.severity}, "
            f"room: {finding.room or 'null'}, items: [{items}], "
            f"path: {finding.path}}}"
        )
        lines.append(f"    {finding.message}\n    -> {finding.remedy}")
    undecided = [f"{row.rule}: {row.why}" for row in report.checks if row.undecided]
    return lines + [f"  could not be judged: {why}" for why in undecided]


def show_all(sets: Sequence[RuleSet], rule: str, plans: Sequence[Path] = ()) -> str:
    """Write what `show` does of the set that has the rule, or what it gives on `plans`.

    ValueError where no set has a rule of that name, with the nearest one.
    """
    owner = next((one for one in sets if any(each.id == rule for each in one.rules)), None)
    if owner is None:
        near = get_close_matches(rule, [each.id for one in sets for each in one.rules], 1)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise ValueError(f"no installed set has a rule {rule}{hint}")
    if plans:
        return "\n".join(show_plan(sets, rule, place) for place in plans)
    return show(owner, rule)


if __name__ == "__main__":
    import sys

    from underfoot.checking.rule_sets import installed_rule_sets

    if len(sys.argv) < 2:
        sys.exit("write: python -m underfoot.testing RULE [PLAN.yaml ...]")
    try:
        print(show_all(installed_rule_sets(), sys.argv[1], [Path(each) for each in sys.argv[2:]]))
    except (ValueError, OSError) as error:
        sys.exit(str(error))
