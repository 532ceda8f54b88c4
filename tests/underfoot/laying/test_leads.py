"""Leads along the walls and what is led, worked out by hand."""

import math
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.effort import examples
from tests.there import there
from tests.underfoot.laying.judging import judge
from tests.underfoot.laying.strips import strip
from tests.underfoot.laying.test_lay import bare_room, lay
from underfoot.laying.leads import (
    End,
    Route,
    find_end,
    list_ends,
    list_ways,
    make_way,
    order_ends,
    route_lead,
    write_stops,
)
from underfoot.laying.strips import LaidStrip
from underfoot.laying.wiring import Group, _cross, _find_wanted, _row_names
from underfoot.laying.wishes import Wishes

WAY = make_way(shapely.Polygon([(0, 0), (4000, 0), (4000, 3000), (0, 3000)]).exterior)


@examples(40)
@given(st.integers(-20000, 30000))
def test_a_way_s_points_are_where_its_line_is(at: int) -> None:
    x, y = WAY.point(at)
    line = WAY.ring.interpolate(at % 14000)
    assert (x, y) == pytest.approx((line.x, line.y), abs=1e-6)
    assert WAY.place((x, y)) == pytest.approx(at % 14000, abs=1e-6)


def test_corners_between_two_places_of_a_way() -> None:
    assert WAY.length == 14000
    assert WAY.between(1000, 8000, 1) == [(4000, 0), (4000, 3000)]
    assert WAY.between(8000, 1000, -1) == [(4000, 3000), (4000, 0)]
    assert WAY.between(1000, 8000, -1) == [(0, 0), (0, 3000)]
    # A corner that a way begins or ends at is not passed.
    assert WAY.between(4000, 7000, 1) == []
    assert WAY.between(3000, 7000, 1) == [(4000, 0)]


def test_a_lead_goes_along_the_way_and_straight_past_ends_in_line() -> None:
    pieces = [
        strip("A1", 1000, 60, 2000),
        strip("A2", 1500, 60, 2000),
        strip("A3", 2000, 310, 2000),
    ]
    way = make_way(shapely.box(30, 30, 3970, 2970).exterior)
    ends = there(list_ends(pieces, way))
    assert [each.drop for each in ends] == [(1000, 30), (1500, 30), (2000, 30)]
    sign = 1 if way.point(way.place((1000, 30)) + 1)[0] > 1000 else -1
    ordered = order_ends(ends, way, way.place((30, 500)), sign)
    assert [each.strip for each in ordered] == ["A1", "A2", "A3"]
    assert [e.strip for e in order_ends(ends, way, way.place((30, 500)), -sign)] == [
        "A3", "A2", "A1",
    ]  # fmt: skip
    route = route_lead((0, 500), ends, way, sign)
    # To the way, its corner, below A1 and up; straight on to A2; back to the way 25 mm farther, the
    # least of that, below A3 and up to it.
    assert route.stops == (
        (30, 500), (30, 30), (1000, 30), "A1", "A2", (1525, 30), (2000, 30), "A3",
    )  # fmt: skip
    by_hand = 30 + 470 + 970 + 30 + 500 + math.hypot(25, 30) + 475 + 280
    assert route.length == pytest.approx(by_hand)
    # Back from an end that lies 280 off: 0.35 of that farther on, 98 mm.
    onwards = route_lead((0, 500), [ends[2], there(find_end(strip("A4", 2500, 60, 2000), way))],
                         way, sign)  # fmt: skip
    assert (2098, 30) in [
        (round(stop[0]), round(stop[1])) for stop in onwards.stops if not isinstance(stop, str)
    ]
    # An end farther than 700 mm from the way is not reached; nor are the others then given.
    assert find_end(strip("B1", 1000, 731, 2000), way) is None
    assert find_end(strip("B1", 1000, 729, 2000), way) is not None
    assert list_ends([*pieces, strip("B1", 1000, 731, 2000)], way) is None
    assert write_stops(route, pieces) == [
        "junction-box", [30, 500], [30, 30], [1000, 30], "A1", "A2", [1525, 30], [2000, 30], "A3",
    ]  # fmt: skip
    straight = route_lead((0, 500), ends[:2], way, sign)
    assert write_stops(straight, pieces[:2])[-1] == "A"


def test_ways_of_several_leads_lie_side_by_side_about_the_middle_of_the_border() -> None:
    """Strips keep 60 mm off; leads lie about 30 mm from the wall, 10 mm from each other."""
    room = shapely.box(0, 0, 4000, 3000)
    inner = room.representative_point()
    offs = [way.ring.bounds[0] for way in list_ways(room, [], inner, 3)]
    assert offs == [20, 30, 40]
    drawn = [shapely.LineString([(30, 30), (3970, 30), (3970, 2970), (30, 2970)])]
    (way,) = list_ways(room, [], inner, 1, drawn)
    # Beside the drawn one the next place that is tried: 10 mm farther in.
    assert way.ring.bounds[0] == 40
    short = [shapely.LineString([(100, 30), (380, 30)])]
    (way,) = list_ways(room, [], inner, 1, short)
    # What lies on no more than 300 mm of a drawn one, 9 mm of its ends' rounding with it, may.
    assert way.ring.bounds[0] == 30
    longer = [shapely.LineString([(100, 30), (400, 30)])]
    (way,) = list_ways(room, [], inner, 1, longer)
    assert way.ring.bounds[0] == 40
    assert list_ways(room, [], inner, 6, drawn) == []


