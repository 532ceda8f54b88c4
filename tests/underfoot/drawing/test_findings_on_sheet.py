"""Findings on a room's sheet: balloons that cover nothing, and the list beside the drawing."""

import re
from xml.etree import ElementTree

import pytest
import shapely

from tests.underfoot.drawing.demo_sheets import (
    EACH_ROOM,
    ROOMS,
    crowded,
    crowded_whole,
    words,
)
from tests.underfoot.drawing.rooms import (
    PLANS,
    SVG,
    crowd,
    demo_room,
    finding,
    parse,
    places_of,
    read_text,
    rooms_of,
    wrong,
)
from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import ReportedFinding
from underfoot.drawing import draw_room, draw_sheets
from underfoot.drawing.anchors import find_place
from underfoot.from_python import PlanText, check


@pytest.mark.slow
@EACH_ROOM
def test_all_lies_on_the_sheet(place: int) -> None:
    root = parse(crowded(place))
    sheet = shapely.box(0, 0, *map(float, (root.get("viewBox") or "").split()[2:]))
    for kind in ("label", "balloon"):
        for shape in _shapes(root, kind):
            assert sheet.contains(shape)


def _shapes(root: ElementTree.Element, kind: str) -> list[shapely.Polygon]:
    """Measure from the drawing itself what labels and balloons cover."""
    shapes = []
    for group in root.iter(f"{SVG}g"):
        if group.get("class") != kind:
            continue
        bodies = [
            shape for child in group if (shape := _shape(child)) is not None and shape.area > 5.0
        ]
        assert len(bodies) == 1, ElementTree.tostring(group)
        shapes += bodies
    return shapes


def _shape(child: ElementTree.Element) -> shapely.Polygon | None:
    def size(name: str) -> float:
        return float(child.get(name) or 0)

    if child.tag == f"{SVG}rect":
        left, top = size("x"), size("y")
        return shapely.box(left, top, left + size("width"), top + size("height"))
    if child.tag == f"{SVG}circle":
        return shapely.Point(size("cx"), size("cy")).buffer(size("r"))
    if child.tag == f"{SVG}path" and (child.get("d") or "").endswith("z"):
        return shapely.Polygon(places_of(child.get("d") or "")[0])
    return None


def has_place(facts: RoomFacts, each: ReportedFinding) -> bool:
    room = facts.drawn
    thermostat = room.thermostat
    gone = {
        "junction-box": room.junction_box is None,
        "sensor": room.sensor is None,
        "thermostat": thermostat is None or thermostat.room not in (None, room.id),
    }
    return bool(each.items) and not gone.get(each.items[0], False)


@pytest.mark.slow
@EACH_ROOM
def test_balloons_cover_neither_each_other_nor_lettering(place: int) -> None:
    for svg in (crowded(place), crowded_whole(place)):
        root = parse(svg)
        balloons = _shapes(root, "balloon")
        labels = _shapes(root, "label")
        signs = _shapes(root, "sign")
        assert balloons or not ROOMS[place][2].elements
        assert labels or not ROOMS[place][2].elements
        for number, balloon in enumerate(balloons):
            for other in [*balloons[number + 1 :], *labels, *signs]:
                assert balloon.intersection(other).area < 1e-6
        for number, label in enumerate(labels):
            for other in [*labels[number + 1 :], *signs]:
                assert label.intersection(other).area < 1e-6


@EACH_ROOM
def test_leader_lines_cross_no_balloon_but_their_own(place: int) -> None:
    root = parse(crowded(place))
    leaders = {
        each.get("data-finding"): shapely.LineString(
            places_of(each.findall(f"{SVG}path")[0].get("d") or "")[0]
        )
        for each in root.iter()
        if each.get("class") == "leader"
    }
    balloons = [each for each in root.iter() if each.get("class") == "balloon"]
    assert len(leaders) == len(balloons)
    for balloon, shape in zip(balloons, _shapes(root, "balloon"), strict=True):
        for number, leader in leaders.items():
            assert shape.intersects(leader) == (number == balloon.get("data-finding"))


@EACH_ROOM
def test_every_finding_with_a_place_has_its_balloon(place: int) -> None:
    _, _, facts = ROOMS[place]
    drawn = [
        each.get("data-finding")
        for each in parse(crowded(place)).iter()
        if each.get("class") == "balloon"
    ]
    placed = [str(each.number) for each in crowd(facts).findings if has_place(facts, each)]
    assert drawn == placed


