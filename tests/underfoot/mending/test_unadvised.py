"""Where nobody reads what to do, the rules find the same, and try nothing."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import asdict

from tests.demo_plans import PLANS
from underfoot.checking.check import make_checker
from underfoot.checking.engine import Outcome, run
from underfoot.checking.settings import default_settings
from underfoot.reading.plan_file import read_plan
from underfoot_rules import STANDARD, trying

CHECKER = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 11, 29))
FAULTY = [
    path.with_name(path.name.replace(".report.txt", ".yaml"))
    for path in sorted(PLANS.glob("*.report.txt"))
    if "REVISE AND RESUBMIT" in path.read_text("utf-8")
]


def judge(path: Path, is_advised: bool) -> Outcome:
    plan = read_plan(path.read_bytes(), path=path.name, folder=PLANS).plan
    assert plan is not None
    return run(
        plan, CHECKER.program, CHECKER.settings, today=date(2026, 11, 29), is_advised=is_advised
    )


def without_remedies(outcome: Outcome) -> list[tuple[Any, ...]]:
    """Return what was found; a remedy, and a place that it offers, is what was tried."""
    return [
        (each.rule.id, each.subject.room, each.subject.items, each.severity, said)
        for each in outcome.raised
        if (said := {**asdict(each.finding), "remedy": None, "offer": None})
    ]


def counted(outcome: Outcome) -> list[tuple[Any, ...]]:
    return [
        (each.rule, each.checked, each.found, [(u.subject.items, u.why) for u in each.undecided])
        for each in outcome.tallies
    ]


def test_the_same_is_found_and_nothing_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    assert len(FAULTY) > 15
    advised = [judge(path, is_advised=True) for path in FAULTY]
    tried = []
    really = trying._list_faults
    monkeypatch.setattr(
        trying, "_list_faults", lambda facts, rule: tried.append(rule) or really(facts, rule)
    )
    judge(FAULTY[0], is_advised=True)
    assert tried
    tried.clear()
    for path, before in zip(FAULTY, advised, strict=True):
        after = judge(path, is_advised=False)
        assert not after.faults
        assert without_remedies(after) == without_remedies(before), path.name
        assert counted(after) == counted(before), path.name
    assert not tried
