"""Asks for the mends of a plan's findings: the base plan with a change made to it."""

import json
from functools import cache
from typing import Any

import yaml

from tests.seeded_faults.judging import BENCH
from tests.underfoot_rules.plans import change_plan
from underfoot.api.rules import Data
from underfoot.checking.mend import Mend
from underfoot.mending.patch import patch_data
from underfoot.mending.search import by_rule, find_mends
from underfoot.mending.trial import State, Trial
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import parse
from underfoot_rules import BASE_PLAN, STANDARD

MENDERS = by_rule(STANDARD.gather_menders())


@cache
def _base() -> str:
    return json.dumps(yaml.safe_load(BASE_PLAN))


def plan(change: Any = None) -> Data:
    """Return the base plan with a change made to it."""
    return change_plan(json.loads(_base()), change or {})


def judge(data: Data) -> tuple[Trial, State]:
    """Check a plan's data."""
    parsed = parse(json.dumps(data).encode())
    trial = Trial(
        read=lambda each: read_parsed(each, path="plan.yaml"),
        checker=BENCH,
        positions=parsed.positions,
    )
    state = trial.judge(parsed.data)
    assert state is not None, "the plan cannot be read"
    return trial, state


def mends(data: Data, rule: str, item: str | None = None) -> tuple[Mend, ...]:
    """Return the mends of the first finding of a rule (about an item) in a plan."""
    trial, state = judge(data)
    found = next(
        each
        for each in state.standing
        if each.rule.id == rule and (item is None or item in each.subject.items)
    )
    return find_mends(found, state, MENDERS, trial)


def says(data: Data, rule: str, item: str | None = None) -> list[str]:
    """Return what the mends say, the best first."""
    return [mend.says for mend in mends(data, rule, item)]


def room(**told: Any) -> Data:
    """Change the base plan's room."""
    return {"rooms": {"room": told}}


def mended(data: Data, rule: str, item: str | None = None) -> Data:
    """Return the plan as its best mend makes it."""
    best: Data = patch_data(data, mends(data, rule, item)[0].patch)
    return best


def two_circuits(**thermostat: Any) -> Data:
    """Return the base plan with three of its strips on a circuit of their own."""
    return plan({
        "rooms": {"room": {
            "rows": {"A": {"lengths": [{"length": 2750, "circuit": "C2"}] * 3 + [2750] * 4}},
            "leads": {"W1": {"route": ["junction-box", [20, 1500], [20, 20], [1810, 20], "A4", "A5",
                                       "A6", "A7"]},
                      "W2": {"circuit": "C2", "size": "1.5 mm2", "recessed": True,
                             "route": ["junction-box", [40, 1500], [40, 40], "A1", "A2", "A3"]}},
            "thermostat": thermostat,
        }},
        "circuits": {"C2": {"thermostat": "room", "breaker": "10 A", "rcd": "30 mA",
                            "cable": {"size": "2.5 mm2", "length": "14 m", "method": "C",
                                      "ambient": "30 degC"}}},
    })  # fmt: skip
