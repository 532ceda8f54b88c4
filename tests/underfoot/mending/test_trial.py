"""A plan is tried once for all findings; of rooms that stay the same nothing is worked out anew."""

import json
from copy import deepcopy
from typing import Any

import pytest
import yaml

from tests.seeded_faults.judging import BENCH
from underfoot.checking.engine import RuleFinding
from underfoot.mending import trial as trials
from underfoot.mending.trial import State, Trial
from underfoot.reading.plan_file import Reading, read_parsed
from underfoot.reading.syntax import Parsed, parse
from underfoot_rules import BASE_PLAN


def _data() -> Any:
    return yaml.safe_load(BASE_PLAN)


def _trial(read: list[Any]) -> Trial:
    def count(parsed: Parsed) -> Reading:
        read.append(parsed.data)
        return read_parsed(parsed, path="plan.yaml")

    return Trial(read=count, checker=BENCH, positions=parse(json.dumps(_data()).encode()).positions)


def test_the_same_plan_is_tried_once() -> None:
    read: list[Any] = []
    trial = _trial(read)
    first = trial.judge(_data())
    assert trial.judge(_data()) is first
    assert len(read) == 1
    other = _data()
    other["circuits"]["C1"]["breaker"] = "20 A"
    assert trial.judge(other) is not first
    assert len(read) == 2


def test_no_more_than_so_many_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trials, "_MOST_KEPT", 2)
    read: list[Any] = []
    trial = _trial(read)
    for breaker in ("6 A", "10 A", "16 A", "16 A", "10 A", "6 A"):
        data = _data()
        data["circuits"]["C1"]["breaker"] = breaker
        assert trial.judge(data) is not None
    assert [each["circuits"]["C1"]["breaker"] for each in read] == ["6 A", "10 A", "16 A", "6 A"]


def test_large_plans_are_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trials, "_MOST_STRIPS_KEPT", 6)
    read: list[Any] = []
    trial = _trial(read)
    assert trial.judge(_data()) is not trial.judge(_data())
    assert len(read) == 2


def _said(state: State | None) -> list[tuple[str, str, str, float | None]]:
    assert state is not None

    def say(each: RuleFinding) -> tuple[str, str, str, float | None]:
        return each.rule.id, each.finding.message, each.finding.remedy, each.finding.measured

    return [say(each) for each in state.outcome.raised]


CHANGES: tuple[tuple[tuple[str | int, ...], Any], ...] = (
    (("circuits", "C1", "breaker"), "2 A"),
    (("supply", "voltage"), "250 V"),
    (("supply", "available"), "2 A"),
    (("materials", "films", "film-80", "output"), "150 W/m2"),
    (("materials", "coverings", "oak-14", "resistance"), "0.25 m2 K/W"),
    (("rooms", "room", "rows", "A", "at"), [40, 60]),
    (("rooms", "room", "thermostat", "height"), 300),
    (("rooms", "room", "outline"), [[0, 0], [3500, 0], [3500, 3000], [0, 3000]]),
)


@pytest.mark.parametrize(("path", "value"), CHANGES)
def test_what_is_taken_over_from_the_state_before_changes_nothing(path: Any, value: Any) -> None:
    before = _trial([]).judge(_data())
    assert before is not None
    changed = deepcopy(_data())
    holder = changed
    for part in path[:-1]:
        holder = holder[part]
    holder[path[-1]] = value
    afterwards, alone = _trial([]).judge(changed, before), _trial([]).judge(changed)
    assert _said(afterwards) == _said(alone) != []
    assert afterwards is not None
    kept = afterwards.outcome.facts.rooms["room"] is before.outcome.facts.rooms["room"]
    assert kept == (path[0] == "circuits")
