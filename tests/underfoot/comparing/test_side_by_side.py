"""Two revisions side by side: each case worked out by hand."""

import math
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.effort import examples
from tests.underfoot.comparing.test_plan_changes import STRIPS, compared, facts_of
from tests.underfoot.drawing.rooms import finding
from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import CheckRow, Measure, PlanReport, Reason, ReportedFinding
from underfoot.comparing import Comparison, Left, Side, compare, refuses, words
from underfoot.comparing.change import compare_areas, compare_places, compare_spots
from underfoot.comparing.comparison import _doubt, _list_unjudged
from underfoot.comparing.differing import list_differences
from underfoot.comparing.page.signed import entries_of
from underfoot.comparing.page.things import changed_items, middle_of, whole_room
from underfoot.comparing.plan_changes import _named

SQUARE = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0)]


def areas(old: Any, new: Any) -> list[tuple[str, float | None]]:
    return [(what, by) for what, _, by in compare_areas(old, new)]


def test_places_that_differ_by_a_thousandth_are_the_same() -> None:
    assert compare_spots((0, 0), (0.0006, 0.0008)) == []
    assert compare_spots((0, 0), (0.0008, 0.0008)) != []
    ((what, text, by),) = compare_spots((10, 20), (13, 16))
    assert (what, by) == ("moved", 5)
    assert text == "moved 3 mm to the right (+x) and 4 mm down (-y)"


def test_upright_areas_say_the_move_of_the_side_that_moved_less() -> None:
    def box(x: float, y: float, u: float, v: float) -> list[tuple[float, float]]:
        return [(x, y), (u, y), (u, v), (x, v)]

    assert areas(SQUARE, box(0, 0, 1000, 1000)) == []
    assert areas(SQUARE, box(300, 400, 1300, 1400)) == [("moved", 500)]
    # The left side went 50, the right one 200: moved by 50, 150 wider.
    assert areas(SQUARE, box(50, 0, 1200, 1000)) == [("moved", 50), ("grown", 150)]
    assert areas(SQUARE, box(200, 0, 1000, 1000)) == [("shortened", 200)]
    # Wider by 100, lower by 300: less of it than before.
    assert areas(SQUARE, box(0, 0, 1100, 700)) == [("shortened", 300)]
    assert areas(SQUARE, box(0, 0, 1500, 900)) == [("grown", 500)]


def test_slanted_areas_move_or_are_drawn_anew() -> None:
    corner = [(0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0)]
    assert areas(corner, [(x + 30, y - 40) for x, y in corner]) == [("moved", 50)]
    aside = [(x + 700, y + 300) for x, y in corner]
    assert areas(aside, [(x + 30, y - 40) for x, y in aside]) == [("moved", 50)]
    ((what, _),) = areas(corner, SQUARE)
    assert what == "redrawn"
    # Read from another corner, the other way round, or with a corner more on a side: the same.
    assert areas(corner, [*corner[1:], corner[0]]) == areas(corner, corner[::-1]) == []
    assert areas(corner, [corner[0], (500.0, 0.0), *corner[1:]]) == []


@examples(20)
@given(
    st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=5),
    st.tuples(st.integers(-30, 30), st.integers(-30, 30)),
)
def test_a_way_that_is_moved_says_so(way: list[tuple[int, int]], by: tuple[int, int]) -> None:
    moved = [(x + by[0], y + by[1]) for x, y in way]
    found = compare_places(way, moved)
    if by == (0, 0):
        assert found == []
    else:
        ((what, _, far),) = found
        assert (what, far) == ("moved", math.hypot(*by))


def test_a_way_that_is_redrawn_says_how_far_and_how_much_longer() -> None:
    straight = [(0.0, 0.0), (1000.0, 0.0)]
    ((what, text, by),) = compare_places(straight, [(0.0, 0.0), (800.0, 0.0)])
    assert (what, by) == ("redrawn", 200)
    assert text.endswith("; 200 mm shorter")
    # Turned about its start by a right angle: as long, and its end 1000 from the old line.
    ((_, text, by),) = compare_places(straight, [(0.0, 0.0), (0.0, 1000.0)])
    assert by == 1000
    assert "longer" not in text
    assert "shorter" not in text
    # What lies within half a millimetre and is as long within that is the same way.
    assert compare_places(straight, [(0.0, 0.0), (500.0, 0.4), (1000.0, 0.0)]) == []
    assert compare_places(straight, [(0.0, 0.0), (500.0, 0.6), (1000.0, 0.0)]) != []
    assert compare_places([(0.0, 0.0)], [(0.0, 0.0), (1000.0, 0.0)]) != []


def report(*found: ReportedFinding, checks: tuple[CheckRow, ...] = (), **told: Any) -> PlanReport:
    return PlanReport(path="p.yaml", verdict="revise", findings=found, checks=checks, **told)


