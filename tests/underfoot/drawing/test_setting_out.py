"""What a tape must find: worked out by hand for small rooms."""

import math

import pytest

from tests.underfoot.drawing.rooms import rooms_of
from tests.underfoot.drawing.test_odd_rooms import STRIP, plan_of
from underfoot.checking.facts import RoomFacts
from underfoot.drawing import LAYERS
from underfoot.drawing.chains import find_blocks, find_chains
from underfoot.drawing.joints import find_order
from underfoot.drawing.panel import Panel, Section, pour
from underfoot.drawing.setting_out import find_wanted
from underfoot.drawing.sheets import Box

# A regular triangle: no wall stands square to another.
HIGH = 2000 * math.sqrt(3)
TRIANGLE = f"[[0, 0], [4000, 0], [2000, {HIGH}]]"
# A square of 2000 turned by 30 degrees about its lowest corner.
C, S = 2000 * math.cos(math.pi / 6), 2000 * math.sin(math.pi / 6)
TURNED = f"[[0, 0], [{C}, {S}], [{C - S}, {C + S}], [{-S}, {C}]]"


def facts_of(more: str, outline: str = "[[0, 0], [4000, 0], [4000, 3000], [0, 3000]]") -> RoomFacts:
    (facts,) = rooms_of(plan_of(more, outline)).values()
    return facts


def lengths(facts: RoomFacts, layer: str) -> list[float]:
    """The lengths of the best way of each dimension of a layer."""
    return [round(each.ways[0].length, 1) for each in find_wanted(facts, {layer})]


def test_a_sensor_is_measured_from_the_near_walls_and_its_channel_s_bends_once() -> None:
    facts = facts_of(
        "    junction_box: {at: [0, 1200]}\n"
        "    sensor: {at: [3300, 2100], route: [junction-box, [2500, 1200]]}\n"
    )
    # The bend is level with the box: 1500 from the right. The sensor is 700 from the right wall and
    # 900 from the upper one.
    assert lengths(facts, "sensor") == [1500.0, 700.0, 900.0]


def test_what_a_structure_hides_is_measured_from_its_face() -> None:
    facts = facts_of(
        "    fixtures: {stack: {at: [0, 1000], size: [300, 1000], kind: structure}}\n"
        "    sensor: {at: [800, 1500]}\n"
    )
    # 800 from the wall, but 500 from the stack before it; 1500 from either of the others.
    assert lengths(facts, "sensor") == [500.0, 1500.0]


def test_where_no_wall_is_square_a_place_is_measured_from_two_corners() -> None:
    facts = facts_of("    sensor: {at: [2000, 500]}\n", TRIANGLE)
    # From the base 500 up; across it from the two corners at its ends.
    ends = round(math.hypot(2000, 500), 1)
    across = [way for way in find_wanted(facts, {"sensor"}) if not way.ways[0].may_shift]
    assert lengths(facts, "sensor").count(500.0) == 1
    assert [round(way.ways[0].length, 1) for way in across] == [ends, ends]


def test_in_a_turned_room_the_dimensions_turn_with_it() -> None:
    at = (0.4 * C - 0.25 * S, 0.4 * S + 0.25 * C)
    facts = facts_of(f"    sensor: {{at: [{at[0]}, {at[1]}]}}\n", TURNED)
    # 0.4 of 2000 along the one wall and 0.25 along the other.
    assert sorted(lengths(facts, "sensor")) == [500.0, 800.0]
    x, y = 0.1 * C - 0.2 * S, 0.1 * S + 0.2 * C
    strip = STRIP.format(x=x, y=y, along="30 deg", length=1000)
    turned = facts_of(f"    elements:\n      E1: {strip}\n", TURNED)
    # Its start lies 200 along; its long sides 400 from the one wall, 2000 - 400 - 500 from the
    # other.
    assert sorted(lengths(turned, "strips")) == [200.0, 400.0, 1100.0]