def test_ends_that_are_not_of_one_row_are_not_joined_straight() -> None:
    way = make_way(shapely.box(30, 30, 3970, 2970).exterior)

    def goes_straight(one: LaidStrip, other: LaidStrip) -> bool:
        ends: list[End] = there(list_ends([one, other], way))
        return route_lead((0, 500), ends, way, 1).stops[-2:] == (one.id, other.id)

    one = strip("A1", 1000, 60, 2000)
    assert goes_straight(one, strip("A2", 1500, 60, 2000))
    assert goes_straight(one, strip("A2", 1500, 60.5, 2000))
    assert not goes_straight(one, strip("A2", 1500, 60.6, 2000))
    assert not goes_straight(one, strip("A3", 2000, 60, 2000))
    assert not goes_straight(one, strip("B2", 1500, 60, 2000))


def test_free_strips_go_on_a_circuit_that_bears_them() -> None:
    """A circuit bears 10 A, and as many metres as its film may have."""
    facts = judge(bare_room()).outcome.facts
    room = facts.rooms["bedroom"]
    film = replace(facts.plan.materials.films["film-80"], longest_circuit=10_000.0)
    drawn = [strip("A1", 0, 0, 4000, circuit="C1", amps=4.0)]

    def fixed(length: float, amps: float) -> bool:
        new = [strip("B1", 0, 0, length, amps=amps)]
        wanted = _find_wanted(facts, room, film, drawn, new)
        assert wanted.longest_m == 10
        on_it = [each.id for each in wanted.fixed["C1"]]
        assert on_it == (["A1"] if wanted.free else ["A1", "B1"])
        return not wanted.free

    assert fixed(6000, 6.0)
    assert not fixed(6001, 6.0)
    assert not fixed(6000, 6.01)
    # Without a length of its own a circuit of film has 30 m at the most.
    unsaid = replace(film, longest_circuit=None)
    assert _find_wanted(facts, room, unsaid, drawn, []).longest_m == 30
    assert _find_wanted(facts, room, unsaid, [], drawn).fixed == {}


@pytest.mark.parametrize(
    ("count", "length", "amps", "least"),
    [(4, 2500, 2.5, 1), (4, 2500, 2.51, 2), (4, 2501, 2.5, 2), (8, 2500, 2.5, 2), (9, 2500, 1, 3)],
)
def test_as_few_circuits_as_amperes_and_metres_allow(
    count: int, length: float, amps: float, least: int
) -> None:
    facts = judge(bare_room()).outcome.facts
    film = replace(facts.plan.materials.films["film-80"], longest_circuit=10_000.0)
    new = [strip(f"A{place}", 0, 0, length, amps=amps) for place in range(1, count + 1)]
    assert _find_wanted(facts, facts.rooms["bedroom"], film, [], new).least == least


def test_a_lead_on_one_that_is_drawn_costs_by_its_length() -> None:
    def group(*points: tuple[float, float]) -> Group:
        return Group(circuit=None, strips=(), route=Route(stops=(), points=points, length=0.0))

    drawn = [shapely.LineString([(0, 30), (4000, 30)])]
    # A metre of it within 6 mm costs 100, what lies farther off nothing.
    assert _cross([group((500, 35), (1500, 35))], drawn) == pytest.approx(100)
    assert _cross([group((500, 37), (1500, 37))], drawn) == 0
    assert _cross([group((500, 35), (1500, 35)), group((0, 32), (500, 32))], drawn) == (
        pytest.approx(150)
    )
    assert (_cross([], drawn), _cross([group((500, 35), (1500, 35))], [])) == (0, 0)


def test_new_rows_have_letters_that_nothing_begins_with() -> None:
    facts = judge(bare_room()).outcome.facts
    assert list(facts.ids)
    taken = {name[0] for name in facts.ids}
    names = _row_names(facts, 30)
    assert len(set(names)) == 30
    assert not {name[0] for name in names} & {"C", "W"}
    assert not set(names) & taken
    assert names[:2] == ["A", "B"]
    assert {len(name) for name in names} == {1, 2}


def test_a_cable_that_nobody_measured_is_told() -> None:
    def taken(**circuit: Any) -> bool:
        data = bare_room()
        if circuit:
            data["circuits"] = {"C1": {"thermostat": "bedroom", **circuit}}
        (room,) = lay(data, Wishes(film="film-80")).rooms
        return there(room.laying).cables_taken

    cable = {"size": "2.5 mm2", "length": "12 m", "method": "C", "ambient": "30 degC"}
    assert taken()
    assert taken(breaker="10 A", rcd="30 mA")
    # What is added beside a cable that is there is none.
    assert not taken(breaker="10 A", cable=cable)
    assert not taken(cable=cable)
