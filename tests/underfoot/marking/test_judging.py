"""Whole plans handed in for the demo brief: laws that every mark must keep."""

import copy
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.underfoot.marking.demo import demo_desk, demo_scheme, judge, marks_of, plan_of
from tests.underfoot_rules.plans import change_plan
from tests.written_out import ways_in
from underfoot.marking.judging import Attempt
from underfoot_rules import STANDARD

Data = dict[str, Any]
Place = tuple[Any, ...]

NAMES = ("01", "02", "03", "03-2", "03-3", "04", "05", "06", "07", "08", "11/plan", "12")
PLANS = {name: plan_of(f"apprentice-{name}") for name in NAMES}
MUTATIONS = STANDARD.mutations


def without(plan: Data, place: Place) -> Data:
    """The plan with one entry left out."""
    less = copy.deepcopy(plan)
    holder: Any = less
    for key in place[:-1]:
        holder = holder[key]
    del holder[place[-1]]
    return less


EVERY = [(name, place) for name, plan in PLANS.items() for place in ways_in(plan)]
BEFORE = {name: judge(plan) for name, plan in PLANS.items()}


def wrong_in(attempt: Attempt) -> set[tuple[str, tuple[str, ...]]]:
    """Whatever is wrong in a plan, by rule and item."""
    counted = demo_scheme().counts
    return {(one.rule, one.items) for one in attempt.report.findings if one.severity in counted}


def hold_against_leaving_out(name: str, place: Place) -> None:
    """A mark rises, and a failure goes, only where what was left out was wrong."""
    before, after = BEFORE[name], judge(without(PLANS[name], place))
    if after.earned > before.earned or (before.failed_by and not after.failed_by):
        assert wrong_in(before) - wrong_in(after), (name, place)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(EVERY))
def test_leaving_something_right_out_never_raises_a_mark(entry: tuple[str, Place]) -> None:
    hold_against_leaving_out(*entry)


@pytest.mark.long
@pytest.mark.parametrize("name", PLANS)
def test_leaving_anything_right_out_never_raises_a_mark(name: str) -> None:
    for place in ways_in(PLANS[name]):
        hold_against_leaving_out(name, place)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(MUTATIONS), st.sampled_from(MUTATIONS), st.integers(0, 3))
def test_mending_a_fault_never_lowers_the_mark_for_its_rule(
    first: Any, second: Any, seed: int
) -> None:
    right = PLANS["01"]
    one = first.apply(right, random.Random(seed))
    if one is None:
        return
    both = second.apply(one.data, random.Random(seed))
    if both is None:
        return
    damaged, mended = judge(both.data), judge(one.data)
    row = second.rule
    if row in marks_of(damaged):
        assert marks_of(mended)[row] >= marks_of(damaged)[row]


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(MUTATIONS), st.integers(0, 5))
def test_the_sum_never_exceeds_the_scheme_and_a_damage_never_earns(
    mutation: Any, seed: int
) -> None:
    damaged = mutation.apply(PLANS["01"], random.Random(seed))
    if damaged is None:
        return
    attempt = judge(damaged.data)
    assert attempt.earned == (
        sum(row.earned for row in attempt.rows) if attempt.is_read else demo_scheme().unreadable
    )
    assert attempt.earned <= demo_scheme().marks
    assert attempt.rows == judge(damaged.data).rows


def test_a_room_called_otherwise_is_taken_for_the_briefs() -> None:
    plan = copy.deepcopy(PLANS["01"])
    plan["rooms"]["back"] = plan["rooms"].pop("bedroom")
    plan["circuits"]["C1"]["thermostat"] = "back"
    attempt = judge(plan)
    assert attempt.earned == 70
    assert attempt.changes == ()
    assert attempt.remarks == (
        "The room bedroom is called back in the plan; that changes no mark.",
    )


def test_a_room_of_ones_own_earns_nothing() -> None:
    more = PLANS["01"]["rooms"]["bedroom"]
    lead = {**more["leads"]["W1"], "route": ["junction-box", "B"]}
    own = {**more, "rows": {"B": more["rows"]["A"]}, "leads": {"W2": lead}}
    attempt = judge(change_plan(PLANS["06"], {"rooms.own": own}))
    assert attempt.earned <= BEFORE["06"].earned
    assert [one.said for one in attempt.changes] == [
        "the room own is none of the brief's; what lies in it was not judged"
    ]


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("rooms.bedroom.outline", [[0, 0], [5000, 0], [5000, 4000], [0, 4000]],
         "bedroom: the room's outline is not the brief's"),
        ("rooms.bedroom.heat_loss", "100 W", "bedroom: the heat loss is not the brief's"),
        ("rooms.bedroom.height", 2500,
         "bedroom: the height is 2500 mm, where the brief gives 2400 mm"),
        ("supply.available", "63 A",
         "supply: available current 63 A, where the brief gives 25 A"),
        ("materials.coverings.oak-14.warmest_surface", "40 degC",
         "the covering oak-14 is not the brief's (warmest surface)"),
    ],
)  # fmt: skip
def test_each_change_to_the_brief_is_told_and_changes_no_mark(
    path: str, value: Any, said: str
) -> None:
    attempt = judge(change_plan(PLANS["01"], {path: value}))
    assert [one.said for one in attempt.changes] == [said]
    assert attempt.earned == 70


def test_an_outline_begun_elsewhere_and_the_other_way_round_is_no_change() -> None:
    outline = PLANS["01"]["rooms"]["bedroom"]["outline"]
    turned = {"rooms.bedroom.outline": [*outline[2:], *outline[:2]][::-1]}
    assert judge(change_plan(PLANS["01"], turned)).changes == ()


def test_a_film_of_ones_own_is_taken_for_the_briefs() -> None:
    film = PLANS["01"]["materials"]["films"]["film-80"]
    own = {**film, "cut_every": 10, "output": "60 W/m2"}
    row = {"film": "best", "lengths": [2240, *[2250] * 3, *[3000] * 3]}
    attempt = judge(change_plan(PLANS["01"], {
        "materials.films": {"film-80": None, "best": own}, "rooms.bedroom.rows.A": row,
    }))  # fmt: skip
    assert [one.said for one in attempt.changes] == [
        "the film best is none of the brief's; film-80 was taken for it"
    ]
    # 2240 mm is on no line that is marked every 250 mm: 3.5 x 6/7.
    assert marks_of(attempt)["cut-length"] == 3


def test_it_is_judged_by_the_desk_alone() -> None:
    assert demo_desk().program.rules
    assert judge(PLANS["01"]).report.findings == ()


def test_a_method_says_how_many_of_its_steps_are_right() -> None:
    """The demo scheme gives 2.5 marks for 11 steps."""

    def row(steps: int, **changes: object) -> tuple[float, tuple[str, ...]]:
        plan = copy.deepcopy(plan_of("apprentice-01"))
        stated = plan["method_statement"]
        kept = dict(list(stated.items())[:steps]) | changes
        plan["method_statement"] = kept
        if not kept:
            del plan["method_statement"]
        (found,) = [one for one in judge(plan).rows if one.what == "method statement"]
        return float(found.earned), found.reasons

    whole = len(plan_of("apprentice-01")["method_statement"])
    assert whole == 11
    assert row(whole) == (2.5, ("Method statement: 11 of 11 steps stated.",))
    # 2.5 x 6/11, to the scheme's half marks.
    earned, reasons = row(6)
    assert earned == 1.5
    assert reasons[0] == "Method statement: 6 of 11 steps stated."
    assert row(0) == (0.0, ("No method statement: nothing shown.",))
