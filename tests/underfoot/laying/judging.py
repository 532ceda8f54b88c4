"""Plain data of a plan beside the demo plans, read and checked as it is tried while laying."""

from datetime import date
from typing import Any

from tests.underfoot.laying.stripped import PLANS
from underfoot.checking.check import Checker, make_checker
from underfoot.checking.merging_settings import merge_settings
from underfoot.mending.trial import State, Trial
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

TODAY = date(2026, 11, 1)
SETTINGS, _ = merge_settings([], [STANDARD])
CHECKER = make_checker([STANDARD], SETTINGS, TODAY)


def trial_of(checker: Checker = CHECKER) -> Trial:
    """Make a trial for plans that lie beside the demo plans."""
    return Trial(
        read=lambda each: read_parsed(each, path="plan.yaml", folder=PLANS, root=PLANS),
        checker=checker,
        positions=parse(b"{}").positions,
    )


def judge(data: Any) -> State:
    """Read and check a plan's data."""
    state = trial_of().judge(data)
    assert state is not None
    return state
