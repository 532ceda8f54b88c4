"""Rooms out of the common: halls, long names, things far away, nothing in them."""

import re

import pytest
from msgspec.structs import replace

from tests.underfoot.drawing.rooms import (
    PLANS,
    SVG,
    crowd,
    finding,
    parse,
    places_of,
    read,
    read_text,
    right,
    rooms_of,
    wrong,
)
from underfoot.drawing import LAYERS, SheetOptions, draw_body, draw_room, draw_sheets
from underfoot.plan import Plan

RECTANGLE = "[[0, 0], [4000, 0], [4000, 3000], [0, 3000]]"


def plan_of(more: str = "", outline: str = RECTANGLE, room: str = "room") -> Plan:
    return read_text(
        "plan_format: 1\nmaterials:\n"
        "  films: {film: {width: 500, output: 80 W/m2, voltage: 230 V}}\n"
        "  coverings: {tile: {kind: tile}, oak: {kind: wood}}\n"
        f"supply: {{voltage: 230 V}}\ncircuits: {{C1: {{}}}}\nrooms:\n  {room}:\n"
        f"    outline: {outline}\n{more}"
    )


def drawn(plan: Plan, options: SheetOptions | None = None) -> str:
    (facts,) = rooms_of(plan).values()
    return draw_room(facts, plan, crowd(facts), options)


def all_of(plan: Plan) -> str:
    """Draw all sheets of a plan's one room."""
    (facts,) = rooms_of(plan).values()
    return "".join(draw_sheets(facts, plan, crowd(facts)))


STRIP = "{{film: film, at: [{x}, {y}], along: {along}, length: {length}, circuit: C1}}"
CASES = {
    "nothing in it": plan_of(),
    "small": plan_of(outline="[[0, 0], [10, 0], [10, 5], [0, 5]]"),
    "vast": plan_of(outline="[[-9e5, -9e5], [9e5, -9e5], [9e5, 9e5], [-9e5, 9e5]]"),
    "long and thin": plan_of(outline="[[0, 0], [900000, 0], [900000, 10], [0, 10]]"),
    "long names": plan_of(
        f"    fixtures: {{{'f' * 300}: {{at: [0, 0], size: [500, 500], kind: structure}}}}\n"
        f"    joints: {{{'j' * 200}: [[0, 10], [0, 2000]]}}\n",
        room="r" * 300,
    ),
    "box in the middle": plan_of("    junction_box: {at: [2000, 1500]}\n    thermostat: {}\n"),
    "turned strips": plan_of(
        "    elements:\n"
        + "".join(
            f"      E{turn}: "
            + STRIP.format(x=2000, y=1500, along=f"{turn} deg", length=1000)
            + "\n"
            for turn in range(0, 360, 45)
        )
    ),
}


@pytest.mark.parametrize("plan", CASES.values(), ids=list(CASES))
def test_odd_rooms_are_drawn_within_their_sheet(plan: Plan) -> None:
    svg = drawn(plan, SheetOptions(layers=LAYERS))
    root = parse(svg)
    _, _, wide, high = map(float, (root.get("viewBox") or "").split())
    (outline,) = [path for path in root.iter() if path.get("class") == "outline"]
    for x, y in places_of(outline.get("d") or "")[0]:
        assert 0 < x < wide
        assert 0 < y < high
    for text in root.iter(f"{SVG}text"):
        if text.get("textLength"):
            assert float(text.get("textLength") or 0) < wide
    (facts,) = rooms_of(plan).values()
    parse(draw_body(facts, plan, crowd(facts), prefix="a-"))


def test_text_is_never_upside_down() -> None:
    svg = drawn(CASES["turned strips"])
    turns = [float(turn) for turn in re.findall(r"rotate\((-?[0-9.]+) ", svg)]
    assert len(turns) > 8
    assert all(-90 <= turn < 90 for turn in turns)


def test_what_lies_far_away_is_told() -> None:
    plan = plan_of(
        "    elements:\n"
        f"      E1: {STRIP.format(x=60, y=60, along='x', length=3000)}\n"
        f"      E2: {STRIP.format(x=900000, y=60, along='x', length=3000)}\n"
    )
    svg = all_of(plan)
    assert "Reaching beyond this drawing: E2.<" in svg
    # 5333 by 3500 mm with what is followed beyond the room: 1:20 on A3.
    assert ">1:20, dimensions in mm<" in svg


