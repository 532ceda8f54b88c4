"""Measures how soon a plan with ten findings of as many kinds has the mends of all of them."""

import json
import time
from datetime import date

import yaml

from underfoot.api.rules import Data
from underfoot.checking.check import make_checker
from underfoot.checking.page import merge_patch
from underfoot.checking.settings import default_settings
from underfoot.mending.search import by_rule, find_mends
from underfoot.mending.trial import Trial
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import parse
from underfoot_rules import BASE_PLAN, STANDARD

FINDINGS = 10
ROUNDS = 7
# What somebody in a hurry got wrong in a room that was right.
WRONG: Data = {
    "circuits": {"C1": {"breaker": "25 A", "rcd": "300 mA"}},
    "method_statement": {"connector_tool": "pliers"},
    "rooms": {
        "room": {
            "rows": {"A": {"lengths": [2750] * 6 + [2850]}},
            "membrane": {"runs": {"overlap": 80}},
            "insulation": {"joints_taped": False},
            "thermostat": {"switches": "25 A", "height": 2000, "floor_limit": "31 degC"},
            "leads": {"W1": {"recessed": False}},
            "sensor": {"cable": "1 m"},
        }
    },
}


def ten_wrong() -> Data:
    """Return a plan with ten findings."""
    wrong: Data = merge_patch(yaml.safe_load(BASE_PLAN), WRONG)
    return wrong


def mend_all(plan: Data) -> tuple[int, int, float]:
    """Ask for the mends of all findings; give how many there are, how many mended, seconds."""
    checker = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))
    menders = by_rule(STANDARD.gather_menders())
    text = json.dumps(plan).encode()
    started = time.process_time()
    parsed = parse(text)
    trial = Trial(
        read=lambda each: read_parsed(each, path="plan.yaml"),
        checker=checker,
        positions=parsed.positions,
    )
    state = trial.judge(parsed.data)
    if state is None:
        raise SystemExit("the plan with ten findings cannot be read")
    mended = [find_mends(found, state, menders, trial) for found in state.standing]
    return len(mended), sum(map(bool, mended)), time.process_time() - started


def measure_mending() -> tuple[float, str]:
    """Return the least milliseconds of some rounds, and what was done in them."""
    best = 1e9
    for _ in range(ROUNDS):
        found, mended, took_s = mend_all(ten_wrong())
        best = min(best, 1000 * took_s)
    if found != FINDINGS:
        raise SystemExit(f"the plan with ten findings has {found}")
    return best, f"{mended} of {found} mended, each mend tried by all rules"
