"""What is done on site is a record: how far the work is, by status and tests."""

from datetime import date
from typing import Any

import pytest

from tests.demo_plans import PLANS
from underfoot.api.facts import Facts
from underfoot.checking.check import make_checker
from underfoot.checking.settings import default_settings
from underfoot.mending.trial import Trial
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD
from underfoot_rules.menders.laid import is_covered, is_cut, is_laid


def _facts(change: Any) -> Facts:
    parsed = parse((PLANS / "bedroom.yaml").read_bytes())
    parsed.data.pop("tests", None)
    parsed.data.pop("status", None)
    change(parsed.data)
    checker = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))
    trial = Trial(
        read=lambda each: read_parsed(each, path="bedroom.yaml", folder=PLANS, root=PLANS),
        checker=checker,
        positions=parsed.positions,
    )
    state = trial.judge(parsed.data)
    assert state is not None
    return state.outcome.facts


def _far(facts: Facts, room: str | None = "bedroom") -> tuple[bool, bool, bool]:
    return is_cut(facts, room), is_laid(facts, room), is_covered(facts, room)


@pytest.mark.parametrize(
    ("status", "far"),
    [
        (None, (False, False, False)),
        ("draft", (False, False, False)),
        ("for review", (False, False, False)),
        ("laid", (True, True, False)),
        ("covered", (True, True, True)),
        ("handed over", (True, True, True)),
    ],
)
def test_the_status_tells(status: str | None, far: tuple[bool, bool, bool]) -> None:
    facts = _facts(lambda data: data.update({"status": status} if status else {}))
    assert _far(facts) == far
    assert _far(facts, None) == far


@pytest.mark.parametrize(
    ("stage", "far"),
    [
        ("made up", (True, False, False)),
        ("laid", (True, True, False)),
        ("covered", (True, True, True)),
    ],
)
def test_a_test_of_its_circuit_tells(stage: str, far: tuple[bool, bool, bool]) -> None:
    def record(data: Any) -> None:
        circuit = next(iter(data["circuits"]))
        data["tests"] = [{"circuit": circuit, "stage": stage}]

    assert _far(_facts(record)) == far


def test_a_test_of_another_circuit_does_not() -> None:
    def record(data: Any) -> None:
        data["circuits"]["C9"] = {"breaker": "10 A"}
        data["tests"] = [{"circuit": "C9", "stage": "covered"}]

    facts = _facts(record)
    assert _far(facts) == (False, False, False)
    assert _far(facts, None) == (True, True, True)
