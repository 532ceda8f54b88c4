"""The parts of a laying one by one, worked out by hand or by another way to come to them."""

import math
from typing import Any

import pytest
import shapely

from tests.there import there
from tests.underfoot.laying.judging import CHECKER, judge
from tests.underfoot.laying.stripped import PLANS
from tests.underfoot.laying.strips import strip
from tests.underfoot.laying.test_lay import bare_room
from tests.underfoot_rules.plans import change_plan
from underfoot.checking.facts.room import RoomFacts
from underfoot.laying.demand import ask_demand
from underfoot.laying.doors import Doors, choose_end, clear_joint
from underfoot.laying.frame import is_direction, list_frames, make_frame, write_mm
from underfoot.laying.lanes import Cuts, Lane, Space
from underfoot.laying.places import heated_floor, list_boxes, list_sensors, measure_from_door
from underfoot.laying.remarks import stands
from underfoot.laying.rows import Laid, LaidRow, make_rows, write_row
from underfoot.laying.strips import LaidStrip, lay_pieces, name_rows
from underfoot.laying.wiring import divide
from underfoot.laying.writing import fill_in, put_on_circuits
from underfoot.reading.syntax import parse

CUTS = Cuts(width=500, step=250, shortest=500, longest=4000)


@pytest.mark.parametrize("along", ["x", "y", "30 deg", "-45 deg", "120 deg"])
def test_a_frame_looks_and_places_back(along: str) -> None:
    frame = make_frame(along)
    u, v = frame.look((300.0, -700.0))
    assert frame.place(u, v) == pytest.approx((300.0, -700.0))
    assert math.hypot(u, v) == pytest.approx(math.hypot(300, 700))
    (seen,) = shapely.get_coordinates(frame.seen(shapely.Point(300.0, -700.0))).tolist()
    assert seen == pytest.approx([u, v])
    # Strips run up: a step along the run is a step of v.
    assert frame.look(frame.run) == pytest.approx((0.0, 1.0))


def test_directions_follow_the_walls() -> None:
    def along(*corners: tuple[float, float]) -> list[str]:
        return [each.along for each in list_frames(shapely.Polygon(corners))]

    assert along((0, 0), (4000, 0), (4000, 3000), (0, 3000)) == ["x", "y"]
    # One wall of 5 m up 3 in 4 (36.87 degrees): along it and across it.
    assert along((0, 0), (4000, 0), (4000, 1000), (8000, 4000), (0, 4000)) == [
        "x", "y", "36.87 deg", "126.87 deg",
    ]  # fmt: skip
    # A cut corner of 999 mm is no wall to lay along, one of 1000 mm is.
    for short, count in ((999 / math.sqrt(2), 2), (1000.1 / math.sqrt(2), 4)):
        assert len(along((short, 0), (4000, 0), (4000, 3000), (0, 3000), (0, short))) == count
    # Of walls as long as each other those at the smaller angle come first.
    far, near = (complex(math.cos(a), math.sin(a)) * 3000 for a in map(math.radians, (50, 20)))
    around = (0, near, near + far, far)
    assert along(*((each.real, each.imag) for each in map(complex, reversed(around)))) == [
        "x", "y", "20 deg", "110 deg", "50 deg", "140 deg",
    ]  # fmt: skip
    # Of many oblique walls the longest are looked at, six directions in all.
    ring = [(5000 * math.cos(a), 5000 * math.sin(a)) for a in (0.1, 1.0, 1.9, 2.9, 3.8, 4.5, 5.5)]
    assert len(along(*ring)) == 6
    # At a twentieth of a degree, to a hundredth, a wall runs along x yet.
    for rise, count in ((3.8, 2), (4.0, 4)):
        corners = ((0, 0), (4000, rise), (4000, 3000), (0, 3000))
        assert len(along(*corners)) == count


def test_a_direction_and_a_millimetre_are_written_as_in_a_plan() -> None:
    assert [is_direction(each) for each in ("x", "y", "30 deg", "-7.5deg")] == [True] * 4
    assert [is_direction(each) for each in ("z", "30", "deg", "inf deg", "nan deg")] == [False] * 5
    assert [write_mm(each) for each in (10.04, 10.06, -0.04)] == [10, 10.1, 0]
    assert isinstance(write_mm(10.04), int)


