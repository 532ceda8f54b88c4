"""A room's sheet: true to scale, nothing covered, nothing from a plan but text."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from functools import cache
from xml.etree import ElementTree

import pytest
import shapely
from msgspec.structs import replace

from tests.underfoot.drawing.measured import Measured
from tests.underfoot.drawing.rooms import (
    DEMO_PLANS,
    PLANS,
    SVG,
    crowd,
    every_room,
    finding,
    parse,
    places_of,
    read,
    right,
    rooms_of,
)
from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import CAUTION, REVISE, PlanReport, ReportedFinding
from underfoot.drawing import (
    LAYERS,
    USUAL_LAYERS,
    SheetOptions,
    draw_body,
    draw_room,
    draw_sheets,
)
from underfoot.plan import Job, Plan

ROOMS = tuple(every_room())
EACH_ROOM = pytest.mark.parametrize("place", range(len(ROOMS)), ids=[name for name, *_ in ROOMS])


@cache
def plain(place: int) -> str:
    """Draw the sheet of a demo room on which nothing was found."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, right(plan))


@cache
def crowded(place: int) -> str:
    """Draw the sheet of a demo room with far too many findings."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, crowd(facts))


@cache
def crowded_whole(place: int) -> str:
    """Draw the same with boards and membrane too."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, crowd(facts), SheetOptions(layers=LAYERS))


def bedroom() -> tuple[Plan, RoomFacts]:
    plan = read(PLANS / "bedroom.yaml")
    return plan, rooms_of(plan)["bedroom"]


def scale_of(svg: str) -> int:
    found = re.search(r">1:(\d+), dimensions in mm<", svg)
    assert found is not None
    return int(found[1])


