"""Examples on the pages of rules, run as tests."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import yaml
from msgspec import Struct

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.page import Example, PageError, merge_patch, page_of
from underfoot.checking.report import PlanReport
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings, default_settings
from underfoot.checking.soundness import find_mistake
from underfoot.reading.settings_file import read_settings

A_DAY = date(2026, 10, 1)
# Those in C where PyYAML has them, which are ten times as quick.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


class Expected(Struct, frozen=True, kw_only=True, order=True):
    """A finding as an example names it; as text the row that a page's ``expect`` has for it."""

    rule: str
    severity: str
    room: str
    items: tuple[str, ...]
    path: str

    def __str__(self) -> str:
        return (
            f"- {{rule: {self.rule}, severity: {self.severity}, room: {self.room or 'null'}, "
            f"items: [{', '.join(self.items)}], path: {self.path}}}"
        )


def examples_of(rule_set: RuleSet) -> tuple[Example, ...]:
    """Return every example of every page of a set, in the set's order. PageError on a bad page."""
    return tuple(example for rule in rule_set.rules for example in page_of(rule).examples)


def plan_text_of(example: Example, base_plan: str) -> str:
    """Write the plan that an example stands for, as YAML text."""
    changed = merge_patch(_load(base_plan), _parts(example).get("change", {}))
    text: str = yaml.dump(
        changed, Dumper=_DUMPER, sort_keys=False, default_flow_style=None, width=100,
        allow_unicode=True,
    )  # fmt: skip
    return text


def expected_of(example: Example) -> tuple[Expected, ...]:
    """Return the findings that an example names, sorted; none for a right one."""
    if example.kind == "right":
        return ()
    rows = _parts(example)["expect"]
    for row in rows:
        _refuse_other_keys(example, row)
    return tuple(
        sorted(
            Expected(
                rule=one["rule"],
                severity=one["severity"],
                room=one.get("room") or "",
                items=tuple(one.get("items", ())),
                path=one["path"],
            )
            for one in rows
        )
    )


def found_in(report: PlanReport) -> tuple[Expected, ...]:
    """Return the findings of a report that no waiver covers, sorted, as an example names them."""
    return tuple(
        sorted(
            Expected(
                rule=finding.rule,
                severity=finding.severity,
                room=finding.room or "",
                items=finding.items,
                path=finding.path,
            )
            for finding in report.findings
            if finding.waiver is None
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
        bench = make_checker(sets, _settings_of(parts, sets, folder), day)
        return check_source(source, bench, path=f"{example}.yaml", folder=folder)


def check_example(
    example: Example, rule_set: RuleSet, beside: Sequence[RuleSet] = ()
) -> PlanReport:
    """Assert that the set finds exactly what the example names, at its paths in the plan.

    A finding that the example's plan waives does not count. Gives the report, for what else a test
    may ask of it.
    """
    for rule in rule_set.rules:
        mistake = find_mistake(rule) if rule.id == example.rule else None
        assert mistake is None, f"{example.rule} cannot be used: {mistake}"
    report = report_on(example, rule_set, beside)
    text = plan_text_of(example, rule_set.base_plan)
    assert not report.problems, _told(f"{example} cannot be read", _lines_of(report), text)
    assert not report.faults, _told(
        f"a rule crashed on {example}",
        [f"{fault.rule}: {fault.message}\n{fault.trace}" for fault in report.faults],
        text,
    )
    found = found_in(report)
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
    return report


def _load(text: str) -> Any:
    return yaml.load(text, _LOADER)


def _parts(example: Example) -> Mapping[str, Any]:
    parts = _load(example.text)
    if not isinstance(parts, dict):
        raise PageError(f"{example} must be a mapping with 'change'")
    unknown = set(parts) - {"expect", "settings", "today", "change", "catalogue"}
    if unknown:
        raise PageError(f"{example} has the unknown key {min(unknown)!r}")
    if (example.kind == "wrong") != ("expect" in parts):
        raise PageError(f"{example}: a wrong example names what it expects, a right one does not")
    return parts


def _refuse_other_keys(example: Example, row: object) -> None:
    if not isinstance(row, dict):
        raise PageError(f"{example} expects {row!r}, which is no mapping")
    unknown = set(row) - {"rule", "severity", "room", "items", "path"}
    if unknown:
        raise PageError(
            f"{example} expects a finding with the unknown key {min(unknown, key=str)!r}"
        )
    missing = {"rule", "severity", "path"} - set(row)
    if missing:
        raise PageError(f"{example} expects a finding without {min(missing)!r}")


def _settings_of(parts: Mapping[str, Any], sets: Sequence[RuleSet], folder: Path) -> Settings:
    if "settings" not in parts:
        return default_settings(rule for each in sets for rule in each.rules)
    text = yaml.safe_dump({"settings_format": 1, **parts["settings"]}, sort_keys=False)
    reading = read_settings(text.encode(), "underfoot.yaml")
    if reading.settings is None:
        raise PageError(f"the example's settings cannot be read: {reading.problems}")
    placed = Placed(
        name="underfoot.yaml",
        stated=reading.settings,
        positions=reading.positions,
        folder=str(folder),
    )
    settings, problems = merge_settings([placed], sets)
    if problems:
        raise PageError(f"the example's settings cannot be used: {problems}")
    return settings


def _lines_of(report: PlanReport) -> list[str]:
    return [f"line {problem.line}: {problem.message}" for problem in report.problems]


def _told(head: str, things: Sequence[object], text: str) -> str:
    numbered = "\n".join(f"{number:4} {line}" for number, line in enumerate(text.splitlines(), 1))
    return f"{head}:\n  " + "\n  ".join(map(str, things)) + f"\nThe plan:\n{numbered}"