def test_strips_lie_and_are_joined_where_their_ends_say() -> None:
    piece = strip("A1", 1000, 200, 2200)
    assert (piece.length, piece.run, piece.along) == (2000, (0, 1), "y")
    assert (piece.point, piece.line, piece.beyond(30)) == ((1000, 200), 200, (1000, 170))
    far = strip("A1", 1000, 200, 2200, at_end=True)
    assert (far.point, far.line, far.beyond(30)) == ((1000, 2200), 2200, (1000, 2230))
    assert shapely.Polygon(piece.corners).bounds == (750, 200, 1250, 2200)
    assert piece.place(100, 0.5) == (1000, 300)
    assert piece.place(100, 0.0)[0] != piece.place(100, 1.0)[0]
    level = LaidStrip(
        id="B1", row="B", number=1, start=(3000, 0), end=(1000, 0), width=500.0, amps=1.0
    )
    assert level.along == "x"
    slanted = LaidStrip(id="B1", row="B", number=1, start=(0, 0), end=(3, 3), width=500.0, amps=1.0)
    assert slanted.along == "45 deg"
    assert name_rows([piece, far, level, strip("E", 0, 0, 1000)]) == {
        ("A1", "A1"): "A", ("B1",): "B",
    }  # fmt: skip


def test_rows_begin_on_the_line_that_most_strips_can_begin_on() -> None:
    def lane(u: float, low: float, high: float, length: float) -> Lane:
        return Lane(u=u, spaces=(Space(low=low, high=high, length=length),))

    lanes = [lane(0, 60, 2400, 2250), lane(500, 100, 2400, 2250), lane(1000, 400, 2400, 2000)]
    (row,) = make_rows(lanes, CUTS, at_end=False)
    # The first may begin from 60 to 150, the second from 100 to 150, the third at 400 alone.
    assert [each.start for each in row.laid] == [100, 100, 400]
    assert (row.line, row.heated) == (100, 6500)
    (row,) = make_rows(lanes, CUTS, at_end=True)
    # Joined at their ends all three may end at 2400.
    assert [each.start + each.length for each in row.laid] == [2400] * 3
    assert {each.at_end for each in row.laid} == {True}
    # Lanes that do not butt, or whose strips lie behind one another, are rows of their own.
    assert len(make_rows([lanes[0], lane(1500, 60, 2400, 2250)], CUTS, at_end=False)) == 2
    behind = lane(500, 2400, 4000, 1500)
    assert len(make_rows([lanes[0], behind], CUTS, at_end=False)) == 2
    # Of two strips that one may go on with, it goes on with that which it faces longer.
    double = Lane(
        u=0.0,
        spaces=(Space(low=0, high=1000, length=1000), Space(low=1200, high=4000, length=2750)),
    )
    rows = make_rows([double, lane(500, 700, 3500, 2750)], CUTS, at_end=False)
    assert sorted(len(row.laid) for row in rows) == [1, 2]
    assert max(rows, key=lambda row: len(row.laid)).laid[0].length == 2750


def test_a_row_is_written_as_short_as_it_can_be() -> None:
    frame = make_frame("y")

    def laid(u: float, start: float, length: float, at_end: bool = False) -> Laid:
        return Laid(u=u, start=start, length=length, at_end=at_end)

    plain = LaidRow(strips=(laid(60, 70, 2000), laid(560, 70, 2000)))
    assert write_row(plain, frame, "f", ["C1", "C1"]) == {
        "film": "f", "at": [60, 70], "along": "y", "circuit": "C1", "length": 2000, "count": 2,
    }  # fmt: skip
    one = LaidRow(strips=(laid(60, 70, 2000),))
    assert write_row(one, frame, "f", ["C1"])["lengths"] == [2000]
    mixed = LaidRow(
        strips=(laid(60, 70, 2000, True), None, laid(1060, 320, 1750, True), laid(1560, 70, 2000)),
        at_end=True,
    )
    written = write_row(mixed, frame, "f", ["C1", "C2", "C1"])
    assert (written["connected"], written["circuit"]) == ("end", "C1")
    assert written["lengths"] == [
        2000, None, {"length": 1750, "from": 250, "circuit": "C2"},
        {"length": 2000, "connected": "start"},
    ]  # fmt: skip
    pieces = lay_pieces([("A", mixed)], frame, 500.0, 0.002)
    assert [each.id for each in pieces] == ["A1", "A3", "A4"]
    assert [each.amps for each in pieces] == [4.0, 3.5, 4.0]
    assert (pieces[1].start, pieces[1].end) == ((1310, 320), (1310, 2070))