def layer(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [each for each in root.iter(f"{SVG}g") if each.get("data-layer") == name]


def words(root: ElementTree.Element) -> str:
    return "\n".join("".join(each.itertext()) for each in root.iter(f"{SVG}text"))


def test_there_are_demo_plans() -> None:
    assert len(DEMO_PLANS) >= 5


@EACH_ROOM
def test_paper_is_an_iso_sheet_with_a_millimetre_for_a_unit(place: int) -> None:
    root = parse(plain(place))
    size = (root.get("width"), root.get("height"))
    assert size in {("297mm", "210mm"), ("210mm", "297mm"), ("420mm", "297mm"), ("297mm", "420mm")}
    assert root.get("viewBox") == f"0 0 {size[0][:-2]} {size[1][:-2]}"  # type: ignore[index]


@EACH_ROOM
def test_lengths_on_paper_are_those_of_the_plan(place: int) -> None:
    _, _, facts = ROOMS[place]
    svg = plain(place)
    scale = scale_of(svg)
    root = parse(svg)
    drawn = {
        path.get("data-item"): places_of(path.get("d") or "")[0]
        for group in layer(root, "strips")
        for path in group.iter(f"{SVG}path")
        if path.get("data-item")
    }
    assert set(drawn) == {element.id for element in facts.elements}
    for element in facts.elements:
        corners = drawn[element.id]
        sides = sorted(
            math.dist(corners[place], corners[(place + 1) % 4]) * scale for place in range(4)
        )
        wanted = sorted([element.length, element.length, element.film.width, element.film.width])
        # Two corners, each rounded to 0.001 mm on paper.
        assert sides == pytest.approx(wanted, abs=0.002 * scale)


@EACH_ROOM
def test_the_outline_on_paper_is_that_of_the_plan(place: int) -> None:
    _, _, facts = ROOMS[place]
    svg = plain(place)
    scale = scale_of(svg)
    (outline,) = [path for path in parse(svg).iter() if path.get("class") == "outline"]
    (corners,) = places_of(outline.get("d") or "")
    assert shapely.Polygon(corners).area * scale**2 == pytest.approx(facts.outline.area, rel=1e-4)


def test_scale_bar_is_as_long_as_it_says() -> None:
    plan, facts = bedroom()
    svg = draw_room(facts, plan, right(plan))
    (bar,) = [each for each in parse(svg).iter() if each.get("class") == "scale-bar"]
    blocks = bar.findall(f"{SVG}rect")
    wide = sum(float(block.get("width") or 0) for block in blocks)
    assert wide * scale_of(svg) == pytest.approx(float(bar.get("data-length") or 0))
    assert [text.text for text in bar.findall(f"{SVG}text")] == ["0", "500 mm"]  # 25 mm at 1:20


def test_dimensions_say_what_the_plan_says() -> None:
    plan, facts = bedroom()
    svg = draw_room(facts, plan, right(plan))
    root = parse(svg)
    figures = [each.text for each in root.iter(f"{SVG}text") if each.get("class") == "figure"]
    # 3650 wide: 60 to the first strip, seven of 500, 90 left; 3120 high: strips of 3000 from 60;
    # the box hangs 1500 up its wall.
    rows = ["60", "3500", "90", "3650", "60", "3000", "60", "3120", "1500"]
    # Inside: four strips stop 810 short of the upper wall, 210 off the wardrobe; the bed stands 350
    # from the right and 20 from the upper wall, the sensor 810 from the left one, level with the
    # box; the lead bends twice, 30 off the walls.
    inside = [(each.figure, each.what) for each in Measured(svg).dimensions]
    assert inside == [
        ("810", "stop of A1 to A4"),
        ("350", "bed"),
        ("20", "bed"),
        ("810", "sensor and its channel"),
        ("30", "lead W1"),
        ("30", "lead W1"),
    ]
    assert sorted(figures) == sorted([*rows, *(figure for figure, _ in inside)])


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


@EACH_ROOM
def test_every_strip_and_fixture_is_named(place: int) -> None:
    _, plan, facts = ROOMS[place]
    said = "".join(draw_sheets(facts, plan, right(plan)))
    for name in (*(each.id for each in facts.elements), *(each.id for each, _ in facts.fixtures)):
        assert f'data-of="{name}"' in said or f">{name}: " in said


@EACH_ROOM
def test_lettering_is_large_enough_to_read(place: int) -> None:
    root = parse(crowded(place))
    sizes = {float(text.get("font-size") or 0) for text in root.iter(f"{SVG}text")}
    # Capitals of 2.5 mm, in a family whose capitals are 0.688 high: 1.8 mm, the smallest of
    # ISO 3098-1, are left of them where a sheet on A3 is printed on A4.
    assert min(sizes) * 0.688 >= 2.5


def test_a_balloon_points_at_its_place() -> None:
    plan, facts = bedroom()
    strip = facts.strips[facts.place_of["A3"]]
    report = PlanReport(
        path="p", verdict=REVISE, findings=(finding(1, room="bedroom", shape=strip),)
    )
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
    plan, facts = bedroom()
    report = PlanReport(
        path="p",
        verdict=REVISE,
        findings=(
            finding(1, room="bedroom", rule="sensor-missing", message="There is no sensor."),
            finding(2, room=None, items=("C1",), rule="circuit-current", message="Too much."),
            finding(3, room="another", items=("Z1",), message="Of another room."),
        ),
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
    plan, facts = bedroom()
    report = PlanReport(
        path="p",
        verdict=REVISE,
        findings=tuple(
            finding(number, severity, room="bedroom", items=(f"A{number}",), waived=waived)
            for number, (severity, waived) in enumerate(
                [("error", False), ("warning", False), ("note", False), ("error", True)], 1
            )
        ),
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
    plan, facts = bedroom()
    report = PlanReport(
        path="p", verdict=REVISE, findings=tuple(finding(n, room="bedroom") for n in range(1, 201))
    )
    text = " ".join(words(parse(sheet)) for sheet in draw_sheets(facts, plan, report))
    found = re.search(r"and (\d+) more, in the report: (\d+)–200", text)
    assert found is not None
    assert int(found[1]) == 200 - int(found[2]) + 1


def test_layers_are_drawn_as_asked() -> None:
    plan, facts = bedroom()
    usual = parse(draw_room(facts, plan, right(plan)))
    present = {each.get("data-layer") for each in usual.iter(f"{SVG}g")} - {None}
    assert present == {*USUAL_LAYERS, "walls"} - {"findings", "coverings"}
    every = parse(draw_room(facts, plan, right(plan), SheetOptions(layers=LAYERS)))
    present = {each.get("data-layer") for each in every.iter(f"{SVG}g")} - {None}
    assert present == {*LAYERS, "walls"} - {"findings", "coverings"}
    bare = parse(draw_room(facts, plan, right(plan), SheetOptions(layers=("strips",))))
    assert {each.get("data-layer") for each in bare.iter(f"{SVG}g")} - {None} == {
        "strips",
        "walls",
    }


def test_boards_and_laps_are_those_of_the_facts() -> None:
    plan, facts = bedroom()
    options = SheetOptions(layers=("boards", "membrane"))
    root = parse(draw_room(facts, plan, right(plan), options))
    (boards,) = [
        group
        for group in layer(root, "boards")
        if group.find(f".//{SVG}path") is not None and group.find(f".//{SVG}text") is None
    ]
    assert len(boards.findall(f".//{SVG}path")) == len(facts.boards[0].names)
    assert "lap 150" in words(root)  # the plan's runs overlap by 150


def test_title_block_holds_the_fields_of_the_standard() -> None:
    plan, facts = bedroom()
    root = parse(draw_room(facts, plan, PlanReport(path="p", verdict=REVISE)))
    (block,) = [each for each in root.iter() if each.get("class") == "title-block"]
    texts = [text.text for text in block.iter(f"{SVG}text")]
    # ISO 7200: the fields that a title block must have.
    for name in (
        "Legal owner",
        "Reference",
        "Date of issue",
        "Sheet",
        "Title",
        "Approved by",
        "Drawn by",
        "Type of document",
        "Revision",
        "Status",
        "Language",
        "Scale",
    ):
        assert name in texts
    for value in (
        "TC3-FH-02",
        "P2",
        "2026-09-14",
        "design office",
        "for review",
        "1 of 1",
        "1:20",
        REVISE,
    ):
        assert value in texts
    assert "Title Teasel Court, plot 3, bedroom" in " ".join(text or "" for text in texts)


def test_caution_is_on_the_sheet() -> None:
    plan, facts = bedroom()
    root = parse(draw_room(facts, plan, right(plan)))
    (caution,) = [each for each in root.iter() if each.get("class") == "caution"]
    assert " ".join(text.text or "" for text in caution.iter(f"{SVG}text")) == CAUTION


def test_section_adds_up_what_is_laid() -> None:
    plan, facts = bedroom()
    text = " ".join(words(parse(sheet)) for sheet in draw_sheets(facts, plan, right(plan)))
    # Covering 14, vapour barrier 0.2, boards 10: 24.2; the film's thickness is not stated.
    assert "Total above the subfloor: 24.2 mm + film" in text


HOSTILE = (
    "<script>alert(1)</script>",
    '" onload="alert(1)',
    "]]><!--",
    "&lt;b&gt; & <b>",
    "abc\u202edcba",
    "\x00\x07\x1b[31m",
    "line\none",
    "日本 Привет مرحبا",
    "x" * 300,
)


@pytest.mark.slow
@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_text_is_shown_as_text(text: str) -> None:
    plan, facts = bedroom()
    plain = {each.tag for each in parse(draw_room(facts, plan, crowd(facts))).iter()}
    job = Job(
        path="job",
        title=text,
        reference=text,
        revision=text,
        date=text,
        site=text,
        client=text,
        drawn_by=text,
        measured=text,
        note=text,
    )
    room = replace(facts.drawn, note=text)
    bad = replace(plan, job=job, note=text, rooms={**plan.rooms, "bedroom": room})
    report = crowd(facts)
    report = replace(
        report, findings=tuple(replace(each, message=text) for each in report.findings)
    )
    svg = draw_room(rooms_of(bad)["bedroom"], bad, report)
    root = parse(svg)
    assert {each.tag for each in root.iter()} == plain
    for each in root.iter():
        assert not [name for name in each.attrib if name.startswith("on")]
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\u202a-\u202e\u2066-\u2069]", svg)
    shown = " ".join(text.replace("\u202e", r"\u202e").split())
    shown = re.sub("[\x00-\x08\x0b-\x1f]", lambda mark: f"\\x{ord(mark[0]):02x}", shown)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert (title.text or "").startswith(f"{shown} – bedroom")


@EACH_ROOM
def test_nothing_is_fetched_and_nothing_runs(place: int) -> None:
    svg = crowded_whole(place)
    assert "href" not in svg
    assert set(re.findall(r"url\((.)", svg)) <= {"#"}
    names = {each.tag.removeprefix(SVG) for each in parse(svg).iter()}
    assert names <= {
        "svg",
        "title",
        "desc",
        "defs",
        "pattern",
        "clipPath",
        "g",
        "path",
        "rect",
        "circle",
        "text",
    }


@EACH_ROOM
def test_ids_are_unique_and_all_that_is_referred_to_exists(place: int) -> None:
    svg = crowded_whole(place)
    ids = re.findall(r' id="([^"]+)"', svg)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids)


def test_two_bodies_on_a_page_share_no_id() -> None:
    plan, facts = bedroom()
    one, two = (draw_body(facts, plan, crowd(facts), prefix=prefix) for prefix in ("a-", "b-"))
    ids = re.findall(r' id="([^"]+)"', one + two)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", one + two)) <= set(ids)


def test_a_body_has_the_hooks_of_a_page() -> None:
    plan, facts = bedroom()
    root = parse(draw_body(facts, plan, crowd(facts), prefix="a-"))
    assert root.get("width") is None
    assert root.get("data-room") == "bedroom"
    balloons = [each for each in root.iter() if each.get("class") == "balloon"]
    assert balloons
    assert all(each.get("data-finding") and each.get("data-severity") for each in balloons)
    drawn = {each.get("data-layer") for each in root.iter(f"{SVG}g")}
    assert drawn >= {*USUAL_LAYERS} - {"coverings"}


PROGRAM = """
import sys
from tests.underfoot.drawing.rooms import PLANS, crowd, read, rooms_of
from underfoot.drawing import LAYERS, SheetOptions, draw_room
plan = read(PLANS / "living-room.yaml")
facts = rooms_of(plan)["living-room"]
sys.stdout.buffer.write(
    draw_room(facts, plan, crowd(facts), SheetOptions(layers=LAYERS)).encode()
)
"""


@pytest.mark.process
def test_two_hash_seeds_give_the_same_bytes() -> None:
    first, second = (
        subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path), "TZ": zone},
            cwd=PLANS.parent,
            capture_output=True,
            check=True,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    )
    assert len(first) > 10_000
    assert first == second
