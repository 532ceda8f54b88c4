"""Mends are tried before they are offered, and take along what they would bring."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from tests.demo_plans import PLANS
from underfoot.api.rules import Edit, Mender, Proposal, ToMend
from underfoot.checking.check import make_checker
from underfoot.checking.merging import merge_settings
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


def _judge(trial: Trial, change: Any = None) -> State:
    parsed: Parsed = parse((PLANS / "bedroom.yaml").read_bytes())
    if change is not None:
        change(parsed.data)
    state = trial.judge(parsed.data)
    assert state is not None
    return state


def _too_near(data: Any) -> None:
    room = data["rooms"]["bedroom"]
    name = next(iter(room["rows"]))
    room["rows"][name]["at"][0] = 30


def test_a_row_too_near_the_wall_is_moved_away(trial: Trial) -> None:
    state = _judge(trial, _too_near)
    found = next(each for each in state.standing if each.rule.id == "wall-clearance")
    mends = find_mends(found, state, by_rule(STANDARD.gather_menders()), trial)
    assert mends
    assert mends[0].says.startswith("Move row ")
    (edit,) = mends[0].patch
    assert edit.path[-1] == "at"
    assert edit.value[0] >= 58


def test_what_brings_something_new_is_not_offered(trial: Trial) -> None:
    state = _judge(trial, _too_near)
    found = next(each for each in state.standing if each.rule.id == "wall-clearance")

    def far_out(asked: ToMend) -> Iterator[Proposal]:
        name = next(iter(asked.data["rooms"]["bedroom"]["rows"]))
        path = ("rooms", "bedroom", "rows", name, "at")
        y = asked.data["rooms"]["bedroom"]["rows"][name]["at"][1]
        yield Proposal(
            says="Move the row out of the room.",
            edits=(Edit(op="replace", path=path, value=[3000, y]),),
        )

    menders = by_rule([Mender(rule="wall-clearance", propose=far_out)])
    assert find_mends(found, state, menders, trial) == ()


def test_what_a_step_brings_is_mended_in_the_same_mend(trial: Trial) -> None:
    """The RCD is put right with a slip in the breaker, and the breaker's own mend follows."""

    def no_breaker(data: Any) -> None:
        circuit = next(iter(data["circuits"].values()))
        circuit["rcd"] = "500 mA"

    state = _judge(trial, no_breaker)
    found = next(each for each in state.standing if each.rule.id == "rcd")
    circuit = next(iter(state.data["circuits"]))

    def with_a_slip(asked: ToMend) -> Iterator[Proposal]:
        yield Proposal(
            says="Plan an RCD of 30 mA, on a breaker of 1 A.",
            edits=(
                Edit(op="replace", path=("circuits", circuit, "rcd"), value="30 mA"),
                Edit(op="replace", path=("circuits", circuit, "breaker"), value="1 A"),
            ),
        )

    def the_old_one(asked: ToMend) -> Iterator[Proposal]:
        yield Proposal(
            says="Plan a breaker as before.",
            edits=(
                Edit(
                    op="replace",
                    path=("circuits", circuit, "breaker"),
                    value=state.data["circuits"][circuit]["breaker"],
                ),
            ),
        )

    slip = Mender(rule="rcd", propose=with_a_slip)
    assert find_mends(found, state, by_rule([slip]), trial) == ()
    brought = "breaker-rating"
    (mend,) = find_mends(
        found, state, by_rule([slip, Mender(rule=brought, propose=the_old_one)]), trial
    )
    assert mend.says == "Plan an RCD of 30 mA, on a breaker of 1 A. Plan a breaker as before."
    assert len(mend.patch) == 3
    only_first = Mender(rule=brought, propose=the_old_one, first_only=True)
    assert find_mends(found, state, by_rule([slip, only_first]), trial) == ()


def test_a_mender_that_fails_costs_its_own_mends_alone(trial: Trial) -> None:
    state = _judge(trial, _too_near)
    found = next(each for each in state.standing if each.rule.id == "wall-clearance")

    def broken(asked: ToMend) -> Iterator[Proposal]:
        raise RuntimeError("a slip")
        yield

    own = by_rule(STANDARD.gather_menders())["wall-clearance"]
    menders = {"wall-clearance": [Mender(rule="wall-clearance", propose=broken), *own]}
    assert find_mends(found, state, menders, trial)


def test_worse_counts_as_new(trial: Trial) -> None:
    def nearer(data: Any) -> None:
        _too_near(data)
        name = next(iter(data["rooms"]["bedroom"]["rows"]))
        data["rooms"]["bedroom"]["rows"][name]["at"][0] = 10

    near, nearest = _judge(trial, _too_near), _judge(trial, nearer)
    assert {each.rule.id for each in list_new(near, nearest)} >= {"wall-clearance"}
    assert not [each for each in list_new(nearest, near) if each.rule.id == "wall-clearance"]


def test_of_figures_for_one_place_the_first_that_holds_is_offered_alone(trial: Trial) -> None:
    def no_breaker(data: Any) -> None:
        del next(iter(data["circuits"].values()))["breaker"]

    state = _judge(trial, no_breaker)
    found = next(each for each in state.standing if each.rule.id == "breaker-rating")
    circuit = next(iter(state.data["circuits"]))
    tried: list[str] = []

    def propose(asked: ToMend) -> Iterator[Proposal]:
        for rating in ("1 A", "6 A", "10 A", "8 A"):
            tried.append(rating)
            yield Proposal(
                says=f"Fit a breaker of {rating}.",
                edits=(Edit(op="add", path=("circuits", circuit, "breaker"), value=rating),),
            )
        yield Proposal(
            says="Fit a breaker of 8 A, and an RCD of 10 mA.",
            edits=(
                Edit(op="add", path=("circuits", circuit, "breaker"), value="8 A"),
                Edit(op="replace", path=("circuits", circuit, "rcd"), value="10 mA"),
            ),
        )

    mends = find_mends(
        found, state, by_rule([Mender(rule="breaker-rating", propose=propose)]), trial
    )
    says = [mend.says for mend in mends]
    assert len(says) == 2
    assert says[0] in ("Fit a breaker of 6 A.", "Fit a breaker of 10 A.")
    assert says[1] == "Fit a breaker of 8 A, and an RCD of 10 mA."