def hall(strips: int) -> Plan:
    rows = "".join(
        f"      R{row}-: {{film: film, at: [100, {100 + row * 3100}], along: y, length: 3000, "
        f"count: 50, circuit: C1}}\n"
        for row in range(strips // 50)
    )
    high = strips // 50 * 3100 + 200
    return plan_of(
        f"    rows:\n{rows}", outline=f"[[0, 0], [25200, 0], [25200, {high}], [0, {high}]]"
    )


def test_a_hall_is_drawn_simply_and_says_so() -> None:
    plan = hall(1000)
    (facts,) = rooms_of(plan).values()
    svg = draw_room(facts, plan, right(plan))
    assert "At this scale strips and leads are too small for their ids" in " ".join(
        parse(svg).itertext()
    )
    assert "R1-: 50 strips" in svg
    assert 'data-of="R1-"' in svg
    assert 'data-of="R1-1"' not in svg
    # Four corners a strip, no more than 50 bytes a corner.
    assert len(svg) < 1000 * 4 * 50
    drawn_strips = [
        path for path in parse(svg).iter(f"{SVG}path") if path.get("data-circuit") == "C1"
    ]
    assert sum(len(places_of(path.get("d") or "")) for path in drawn_strips) == 1000


@pytest.mark.slow
def test_a_hall_full_of_findings_gets_as_many_balloons_as_can_be_told_apart() -> None:
    plan = hall(500)
    (facts,) = rooms_of(plan).values()
    findings = tuple(
        finding(number, room="room", items=(element.id,))
        for number, element in enumerate(facts.elements, 1)
    )
    svg = "".join(draw_sheets(facts, plan, wrong(*findings)))
    balloons = re.findall('class="balloon"', svg)
    assert 20 <= len(balloons) <= 60
    assert re.search(r"and \d+ more, in the report: \d+–500", svg)


def test_remarks_stand_beside_the_name_of_their_thing() -> None:
    plan = plan_of(
        "    note: swept\n"
        "    fixtures: {stove: {at: [0, 0], size: [500, 500], kind: heat source, note: hot}}\n"
    )
    svg = all_of(plan)
    assert ">Remarks<" in svg
    assert "room: swept" in svg
    assert "stove: hot" in svg


def test_the_edge_of_a_covering_is_drawn_and_named() -> None:
    plan = plan_of(
        "    coverings: [{covering: tile, over: [[0, 0], [2000, 0], [2000, 3000], [0, 3000]]}, "
        "{covering: oak}]\n"
    )
    root = parse(drawn(plan))
    (edge,) = [
        path
        for group in root.iter(f"{SVG}g")
        if group.get("data-layer") == "coverings"
        for path in group.iter(f"{SVG}path")
        if path.get("data-item") == "tile"
    ]
    (corners,) = places_of(edge.get("d") or "")
    xs = [x for x, _ in corners]
    # 2000 mm at the scale of 1:20 that a room of 4 m by 3 m gets.
    assert max(xs) - min(xs) == pytest.approx(2000 / 20, abs=0.002)


def test_a_thermostat_of_another_room_is_drawn_where_it_hangs() -> None:
    plan = read(PLANS / "flat.yaml")
    rooms = rooms_of(plan)
    svg = "".join(draw_sheets(rooms["hall"], plan, right(plan)))
    assert ">T2<" in svg
    assert "thermostat of bathroom" in svg
    assert ">T<" not in draw_room(rooms["bathroom"], plan, right(plan)).split("Legend")[0]


def test_what_was_not_judged_is_told_on_the_sheet() -> None:

    from underfoot.checking.report import Counts

    plan = plan_of()
    (facts,) = rooms_of(plan).values()
    report = replace(right(plan), counts=Counts(undecided=3), today="2026-10-01")
    svg = draw_room(facts, plan, report)
    said = " ".join(" ".join(parse(svg).itertext()).split())
    assert "3 points of the plan could not be judged; the report says why." in said
    assert "Waivers judged as of 2026-10-01." in said


def test_what_no_table_holds_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("underfoot.drawing.drawing._MOST_UNTOLD", 5)
    plan = hall(500)
    (facts,) = rooms_of(plan).values()
    said = "".join(draw_sheets(facts, plan, right(plan)))
    # Ten rows: of each the left edge and the lower one are set out in the table.
    assert "and more: 15 lines like these, in the plan alone" in said