def test_a_balloon_points_at_its_place() -> None:
    plan, facts = demo_room("bedroom")
    strip = facts.strips[facts.place_of["A3"]]
    report = wrong(finding(1, room="bedroom", shape=strip))
    svg = draw_room(facts, plan, report)
    root = parse(svg)
    (balloon,) = [each for each in root.iter() if each.get("class") == "balloon"]
    assert balloon.get("data-finding") == "1"
    (leader,) = [each for each in root.iter() if each.get("class") == "leader"]
    assert leader.get("data-finding") == "1"
    (dot,) = leader.findall(f"{SVG}circle")
    (drawn,) = [path for path in root.iter(f"{SVG}path") if path.get("data-item") == "A3"]
    corners = places_of(drawn.get("d") or "")[0]
    at = shapely.Point(float(dot.get("cx") or 0), float(dot.get("cy") or 0))
    assert shapely.Polygon(corners).covers(at)


def test_findings_without_a_place_are_in_the_list_alone() -> None:
    plan, facts = demo_room("bedroom")
    report = wrong(
        finding(1, room="bedroom", rule="sensor-missing", message="There is no sensor."),
        finding(2, room=None, items=("C1",), rule="circuit-current", message="Too much."),
        finding(3, room="another", items=("Z1",), message="Of another room."),
    )
    sheets = [parse(sheet) for sheet in draw_sheets(facts, plan, report)]
    elements = [each for sheet in sheets for each in sheet.iter()]
    assert not [each for each in elements if each.get("class") == "balloon"]
    (listed,) = [each for each in elements if each.get("class") == "findings-list"]
    text = words(listed)
    assert "sensor-missing: room" in text
    assert "There is no sensor." in text
    assert "circuit-current: C1 (whole plan)" in text
    assert "Of another room." not in text


def test_severity_is_told_by_shape_and_waived_by_its_line() -> None:
    plan, facts = demo_room("bedroom")
    report = wrong(
        *(
            finding(number, severity, room="bedroom", items=(f"A{number}",), waived=waived)
            for number, (severity, waived) in enumerate(
                [("error", False), ("warning", False), ("note", False), ("error", True)], 1
            )
        )
    )
    root = parse(draw_room(facts, plan, report))
    bodies = {
        balloon.get("data-finding"): balloon[-2]
        for balloon in root.iter()
        if balloon.get("class") == "balloon"
    }
    assert [bodies[number].tag.removeprefix(SVG) for number in "1234"] == [
        "rect",
        "path",
        "circle",
        "rect",
    ]
    assert bodies["1"].get("fill") != "#ffffff"
    assert bodies["4"].get("fill") == "#ffffff"
    assert bodies["4"].get("stroke-dasharray")
    assert not bodies["1"].get("stroke-dasharray")


def test_more_findings_than_fit_are_counted() -> None:
    plan, facts = demo_room("bedroom")
    report = wrong(*(finding(n, room="bedroom") for n in range(1, 201)))
    text = " ".join(words(parse(sheet)) for sheet in draw_sheets(facts, plan, report))
    found = re.search(r"and (\d+) more, in the report: (\d+)–200", text)
    assert found is not None
    assert int(found[1]) == 200 - int(found[2]) + 1


def test_what_hangs_in_another_room_is_not_shown_at_what_is_called_so_here() -> None:
    # The bathroom's thermostat hangs in the hall, behind the hall's door; both doors are `door`.
    text = (PLANS / "flat.yaml").read_text(encoding="utf-8")
    was = "{kind: door, from: [1290, 100], to: [1290, 920], hinge: from, opens: inwards"
    assert was in text
    moved = was.replace("100]", "2700]").replace("920]", "3520]")
    text = text.replace(was, moved)
    (report,) = check(PlanText(text, str(PLANS / "moved.yaml"))).plans
    (found,) = [each for each in report.findings if each.rule == "thermostat-behind-door"]
    assert (found.room, found.shape) == ("bathroom", None)
    assert "at [1290, 2600] of room hall" in found.message
    facts = rooms_of(read_text(text))["bathroom"]
    assert find_place(facts, found) is None