def test_short_stops_of_neighbours_are_one_dimension() -> None:
    row = (
        "{film: film, at: [60, 60], along: y, lengths: [2750, 2000, 2000, 2750, 2000], circuit: C1}"
    )
    facts = facts_of(f"    rows:\n      A: {row}\n")
    assert [(each.what, each.ways[0].length) for each in find_wanted(facts, {"strips"})] == [
        ("stop of A2 to A3", 940.0),
        ("stop of A5", 940.0),
    ]
    (block,) = find_blocks(facts)
    assert block.bounds == (60.0, 60.0, 2560.0, 2810.0)
    rows = {chain.what: chain.stops for chain in find_chains(facts) if chain.along_x}
    assert rows == {"strips": (0.0, 60.0, 2560.0, 4000.0), "overall": (0.0, 4000.0)}


def test_fixtures_are_measured_from_walls_that_they_do_not_touch() -> None:
    facts = facts_of(
        "    fixtures:\n"
        "      island: {at: [1000, 1100], size: [900, 600], kind: floor-mounted}\n"
        "      rack: {at: [0, 400], size: [300, 900], kind: floor-mounted}\n"
        "      corner: {at: [3400, 0], size: [600, 600], kind: floor-mounted}\n"
        "      stack: {at: [1300, 2600], size: [800, 400], kind: structure}\n"
    )
    found = [(each.what, each.ways[0].length) for each in find_wanted(facts, {"fixtures"})]
    # The island's upper edge is 900 from the stack, its lower one 1100 from the wall.
    assert found == [("island", 1000.0), ("island", 900.0), ("rack", 400.0), ("stack", 1300.0)]


def test_joints_are_numbered_from_the_box_on_whatever_the_order_of_the_leads() -> None:
    strips = "".join(
        f"      E{place}: {STRIP.format(x=60 + 600 * place, y=60, along='y', length=2000)}\n"
        for place in range(4)
    )
    facts = facts_of(
        f"    elements:\n{strips}    junction_box: {{at: [0, 30]}}\n    leads:\n"
        "      W2: {circuit: C1, route: [E3, E2, E1]}\n"
        "      W1: {circuit: C1, route: [E1, E0, junction-box]}\n"
    )
    assert [element for element, _ in find_order(facts)] == ["E0", "E1", "E2", "E3"]
    assert sorted(find_order(facts).values()) == [1, 2, 3, 4]


@pytest.mark.parametrize("may_part", [True, False])
def test_a_section_is_parted_only_where_it_may_be(may_part: bool) -> None:
    def entry(width: float) -> Panel:
        return Panel(height=10.0, drawn=f"<i>{width:.0f}</i>")

    long = Section(title="Long", entries=(entry,) * 9, name="long")
    short = Section(title="Short", entries=(entry,), name="short")
    columns = [Box(left=0, top=0, width=50, height=30), Box(left=50, top=0, width=60, height=30)]
    poured = pour([long, short], columns, may_part=may_part)
    if may_part:
        # Two entries and the heading in each column, the rest and what comes after it left.
        assert poured.drawn.count("<i>50</i>") == poured.drawn.count("<i>60</i>") == 2
        assert [(each.title, len(each.entries)) for each in poured.left] == [
            ("Long (continued)", 5),
            ("Short", 1),
        ]
    else:
        assert "Long" not in poured.drawn
        assert poured.drawn.count("<i>50</i>") == 1
        assert poured.left == (long,)


def test_layers_that_are_not_drawn_are_not_set_out() -> None:
    facts = facts_of("    sensor: {at: [800, 1500]}\n")
    assert find_wanted(facts, {"strips"}) == []
    assert find_wanted(facts, LAYERS) != []


def test_stops_that_are_short_are_measured_in_a_turned_room_and_before_a_wall_askew() -> None:
    # Along the one wall 200, 400 and 200 from its start, each 500 wide from 300 of the other on.
    starts = ((200, 300, 1500), (400, 800, 1100), (200, 1300, 1500))
    cosine, sine = math.cos(math.pi / 6), math.sin(math.pi / 6)
    strips = "".join(
        f"      E{place}: "
        + STRIP.format(
            x=u * cosine - v * sine, y=u * sine + v * cosine, along="30 deg", length=length
        )
        + "\n"
        for place, (u, v, length) in enumerate(starts)
    )
    found = find_wanted(facts_of(f"    elements:\n{strips}", TURNED), {"strips"})
    # The middle one begins 400 from the one wall and ends at 1500, 500 from the other; where the
    # others end, at 1700, their lengths tell.
    stops = [(each.what, round(each.ways[0].length, 1)) for each in found if "stop" in each.what]
    assert stops == [("stop of E1", 400.0), ("stop of E1", 500.0)]