def row(rule: str, undecided: int = 0, may_be: int = 0, why: str | None = None) -> CheckRow:
    reasons = (
        Reason(why="w", points=may_be, worst="error"),
        Reason(why="v", points=7, worst="warning"),
    )
    return CheckRow(rule=rule, checked=9, undecided=undecided, why=why, reasons=reasons)


def checked(told: PlanReport) -> CheckedPlan:
    return CheckedPlan(report=told, facts=facts_of(yaml.safe_load(STRIPS)))


def test_a_finding_that_is_gone_may_be_so_for_another_reason() -> None:
    def doubt(then: list[CheckRow], now: list[CheckRow]) -> str | None:
        sides = [checked(report(checks=tuple(each))) for each in (then, now)]
        return _doubt("r", *sides)

    assert doubt([row("r")], [row("q")]) == "its rule was not checked this time"
    assert doubt([row("q"), row("r", 1)], [row("q", 5), row("r", 1)]) is None
    assert doubt([row("r", 1)], [row("r", 2, why="no height")]) == (
        "its rule could judge less than before (no height)"
    )
    assert doubt([], [row("r", 1)]) == "its rule could judge less than before"
    assert doubt([row("r", 2)], [row("r", 1)]) is None


def test_points_that_cannot_be_judged_any_more_are_counted_by_rule() -> None:
    then = checked(report(checks=(row("a", may_be=2), row("b", may_be=1), row("c", may_be=3))))
    now = checked(
        report(checks=(row("a", may_be=5, why="w"), row("b", may_be=1), row("c"), row("d", 9, 1)))
    )
    found = [(each.rule, each.points, each.why) for each in _list_unjudged(then, now)]
    assert found == [("a", 3, "w"), ("d", 1, "")]
    assert [each.points for each in _list_unjudged(None, now)] == [5, 1, 1]
    assert _list_unjudged(then, None) == ()


def left(old: dict[str, Any], new: dict[str, Any], step: str = "same") -> Left:
    severities = [each.pop("severity", "warning") for each in (old, new)]
    made = [
        finding(1, severity, **told) for severity, told in zip(severities, (old, new), strict=True)
    ]
    return Left(old=made[0], new=made[1], step=step)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("old", "new", "as_it_was", "worse", "said"),
    [
        ({}, {}, True, False, "as it was"),
        ({"waived": True}, {"waived": True}, True, False, "as it was"),
        ({"waived": True}, {}, False, True, "its waiver holds no longer"),
        ({}, {"waived": True}, False, False, "it is waived now"),
        ({}, {"severity": "error"}, False, True, "was a warning, is an error"),
        ({"severity": "error"}, {}, False, False, "was an error, is a warning"),
    ],
)
def test_what_became_of_a_finding_that_is_left(
    old: dict[str, Any], new: dict[str, Any], as_it_was: bool, worse: bool, said: str
) -> None:
    one = left(old, new)
    assert (one.is_as_it_was, one.is_worse, words.say_step(one)) == (as_it_was, worse, said)


def test_a_measure_that_went_is_told_with_both_figures() -> None:
    one = left({}, {}, "worse")
    there = replace(one, new=replace(one.new, measured=Measure(value=40.0, unit="mm")))
    assert words.say_step(there) == "worse: 40 mm now, 42 mm before"
    other = replace(one, new=replace(one.new, measured=Measure(value=40.0, unit="W")))
    assert words.say_step(other) == "worse: what it measures is not the same"
    none = replace(one, old=replace(one.old, measured=None))
    assert words.say_step(none) == "worse: what it measures is not the same"
    assert not one.is_as_it_was


SIDE = Side(report=report(), plan=None)


@pytest.mark.parametrize(
    ("pair", "at"),
    [
        ({"brought_in": (finding(1, "error"),)}, {"error", "unjudged", "warning", "note"}),
        ({"brought_in": (finding(1, "warning"),)}, {"warning", "note"}),
        ({"brought_in": (finding(1, "note"),)}, {"note"}),
        ({"brought_in": (finding(1, "error", waived=True),)}, set()),
        ({"left": (left({}, {"severity": "error"}),)}, {"error", "unjudged", "warning", "note"}),
        ({"left": (left({}, {}),)}, set()),
        ({"unjudged": (words.Unjudged(rule="r", points=1, why=""),)},
         {"unjudged", "warning", "note"}),
    ],
)  # fmt: skip
def test_what_is_refused_at_which_severity(pair: dict[str, Any], at: set[str]) -> None:
    found = Comparison(name="p", old=SIDE, new=SIDE, **pair)
    every = ("error", "unjudged", "warning", "note")
    assert {each for each in every if refuses(found, each)} == at  # type: ignore[arg-type]


