"""A room's sheet: true to scale, nothing covered, nothing from a plan but text."""

import math
import re
import subprocess
import sys

import pytest
import shapely
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.drawing.demo_sheets import (
    EACH_ROOM,
    ROOMS,
    crowded,
    crowded_whole,
    layer,
    plain,
    words,
)
from tests.underfoot.drawing.measured import Measured
from tests.underfoot.drawing.rooms import (
    DEMO_PLANS,
    PLANS,
    SVG,
    crowd,
    demo_room,
    parse,
    places_of,
    read_text,
    right,
    rooms_of,
    wrong,
)
from underfoot.checking.caution import CAUTION
from underfoot.checking.report import REVISE
from underfoot.drawing import (
    LAYERS,
    USUAL_LAYERS,
    SheetOptions,
    draw_room,
    draw_sheets,
)
from underfoot.plan import Job


def scale_of(svg: str) -> int:
    found = there(re.search(r">1:(\d+), dimensions in mm<", svg))
    return int(found[1])


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
    plan, facts = demo_room("bedroom")
    svg = draw_room(facts, plan, right(plan))
    (bar,) = [each for each in parse(svg).iter() if each.get("class") == "scale-bar"]
    blocks = bar.findall(f"{SVG}rect")
    wide = sum(float(block.get("width") or 0) for block in blocks)
    assert wide * scale_of(svg) == pytest.approx(float(bar.get("data-length") or 0))
    assert [text.text for text in bar.findall(f"{SVG}text")] == ["0", "500 mm"]  # 25 mm at 1:20


def test_dimensions_say_what_the_plan_says() -> None:
    plan, facts = demo_room("bedroom")
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


def test_layers_are_drawn_as_asked() -> None:
    plan, facts = demo_room("bedroom")
    usual = parse(draw_room(facts, plan, right(plan)))
    present = {each.get("data-layer") for each in usual.iter(f"{SVG}g")} - {None}
    assert present == {*USUAL_LAYERS, "walls"} - {"findings", "coverings", "zones"}
    every = parse(draw_room(facts, plan, right(plan), SheetOptions(layers=LAYERS)))
    present = {each.get("data-layer") for each in every.iter(f"{SVG}g")} - {None}
    assert present == {*LAYERS, "walls"} - {"findings", "coverings", "zones"}
    bare = parse(draw_room(facts, plan, right(plan), SheetOptions(layers=("strips",))))
    assert {each.get("data-layer") for each in bare.iter(f"{SVG}g")} - {None} == {
        "strips",
        "walls",
    }


def test_boards_and_laps_are_those_of_the_facts() -> None:
    plan, facts = demo_room("bedroom")
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
    plan, facts = demo_room("bedroom")
    root = parse(draw_room(facts, plan, wrong()))
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
        "1 of 2",  # the tables stand on a second sheet
        "1:20",
        REVISE,
    ):
        assert value in texts
    assert "Title Teasel Court, plot 3, bedroom" in " ".join(text or "" for text in texts)


def test_caution_is_on_the_sheet() -> None:
    plan, facts = demo_room("bedroom")
    root = parse(draw_room(facts, plan, right(plan)))
    (caution,) = [each for each in root.iter() if each.get("class") == "caution"]
    assert " ".join(text.text or "" for text in caution.iter(f"{SVG}text")) == CAUTION


def test_section_adds_up_what_is_laid() -> None:
    plan, facts = demo_room("bedroom")
    text = " ".join(words(parse(sheet)) for sheet in draw_sheets(facts, plan, right(plan)))
    # Covering 14, vapour barrier 0.2, boards 10: 24.2; the film's thickness is not stated.
    assert "Total above the subfloor: 24.2 mm + film" in text


@pytest.mark.parametrize("thickness", [0.25, 0.024])
def test_section_tells_a_sheet_as_thick_as_it_is(thickness: float) -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    plan = read_text(text.replace("thickness: 0.2,", f"thickness: {thickness},"))
    facts = rooms_of(plan)["bedroom"]
    sheets = draw_sheets(facts, plan, right(plan))
    told = [each for sheet in sheets for each in words(parse(sheet)).splitlines()]
    assert told[told.index("membrane pe-02") + 1] == str(thickness)
    assert f"Total above the subfloor: {24 + thickness} mm + film" in told


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
    plan, facts = demo_room("bedroom")
    plain = {each.tag for each in parse(draw_room(facts, plan, crowd(facts))).iter()}
    keys = "title reference revision date site client drawn_by measured note"
    job = Job(path="job", **dict.fromkeys(keys.split(), text))
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
    title = there(root.find(f"{SVG}title"))
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


PROGRAM = """
import sys
from tests.underfoot.drawing.rooms import crowd, demo_room
from underfoot.drawing import LAYERS, SheetOptions, draw_room
plan, facts = demo_room("living-room")
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
