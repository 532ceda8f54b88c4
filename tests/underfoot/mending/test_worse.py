"""When a finding that stays is a worse one: graver, or farther beyond its limit."""

import pytest
from msgspec.structs import replace

from tests.seeded_faults.judging import BENCH
from underfoot.checking.engine import RuleFinding, run
from underfoot.checking.finding import Finding, Subject
from underfoot.mending.trial import NOISE, State, list_new
from underfoot.reading.plan_file import read_plan
from underfoot_rules import BASE_PLAN

_PLAN = read_plan(BASE_PLAN.encode(), path="plan.yaml").plan
assert _PLAN is not None
_OUTCOME = run(_PLAN, BENCH.program, BENCH.settings, today=BENCH.today)
_RULE = BENCH.program.rules[0]


def state(*found: RuleFinding) -> State:
    return State(data={}, outcome=replace(_OUTCOME, raised=found, waivers=()))


def finding(severity: str, **measured: float | None) -> RuleFinding:
    subject: Subject[object] = Subject(room="hall", items=("A1",), path="rooms.hall")
    return RuleFinding(
        rule=_RULE, subject=subject, severity=severity,  # type: ignore[arg-type]
        finding=Finding(message="", remedy="", **measured),
    )  # fmt: skip


OLD = {"measured": 20.0, "least": 50.0}
BOTH = {"measured": 20.0, "least": 50.0, "most": 60.0}
OVER = {"measured": 80.0, "most": 50.0}


@pytest.mark.parametrize(
    ("was", "now", "is_new"),
    [
        (("warning", OLD), ("warning", OLD), False),
        (("warning", OLD), ("error", OLD), True),
        (("error", OLD), ("warning", OLD), False),
        # Below a least value less is worse, above a most value more.
        (("error", OLD), ("error", {**OLD, "measured": 19.0}), True),
        (("error", OLD), ("error", {**OLD, "measured": 21.0}), False),
        (("error", OVER), ("error", {**OVER, "measured": 81.0}), True),
        (("error", OVER), ("error", {**OVER, "measured": 79.0}), False),
        # Noise of the arithmetic is none.
        (("error", OLD), ("error", {**OLD, "measured": 20.0 - NOISE / 2}), False),
        (("error", OVER), ("error", {**OVER, "measured": 80.0 + NOISE / 2}), False),
        # What has no measure can only be graver.
        (("error", {}), ("error", OLD), False),
        (("error", OLD), ("error", {}), False),
        (("error", OLD), ("error", {"least": 50.0}), False),
        (("error", {"least": 50.0}), ("error", OLD), False),
        (("error", {}), ("error", {}), False),
        # Between two limits both ways are worse.
        (
            ("error", {**OLD, "most": 60.0}),
            ("error", {**OLD, "most": 60.0, "measured": 61.0}),
            True,
        ),
    ],
)
def test_what_is_worse_counts_as_new(
    was: tuple[str, dict[str, float]], now: tuple[str, dict[str, float]], is_new: bool
) -> None:
    before, after = finding(was[0], **was[1]), finding(now[0], **now[1])
    assert list_new(state(before), state(after)) == ([after] if is_new else [])


def test_one_more_of_the_same_kind_is_new() -> None:
    one = finding("error", **OLD)
    assert list_new(state(one), state(one, one)) == [one]
    assert list_new(state(one, one), state(one)) == []
    assert list_new(state(), state(one)) == [one]