def test_strips_are_divided_as_evenly_as_that_goes() -> None:
    pieces = [strip(f"A{place}", 500 * place, 0, 1000, amps=amps)
              for place, amps in enumerate((2.0, 2.0, 2.0, 3.0, 3.0), 1)]  # fmt: skip
    # 12 A: the middles lie at 1, 3, 5, 7.5 and 10.5.
    parted = [[each.id for each in group] for group in divide(pieces, 2)]
    assert parted == [["A1", "A2", "A3"], ["A4", "A5"]]
    assert [len(group) for group in divide(pieces, 3)] == [2, 2, 1]
    assert [len(group) for group in divide(pieces, 1)] == [5]


def test_what_is_there_is_filled_in_and_not_changed() -> None:
    def filled(has: Any, key: str = "membrane", value: Any = None) -> list[tuple[Any, Any]]:
        value = value or {"sheet": "s", "runs": {"along": "x", "overlap": 150}}
        own = {} if has is None else {key: has}
        return [(each.path, each.value) for each in fill_in(own, ("r",), key, value)]

    whole = {"sheet": "s", "runs": {"along": "x", "overlap": 150}}
    assert filled(None) == [(("r", "membrane"), whole)]
    assert filled({"sheet": "t"}) == [(("r", "membrane", "runs"), whole["runs"])]
    assert filled({"sheet": "t", "runs": {"along": "y"}}) == [
        (("r", "membrane", "runs", "overlap"), 150)
    ]
    # Sheets that are drawn one by one are laid; so are boards in a list.
    assert filled({"pieces": {"S1": {}}}) == [(("r", "membrane", "sheet"), "s")]
    assert filled({"pieces": {}}) != [(("r", "membrane", "sheet"), "s")]
    assert filled([1]) == []
    assert list(fill_in({}, ("r",), "rows", {})) == []
    assert filled({"runs": 1}, "insulation", {"runs": 2, "board": "b"}) == [
        (("r", "insulation", "board"), "b")
    ]


def test_strips_drawn_without_a_circuit_are_put_on_one() -> None:
    drawn = [
        strip("A1", 0, 0, 1000), strip("A2", 500, 0, 1000), strip("A3", 1000, 0, 1000),
        strip("B1", 0, 0, 1000, circuit="C9"), strip("E", 0, 0, 1000),
    ]  # fmt: skip
    own = {"rows": {"A": {"lengths": [1000, {"length": 1000, "from": 5}, 1000]}}}
    of = {"A1": "C1", "A2": "C2", "A3": "C1", "B1": "C1", "E": "C2"}
    edits = [(each.op, each.path, each.value) for each in put_on_circuits(own, (), drawn, of)]
    assert edits == [
        ("add", ("rows", "A", "circuit"), "C1"),
        ("replace", ("rows", "A", "lengths", 1), {"length": 1000, "from": 5, "circuit": "C2"}),
        ("add", ("elements", "E", "circuit"), "C2"),
    ]
    plain = {"rows": {"A": {"lengths": [1000, 900, 1000]}}}
    told = [each.value for each in put_on_circuits(plain, (), drawn[:3], of)]
    assert told == ["C1", {"length": 900, "circuit": "C2"}]


def test_a_joint_in_a_doorway_is_turned_or_cut_back() -> None:
    frame = make_frame("y")
    doors = Doors(floors=(shapely.box(0, -100, 1000, 0),), joints_off=100.0)
    near = Laid(u=0, start=60, length=2000)
    far = Laid(u=0, start=60, length=2000, at_end=True)
    cut = there(clear_joint(near, frame, CUTS, doors))
    # 60 mm from the doorway; one cut of 250 farther on, 310.
    assert (cut.start, cut.length, cut.cut) == (310, 1750, 250)
    assert clear_joint(far, frame, CUTS, doors) == far
    exact = Laid(u=0, start=100, length=2000)
    assert clear_joint(exact, frame, CUTS, doors) == exact
    assert choose_end([near, far], frame, CUTS, doors, turn=True) == far
    assert choose_end([near, far], frame, CUTS, doors, turn=False) == cut
    # A strip of the least length has nothing to be cut off.
    assert clear_joint(Laid(u=0, start=60, length=500), frame, CUTS, doors) is None
    least = there(clear_joint(Laid(u=0, start=60, length=750), frame, CUTS, doors))
    assert least.length == 500
    assert choose_end([], frame, CUTS, doors, turn=True) is None