def test_what_came_of_a_pair_is_counted() -> None:
    better = left({"waived": False, "severity": "error"}, {})
    pair = Comparison(
        name="p", old=SIDE, new=SIDE, brought_in=(finding(1), finding(2)),
        left=(left({}, {}), better, left({}, {"severity": "error"}), left({"waived": True}, {})),
    )  # fmt: skip
    assert words.say_outcome(pair) == (
        "2 brought in · 4 left (2 worse, 1 better) · 0 cleared · 0 changes in the plan"
    )
    assert words.say_outcome(replace(pair, new=None)) == "the plan is gone"
    assert words.say_outcome(replace(pair, old=None)) == "a new plan: 2 brought in"
    assert entries_of(pair)["old"] == {1: "new-1"}


def test_a_plan_that_is_gone_has_cleared_nothing_and_a_new_one_brings_all_in() -> None:
    one = checked(report(finding(1), finding(2, items=("A2",))))
    gone, come, both = compare("p", one, None), compare("p", None, one), compare("p", one, one)
    assert (gone.cleared, gone.left, gone.brought_in) == ((), (), ())
    assert [each.number for each in come.brought_in] == [1, 2]
    assert [each.is_as_it_was for each in both.left] == [True, True]
    assert both.is_readable
    unread = compare("p", one, CheckedPlan(report=report(), facts=None))
    assert (unread.left, unread.brought_in) == ((), ())


def test_values_that_are_near_enough_are_the_same() -> None:
    def differ(old: Any, new: Any) -> list[tuple[str, str, str]]:
        return list(list_differences(old, new, "n", unit="mm"))

    # A millionth of it, and of less than 1 a millionth.
    assert differ(2000.0, 2000.0019) == []
    assert differ(2000.0, 2000.0021) != []
    assert differ(0.0, 9e-7) == []
    assert differ(0.0, 1.1e-6) != []
    assert differ(1, 1.0) == []
    assert differ(None, 5.0) == [("n", "not given", "5 mm")]
    assert differ(9999.0, 10000.0) == [("n", "9999 mm", "10 m")]
    assert differ((), ("a", "b")) == [("n", "none", "a, b")]
    assert differ((1.0, 2.0), (1.0, 3.0)) == [("n", "1 mm × 2 mm", "1 mm × 3 mm")]
    assert differ(((0, 0),), ((0, 0), (1, 1))) == [
        ("n", "an outline of 1 corners", "an outline of 2 corners")
    ]
    assert differ(False, True) == [("n", "no", "yes")]


def test_things_of_one_name_are_numbered() -> None:
    assert _named([("a", 1), ("b", 2), ("a", 3), ("a", 4)]) == {
        "a": 1, "b": 2, "a (2)": 3, "a (3)": 4,
    }  # fmt: skip


def test_runs_of_ids_are_told_by_both_ends_from_five_on() -> None:
    def runs(*items: str) -> list[str]:
        return words._in_runs(items)

    assert runs("A1", "A2", "A3", "A4") == ["A1", "A2", "A3", "A4"]
    assert runs("A8", "A9", "A10", "A11", "A12", "B13") == ["A8 to A12", "B13"]
    assert runs("A1", "A3", "A5", "A7", "A9") == ["A1", "A3", "A5", "A7", "A9"]
    assert runs("A5", "A4", "A3", "A2", "A1") == ["A5", "A4", "A3", "A2", "A1"]
    assert runs("A", "B", "C", "D", "E") == ["A", "B", "C", "D", "E"]


def test_where_a_changed_thing_is() -> None:
    data = yaml.safe_load(STRIPS)
    hall = data["rooms"]["hall"]
    hall["fixtures"] = {"chest": {"at": [3000, 1000], "size": [600, 400], "kind": "on legs"}}
    hall["sensor"] = {"at": [350, 900]}
    hall["junction_box"] = {"at": [0, 2500]}
    facts = facts_of(data).rooms["hall"]
    # The strip begins at (100, 100): 500 wide, 2000 along y.
    assert middle_of(facts, "strip", "A") == (350, 1100)
    assert middle_of(facts, "fixture", "chest") == (3300, 1200)
    assert middle_of(facts, "sensor", "") == (350, 900)
    assert middle_of(facts, "junction box", "") == (0, 2500)
    assert middle_of(facts, "strip", "B") is middle_of(facts, "lead", "W1") is None
    bare = facts_of(yaml.safe_load(STRIPS)).rooms["hall"]
    assert middle_of(bare, "sensor", "") is middle_of(bare, "junction box", "") is None
    assert set(whole_room(facts, "added")) == {
        ("outline", ""), ("fixture", "chest"), ("strip", "A"), ("sensor", ""), ("junction box", ""),
    }  # fmt: skip
    assert set(whole_room(bare, "added")) == {("outline", ""), ("strip", "A")}


def test_changes_are_gathered_by_thing_and_room() -> None:
    found = compared({}, {"rooms.room.sensor.at": [400, 1500], "circuits.C1.breaker": "6 A"})
    room = {each.room for each in found if each.room}
    assert changed_items(found, room.pop()) == {("sensor", ""): {"moved"}}
    assert changed_items(found, "elsewhere") == {}
