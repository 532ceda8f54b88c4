"""Every example on every page of the standard set, and what the pages and rules must have."""

import re

import pytest

from tests.underfoot_rules.plans import check
from tests.underfoot_rules.said import (
    FOLDER,
    MORE,
    kept_of,
    more_plans,
    said_in,
    words_of,
    words_on,
)
from underfoot.checking.rule import Rule
from underfoot.testing import Example, check_example, examples_of, expected_of
from underfoot_rules import STANDARD

BASIS_KINDS = {"common practice", "standard", "maker's manual", "own default"}
# A place that a remedy names in figures, to be drawn as what is offered.
PLACE = re.compile(r"(?:Move it to|Draw one at) (?:the deepest point, )?\[(-?[\d.]+), (-?[\d.]+)\]")
MORE_PLANS = more_plans()
UNCHANGED = check({})
MEANT = (
    "what is said is not what is kept of it; if the change is meant: "
    "python -m tests.underfoot_rules.said, and read the difference"
)


@pytest.mark.parametrize("example", examples_of(STANDARD), ids=str)
def test_example(example: Example) -> None:
    report = check_example(example, STANDARD)
    if (FOLDER / f"{example.rule}.txt").exists():
        assert words_of(report, example.rule) == kept_of(example), MEANT
    for finding in report.findings:
        named = PLACE.match(finding.remedy)
        if named and finding.rule.startswith(("sensor", "thermostat", "box", "hung", "bath")):
            # What hangs in another room is offered nothing in this one.
            elsewhere = (
                f"of room {finding.room}" not in finding.message and "of room" in finding.message
            )
            assert (finding.offer is None) == elsewhere
            if finding.offer:
                told = [float(named[1]), float(named[2])]
                assert finding.offer["coordinates"] == pytest.approx(told, abs=0.06)


@pytest.mark.parametrize("name", MORE_PLANS)
def test_what_is_said_of_more_plans(name: str) -> None:
    file, change = MORE_PLANS[name]
    assert words_on(check(change), UNCHANGED) == said_in(MORE / f"{file}.txt").get(name), MEANT


def test_nothing_is_kept_of_what_is_gone() -> None:
    kept = {name for file in FOLDER.rglob("*.txt") for name in said_in(file)}
    assert kept <= {*map(str, examples_of(STANDARD)), *MORE_PLANS}


@pytest.mark.parametrize("rule", STANDARD.rules, ids=lambda rule: rule.id)
def test_every_severity_has_a_wrong_example(rule: Rule) -> None:
    shown = {
        expected.severity
        for example in examples_of(STANDARD)
        if example.rule == rule.id
        for expected in expected_of(example)
        if expected.rule == rule.id
    }
    assert shown == set(rule.severities)


@pytest.mark.parametrize("rule", STANDARD.rules, ids=lambda rule: rule.id)
def test_rule_says_what_a_reader_needs(rule: Rule) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", rule.id)
    assert rule.module.endswith("." + rule.id.replace("-", "_"))
    assert f".{rule.topic}." in rule.module
    assert rule.basis.kind in BASIS_KINDS
    assert rule.basis.text
    assert rule.why.endswith(".")
    assert "\n" not in rule.why
    assert len(rule.why) <= 100, "why must fit on one line"
    assert rule.finds
    assert not rule.finds.endswith(".")
    assert len({limit.key for limit in rule.limits}) == len(rule.limits)
    for limit in rule.limits:
        assert limit.means
        assert limit.unit or limit.choices


def test_silences_name_rules_of_the_set() -> None:
    known = {rule.id for rule in STANDARD.rules}
    named = {silence.cause for silence in STANDARD.silences} | {
        name for silence in STANDARD.silences for name in silence.silenced
    }
    assert named <= known