def facts_of(**room: Any) -> RoomFacts:
    return judge(bare_room(**room)).outcome.facts.rooms["bedroom"]


def test_boxes_hang_off_corners_and_off_what_stands_before_them() -> None:
    square = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
    on_wall = [x for x, y in list_boxes(facts_of(outline=square)) if y == 0]
    # From 250 off the one corner to 250 off the other, 250 apart, in the order of the outline.
    assert on_wall == [250 + 250 * place for place in range(15)]

    def barred(kind: str) -> tuple[float, float] | None:
        thing = {"at": [1700, 0], "size": [600, 300], "kind": kind}
        facts = facts_of(outline=square, fixtures={"thing": thing})
        gone = [x for x in on_wall if (x, 0) not in list_boxes(facts)]
        return (min(gone), max(gone)) if gone else None

    # Of the places each 250 mm those nearer than 370 to a cupboard, 520 to a stove, 700 to a bath,
    # 1250 to an open shower: it is from 1700 to 2300. Below a table on legs one is reached.
    assert barred("on legs") is None
    assert barred("floor-mounted") == (1500, 2500)
    assert barred("heat source") == (1250, 2750)
    assert barred("bath") == (1250, 2750)
    assert barred("open shower") == (500, 3500)


def test_a_short_wall_has_a_box_in_its_middle() -> None:
    niche = [[0, 0], [4000, 0], [4000, 3000], [400, 3000], [400, 2700], [0, 2700]]
    places = list_boxes(facts_of(outline=niche))
    assert [at for at in places if at[0] == 400] == [(400, 2850)]
    assert [at for at in places if at[1] == 2700] == [(200, 2700)]


def test_the_way_from_a_door_is_that_from_where_its_leaf_closes() -> None:
    def away(**told: Any) -> float:
        door = {"kind": "door", "from": [1000, 0], "to": [1800, 0], **told}
        return measure_from_door((2000, 0), facts_of(openings={"door": door}))

    assert away(hinge="from", opens="inwards") == 200
    assert away(hinge="to", opens="inwards") == 1000
    assert away(hinge="both", opens="inwards") == 200
    assert away() == 200


def test_a_sensor_lies_deep_or_else_as_deep_as_there_is() -> None:
    # Four strips of 500 by 2000: 1000 deep in the middle, 515 and more from all edges of it.
    pieces = [strip(f"A{place}", 250 + 500 * place, 0, 2000) for place in range(4)]
    floor = heated_floor(pieces)
    places = list_sensors(pieces, floor, [])
    edge = shapely.box(0, 0, 2000, 2000).boundary
    off = [edge.distance(shapely.Point(at)) for at in places.tolist()]
    assert min(off) >= 515
    # A strip by itself is 250 deep at the most, in its middle.
    single = list_sensors(pieces[:1], heated_floor(pieces[:1]), [])
    assert {x for x, _ in single.tolist()} == {250}
    assert {y for _, y in single.tolist()} == set(range(250, 1751, 50))


@pytest.mark.parametrize(
    ("path", "is_there"),
    [
        ((), True), (("a",), True), (("b",), False), (("a", "n"), False), (("a", "l", 0), True),
        (("a", "l", 1), False), (("a", "l", -1), False), (("a", "l", "0"), False),
        (("a", "l", 0, "x"), False),
    ],
)  # fmt: skip
def test_what_stands_at_a_path(path: tuple[str | int, ...], is_there: bool) -> None:
    assert stands({"a": {"l": ["one"], "n": None}}, path) is is_there


def test_what_a_room_needs_of_its_floor() -> None:
    def asked(change: dict[str, Any]) -> float | str:
        data = change_plan(
            parse((PLANS / "bedroom.yaml").read_bytes()).data, {"rooms.bedroom": change}
        )
        return ask_demand(judge(data).outcome.facts.rooms["bedroom"], CHECKER.settings)

    assert asked({"heat_loss": "460 W"}) == 460
    assert asked({"heat_loss": "460 W", "other_heat": "60 W"}) == 400
    assert asked({"heat_loss": "460 W", "other_heat": "600 W"}) == 0
    assert "no heat loss is given" in str(asked({"heat_loss": None}))
    # Without the subfloor's layers nobody knows what goes down, and so not what goes up.
    bare = {"heat_loss": "460 W", "subfloor": {"layers": None}}
    assert asked(bare) == "the subfloor's layers are not given (`subfloor.layers`)"