def test_a_stop_before_a_wall_askew_is_measured_from_the_wall_behind_it() -> None:
    askew = "[[0, 0], [4000, 0], [4000, 3600], [0, 2900]]"
    row = "{film: film, at: [60, 60], along: y, lengths: [2750, 2000, 2750], circuit: C1}"
    (found,) = find_wanted(facts_of(f"    rows:\n      A: {row}\n", askew), {"strips"})
    assert (found.what, found.ways[0].length) == ("stop of A2", 2060.0)


WEDGE = "[[0, 0], [4000, 1000], [4000, 4000], [0, 4000]]"


def test_a_stop_between_two_walls_askew_is_measured_along_the_strip_s_edge() -> None:
    between = "[[0, 0], [4000, 1000], [4000, 3000], [0, 4000]]"
    strips = f"      E1: {STRIP.format(x=500, y=500, along='y', length=3000)}\n"
    strips += f"      E2: {STRIP.format(x=1000, y=600, along='y', length=2500)}\n"
    found = find_wanted(facts_of(f"    elements:\n{strips}", between), {"strips"})
    # The lower wall is 1000 * 1500 / 4000 = 375 up at E2's outer edge: 225 below its stop. The
    # upper one is at 3750 where E2 begins and at 3625 where it ends, its stop at 3100: 525 below.
    assert [(each.what, round(each.ways[0].length, 6)) for each in found] == [
        ("stop of E2", 225.0),
        ("stop of E2", 525.0),
    ]
    assert not any(way.may_shift for each in found for way in each.ways)


def test_what_lies_beside_a_wall_askew_is_measured_off_it_and_along_it() -> None:
    long = math.hypot(4000, 1000)

    def beside(along: float) -> list[float]:
        """Return a place so far along the lower wall, 30 off it."""
        return [(along * 4000 - 30 * 1000) / long, (along * 1000 + 30 * 4000) / long]

    strip = STRIP.format(x=3000, y=1200, along="y", length=2000)
    facts = facts_of(
        f"    elements:\n      E1: {strip}\n    junction_box: {{at: [0, 2000]}}\n"
        f"    leads: {{W1: {{circuit: C1, "
        f"route: [junction-box, {beside(1000)}, {beside(2500)}, E1]}}}}\n",
        WEDGE,
    )
    # 30 off once; 1000 from the one end of the wall, and hypot(4000, 1000) - 2500 = 1623.1 from the
    # other.
    assert lengths(facts, "leads") == [30.0, 1000.0, 1623.1]


def test_no_place_is_measured_from_the_same_corners_twice() -> None:
    cut = "[[1400, 0], [3400, 0], [4800, 1400], [4800, 3400], [3400, 4800], [1400, 4800]]"
    facts = facts_of("    sensor: {at: [1000, 1000]}\n", cut[:-1] + ", [0, 3400], [0, 1400]]")
    # Whichever way it looks, it looks at a cut corner.
    ways = [each.ways[0] for each in find_wanted(facts, {"sensor"})]
    assert len(ways) == len({(way.start, way.end) for way in ways}) == 2


def test_in_a_turned_room_no_row_runs_along_x_or_y() -> None:
    assert find_chains(facts_of("", TURNED)) == []
    assert find_wanted(facts_of("", TURNED), {"dimensions"}) == []
    assert find_chains(facts_of("")) != []


def test_a_turned_room_that_is_not_square_is_measured_across() -> None:
    facts = facts_of("", "[[300, 0], [4000, 700], [3500, 3600], [0, 2500]]")
    # From its first corner to that opposite: hypot(3200, 3600).
    assert lengths(facts, "dimensions") == [round(math.hypot(3200, 3600), 1)]
