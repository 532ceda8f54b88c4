"""Mends are tried before they are offered, and take along what they would bring."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from tests.demo_plans import PLANS
from tests.there import there
from tests.underfoot_rules.plans import change_plan
from underfoot.api.rules import Edit, Mender, Proposal, ToMend
from underfoot.checking.check import make_checker
from underfoot.checking.engine import RuleFinding
from underfoot.checking.merging_settings import merge_settings
from underfoot.mending.search import by_rule, find_mends
from underfoot.mending.trial import State, Trial, list_new
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import Parsed, parse
from underfoot_rules import STANDARD

TODAY = date(2026, 11, 1)


@pytest.fixture(scope="module")
def trial() -> Trial:
    settings, problems = merge_settings([], [STANDARD])
    assert not problems
    parsed = parse((PLANS / "bedroom.yaml").read_bytes())
    return Trial(
        read=lambda each: read_parsed(each, path="bedroom.yaml", folder=PLANS, root=PLANS),
        checker=make_checker([STANDARD], settings, TODAY),
        positions=parsed.positions,
    )


def judge(trial: Trial, change: dict[str, Any]) -> State:
    """Judge the bedroom with a change made to it, which names paths."""
    parsed: Parsed = parse((PLANS / "bedroom.yaml").read_bytes())
    return there(trial.judge(change_plan(parsed.data, change)))


def found_in(state: State, rule: str) -> RuleFinding:
    return next(each for each in state.standing if each.rule.id == rule)


def proposal(says: str, **values: Any) -> Proposal:
    """Propose other values in circuit C1."""
    edits = (
        Edit(op="replace", path=("circuits", "C1", key), value=value)
        for key, value in values.items()
    )
    return Proposal(says=says, edits=tuple(edits))


def offers(rule: str, *proposals: Proposal, first_only: bool = False) -> Mender:
    """Mend a rule by proposals that are ready."""
    return Mender(rule=rule, propose=lambda asked: iter(proposals), first_only=first_only)


ROW = ("rooms", "bedroom", "rows", "A", "at")
TOO_NEAR = {"rooms.bedroom.rows.A.at": [30, 60]}


def test_a_row_too_near_the_wall_is_moved_away(trial: Trial) -> None:
    state = judge(trial, TOO_NEAR)
    found = found_in(state, "wall-clearance")
    mends = find_mends(found, state, by_rule(STANDARD.gather_menders()), trial)
    assert mends
    assert mends[0].says.startswith("Move row ")
    (edit,) = mends[0].patch
    assert edit.path[-1] == "at"
    assert edit.value[0] >= 58


def test_what_brings_something_new_is_not_offered(trial: Trial) -> None:
    state = judge(trial, TOO_NEAR)
    edit = Edit(op="replace", path=ROW, value=[3000, 60])
    far_out = Proposal(says="Move the row out of the room.", edits=(edit,))
    menders = by_rule([offers("wall-clearance", far_out)])
    assert find_mends(found_in(state, "wall-clearance"), state, menders, trial) == ()


def test_what_a_step_brings_is_mended_in_the_same_mend(trial: Trial) -> None:
    """The RCD is put right with a slip in the breaker, and the breaker's own mend follows."""
    state = judge(trial, {"circuits.C1.rcd": "500 mA"})
    found = found_in(state, "rcd")
    breaker = state.data["circuits"]["C1"]["breaker"]
    the_old_one = proposal("Plan a breaker as before.", breaker=breaker)
    slip = offers(
        "rcd", proposal("Plan an RCD of 30 mA, on a breaker of 1 A.", rcd="30 mA", breaker="1 A")
    )
    assert find_mends(found, state, by_rule([slip]), trial) == ()
    brought = "breaker-rating"
    (mend,) = find_mends(found, state, by_rule([slip, offers(brought, the_old_one)]), trial)
    assert mend.says == "Plan an RCD of 30 mA, on a breaker of 1 A. Plan a breaker as before."
    assert len(mend.patch) == 3
    only_first = offers(brought, the_old_one, first_only=True)
    assert find_mends(found, state, by_rule([slip, only_first]), trial) == ()


def test_a_mender_that_fails_costs_its_own_mends_alone(trial: Trial) -> None:
    state = judge(trial, TOO_NEAR)
    found = found_in(state, "wall-clearance")

    def broken(asked: ToMend) -> Iterator[Proposal]:
        raise RuntimeError("a slip")
        yield

    own = by_rule(STANDARD.gather_menders())["wall-clearance"]
    menders = {"wall-clearance": [Mender(rule="wall-clearance", propose=broken), *own]}
    assert find_mends(found, state, menders, trial)


def test_worse_counts_as_new(trial: Trial) -> None:
    near, nearest = judge(trial, TOO_NEAR), judge(trial, {"rooms.bedroom.rows.A.at": [10, 60]})
    assert {each.rule.id for each in list_new(near, nearest)} >= {"wall-clearance"}
    assert not [each for each in list_new(nearest, near) if each.rule.id == "wall-clearance"]


def test_of_figures_for_one_place_the_first_that_holds_is_offered_alone(trial: Trial) -> None:
    state = judge(trial, {"circuits.C1.breaker": None})
    found = found_in(state, "breaker-rating")

    def propose(asked: ToMend) -> Iterator[Proposal]:
        for rating in ("1 A", "6 A", "10 A", "8 A"):
            yield Proposal(
                says=f"Fit a breaker of {rating}.",
                edits=(Edit(op="add", path=("circuits", "C1", "breaker"), value=rating),),
            )
        yield Proposal(
            says="Fit a breaker of 8 A, and an RCD of 10 mA.",
            edits=(
                Edit(op="add", path=("circuits", "C1", "breaker"), value="8 A"),
                Edit(op="replace", path=("circuits", "C1", "rcd"), value="10 mA"),
            ),
        )

    mends = find_mends(
        found, state, by_rule([Mender(rule="breaker-rating", propose=propose)]), trial
    )
    says = [mend.says for mend in mends]
    assert len(says) == 2
    assert says[0] in ("Fit a breaker of 6 A.", "Fit a breaker of 10 A.")
    assert says[1] == "Fit a breaker of 8 A, and an RCD of 10 mA."
