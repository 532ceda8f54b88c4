"""What is drawn outside the room, or through its walls; and the clearance that a maker asks for."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, limit_of, measured, of_rule
from underfoot.checking.report import ReportedFinding

# The base plan's room is 4000 by 3000; its strips end at x = 3560.


def outside(**room: Any) -> tuple[ReportedFinding, ...]:
    return of_rule(check({"rooms.room": room}), "drawn-outside-room")


def thing(x: float, kind: str = "floor-mounted", width: float = 380) -> dict[str, Any]:
    return {"thing": {"at": [x, 1000], "size": [width, 600], "kind": kind}}


@pytest.mark.parametrize(
    ("x", "far"), [(3620, None), (3670, None), (3670.01, 50.01), (3900, 280), (7000, 3380)]
)
def test_a_fixture_may_reach_50_mm_into_the_wall(x: float, far: float | None) -> None:
    # 50 mm: this project's own figure.
    found = outside(fixtures=thing(x))
    assert [f.items for f in found] == ([("thing",)] if far else [])
    if far:
        assert measured(found[0]) == pytest.approx(far)
        says = "lies outside the room" if x >= 4000 else "reaches through the wall"
        assert says in found[0].message


def test_what_stands_beyond_the_wall_and_touches_it_lies_outside() -> None:
    (found,) = outside(fixtures=thing(4000))
    assert "lies outside the room" in found.message


@pytest.mark.parametrize(
    ("kind", "may_go_on"),
    [
        ("structure", True),
        ("fixings", True),
        ("floor-mounted", False),
        ("on legs", False),
        ("heat source", False),
        ("bath", False),
        ("basin", False),
    ],
)
def test_walls_and_thresholds_go_on_beyond_the_room(kind: str, may_go_on: bool) -> None:
    assert bool(outside(fixtures=thing(3900, kind))) != may_go_on
    assert len(outside(fixtures=thing(4010, kind))) == 1  # but not where none of it is inside


def test_joints_go_on_too_but_touch_the_room() -> None:
    assert not outside(joints={"J1": [[3800, 2000], [3800, 4000]]})
    assert not outside(joints={"J1": [[4000, 0], [4000, 3000]]})
    (found,) = outside(joints={"J1": [[5000, 0], [5000, 3000]]})
    assert found.path == "rooms.room.joints.J1"


def test_the_outlet_of_a_shower_is_in_the_room() -> None:
    shower = {"at": [3620, 1000], "size": [380, 600], "kind": "open shower", "outlet": [3900, 1300]}
    assert not outside(fixtures={"shower": shower})
    (found,) = outside(fixtures={"shower": {**shower, "outlet": [4900, 1300]}})
    assert found.items == ("shower", "outlet")


def test_a_covered_area_may_be_drawn_generously_but_covers_something() -> None:
    def over(x: float) -> list[dict[str, Any]]:
        area = [[x, -100], [x + 4200, -100], [x + 4200, 3100], [x, 3100]]
        return [{"covering": "oak-14", "over": area}, {"covering": "oak-14"}]

    assert not outside(covering=None, coverings=over(-100))
    (found,) = outside(covering=None, coverings=over(6000))
    assert found.items == ("oak-14", "coverings.0")


def test_a_room_without_strips_is_looked_at_too() -> None:
    hall = {"outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]], "fixtures": thing(5000)}
    (found,) = of_rule(check({"rooms.hall": hall}), "drawn-outside-room")
    assert found.room == "hall"


def clearance(**told: Any) -> tuple[ReportedFinding, ...]:
    stove = {"at": [3700, 1000], "size": [300, 600], "kind": "heat source", **told}
    return of_rule(check({"rooms.room.fixtures.stove": stove}), "fixture-clearance")


@pytest.mark.parametrize(
    ("asked", "is_found"), [(None, False), (10, False), (140, False), (140.01, True), (800, True)]
)
def test_a_maker_may_ask_for_more_than_the_usual_50_mm(asked: float | None, is_found: bool) -> None:
    found = clearance(clearance=asked)  # 140 mm from the last strip
    assert bool(found) == is_found
    if found:
        assert found[0].basis.kind == "maker's manual"
        assert limit_of(found[0]).least == asked


@pytest.mark.parametrize(
    ("asked", "is_found"), [(None, False), (0, False), (140, False), (141, True)]
)
def test_it_holds_for_a_stove_on_legs(asked: float | None, is_found: bool) -> None:
    assert bool(clearance(kind="on legs", clear=200, clearance=asked)) == is_found


def test_a_maker_does_not_ask_for_less() -> None:
    (found,) = clearance(at=[3600, 1000], clearance=10)  # 40 mm from the strip
    assert limit_of(found).least == 50
    assert found.basis.kind == "common practice"


def test_no_strip_is_offered_or_asked_for_within_a_clearance() -> None:
    # Without A6 and A7 a strip fits at the right; not where a stove wants that floor free.
    def report(asked: float) -> set[str]:
        stove = {"at": [3700, 1000], "size": [300, 600], "kind": "heat source"}
        room = {
            "rows": {"A": {"lengths": [2750] * 5}},
            "fixtures": {"stove": {**stove, "clearance": asked}},
        }
        rules = ("cold-area", "floor-coverage", "fixture-clearance")
        return {f.rule for f in check({"rooms.room": room}).findings if f.rule in rules}

    assert "cold-area" in report(50)
    assert report(1100) == set()
