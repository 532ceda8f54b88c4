"""Mends in a plan's report: tried, written into the text, and costing nothing where they fail."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.mending.tiny_menders import MENDERS, MENDING
from underfoot.api.rules import Edit, Mender, Proposal, RuleSet, ToMend
from underfoot.checking.check import CheckedPlan, examine, make_checker
from underfoot.checking.mend import Mend, Replacement
from underfoot.checking.merging_settings import merge_settings
from underfoot.checking.report import RulesAsked
from underfoot.mending import offering
from underfoot.mending.offering import examine_with_mends, gather_menders, trials_for
from underfoot.mending.search import by_rule

TODAY = date(2026, 11, 1)
PLAN = """\
plan_format: 1
job: {title: hall}
materials: {}
supply: {voltage: 230 V}
rooms:
  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 1950}  # as built
  attic: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2100}
"""


def _bench(sets: RuleSet = MENDING, asked: RulesAsked | None = None) -> Any:
    settings, problems = merge_settings([], [sets])
    assert not problems
    return make_checker([sets], settings, TODAY, asked=asked)


def _examine(text: str = PLAN, menders: Any = MENDERS, **more: Any) -> CheckedPlan:
    return examine_with_mends(text.encode(), _bench(**more), by_rule(menders), path="hall.yaml")


def test_what_holds_is_offered_and_nothing_else() -> None:
    findings = _examine().report.findings
    assert [(each.rule, each.room) for each in findings] == [
        ("room-height", "hall"),
        ("room-height", "attic"),
        ("job-date", None),
    ]
    # 1900 is too low, "tall" is not read; what else the first date brings is no date.
    assert [[mend.says for mend in each.mends or ()] for each in findings] == [
        ["Build it 2200.0 high."],
        ["Build it 2200.0 high."],
        ["Date it."],
    ]
    first = findings[0].mends
    assert first is not None
    assert first[0] == Mend(
        says="Build it 2200.0 high.",
        patch=(Edit(op="replace", path=("rooms", "hall", "height"), value=2200),),
        replacements=(Replacement(line=6, column=73, end_line=6, end_column=77, text="2200"),),
    )
    assert type(first[0].patch[0].value) is int


def test_everything_else_is_as_without_mends() -> None:
    with_mends = _examine().report
    bare = tuple(replace(each, mends=None) for each in with_mends.findings)
    assert (
        replace(with_mends, findings=bare)
        == examine(PLAN.encode(), _bench(), path="hall.yaml").report
    )


def test_a_mend_that_the_text_does_not_take_is_not_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(offering, "edit_read", lambda read, patch: None)
    assert [each.mends for each in _examine().report.findings] == [(), (), ()]


def test_a_fault_costs_its_own_mends_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    real = offering.edit_read

    def fail_once(read: Any, patch: Any) -> Any:
        if patch[0].path[1] == "hall":
            raise ZeroDivisionError
        return real(read, patch)

    monkeypatch.setattr(offering, "edit_read", fail_once)
    counts = [len(each.mends or ()) for each in _examine().report.findings]
    assert counts == [0, 1, 1]


def test_what_is_waived_has_none() -> None:
    waiver = "waivers:\n  - {rule: room-height, item: attic, reason: agreed, agreed_by: owner}\n"
    findings = _examine(PLAN + waiver).report.findings
    assert [(each.waiver is None, bool(each.mends)) for each in findings] == [
        (True, True), (False, False), (True, True),
    ]  # fmt: skip


def test_of_the_rules_asked_each_finding_has_its_own() -> None:
    asked = RulesAsked(rules=("job-date",), of=3)
    (finding,) = _examine(asked=asked).report.findings
    assert finding.mends is not None
    assert [mend.says for mend in finding.mends] == ["Date it."]


def test_a_plan_that_is_not_read_or_not_judged_has_none() -> None:
    assert _examine(PLAN.replace("1950", "tall")).report.verdict == "unreadable"
    crashed = _examine(PLAN.replace("title: hall", "title: crash")).report
    assert crashed.faults
    assert {each.mends for each in crashed.findings} == {()}


def test_so_much_is_tried_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    assert trials_for(b"x" * 4000) == offering.MOST_TRIALS_A_PLAN == 60
    assert trials_for(b"x" * 60_000) == 10
    assert trials_for(b"x" * 600_001) == 0
    tried = []

    def count(found: ToMend) -> Iterator[Proposal]:
        for height in range(100):
            tried.append(found.room)
            edit = Edit(op="replace", path=("rooms", found.room or "", "height"), value=height)
            yield Proposal(says="Lower.", edits=(edit,))

    menders = (Mender(rule="room-height", propose=count), MENDERS[2])
    monkeypatch.setattr(offering, "MOST_TRIALS_A_PLAN", 14)
    findings = _examine(menders=menders).report.findings
    # Twelve for the first, what is left for the second, nothing for the third.
    assert (tried.count("hall"), tried.count("attic")) == (12, 3)
    assert [each.mends for each in findings] == [(), (), ()]


def test_memory_that_is_lacking_is_the_plans_own_affair() -> None:
    def lack(found: ToMend) -> Iterator[Proposal]:
        raise MemoryError

    with pytest.raises(MemoryError):
        _examine(menders=(Mender(rule="job-date", propose=lack),))


def test_menders_that_cannot_be_had_are_missing() -> None:
    def fail() -> tuple[Mender, ...]:
        raise ImportError("x")

    broken = replace(MENDING, gather_menders=fail)
    assert gather_menders([broken, MENDING]) == by_rule(MENDERS)
