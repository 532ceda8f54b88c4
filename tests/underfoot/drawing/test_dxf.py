"""Rooms drawn in DXF, read back by the library that wrote them and by another reader."""

import io
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely

from tests.there import there
from tests.underfoot.asking import Ask
from tests.underfoot.drawing.rooms import PLANS, crowd, demo_room, read, read_text, right, rooms_of
from underfoot.__main__ import main
from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import PlanReport
from underfoot.drawing import LAYERS, USUAL_LAYERS, SheetOptions, pens
from underfoot.drawing.dxf import draw_dxf
from underfoot.drawing.dxf_marks import APPLICATION, plain
from underfoot.drawing.setting_out import find_wanted
from underfoot.plan import Plan

ALL = tuple(LAYERS)


def drawn(facts: RoomFacts, plan: Plan, report: PlanReport, layers: Any = ALL) -> Any:
    text = draw_dxf(facts, plan, report, SheetOptions(layers=layers))
    return ezdxf.read(io.StringIO(text))


def named(document: Any, layer: str, kind: str = "LWPOLYLINE") -> dict[str, Any]:
    """What is on a layer by what it is in the plan."""
    return {
        entity.get_xdata(APPLICATION)[0].value: entity
        for entity in document.modelspace().query(f'{kind}[layer=="{layer}"]')
        if entity.has_xdata(APPLICATION)
    }


def places(entity: Any) -> list[tuple[float, float]]:
    return [tuple(point) for point in entity.get_points("xy")]


@pytest.mark.parametrize("name", ["attic", "flat", "common-room", "study"])
def test_a_room_reads_back_with_everything_in_its_true_place(name: str) -> None:
    plan = read(PLANS / f"{name}.yaml")
    for facts in rooms_of(plan).values():
        document = drawn(facts, plan, crowd(facts))
        assert document.header["$INSUNITS"] == 4
        assert document.audit().errors == []
        (outline,) = named(document, "outline").values()
        assert outline.closed
        assert places(outline) == [tuple(corner) for corner in facts.drawn.outline]
        strips = named(document, "strips")
        assert set(strips) == {f"strip {element.id}" for element in facts.elements}
        for place, element in enumerate(facts.elements):
            strip = strips[f"strip {element.id}"]
            assert strip.closed
            assert np.allclose(places(strip), facts.corners[place], atol=1e-6)
            assert strip.get_xdata(APPLICATION)[1].value == f"circuit {element.circuit or '-'}"
        fixtures = named(document, "fixtures")
        for fixture, _ in facts.fixtures:
            ring = fixtures[f"fixture {fixture.id}"]
            assert places(ring) == [tuple(corner) for corner in fixture.outline]
        leads = named(document, "leads")
        assert len(leads) == len(facts.leads) > 0
        for laid in facts.leads:
            assert laid.line is not None
            last = shapely.LineString(places(leads[f"lead {laid.lead.id}"]))
            # Where strips carry it on it has several parts, of which the last is kept by its name.
            assert laid.line.buffer(1e-6).covers(last)
        sensor = named(document, "sensor", "CIRCLE")["sensor"]
        assert tuple(sensor.dxf.center)[:2] == there(facts.drawn.sensor).at
        boards = named(document, "boards")
        for layer in facts.boards:
            for board, polygon in zip(layer.names, layer.polygons, strict=True):
                shown = polygon.intersection(facts.outline)
                if shown.geom_type == "Polygon" and not shown.is_empty and not shown.interiors:
                    ring = shapely.Polygon(places(boards[f"board {board}"]))
                    assert ring.symmetric_difference(shown).area < 1e-3


def test_cut_boards_and_laps_carry_their_sizes() -> None:
    plan, facts = demo_room("conservatory")
    document = drawn(facts, plan, right(plan))
    texts = {each.dxf.text for each in document.modelspace().query("TEXT")}
    assert facts.drawn.insulation is not None
    whole = there(facts.drawn.insulation.board).size
    # Of a board in an upright room the corners of what is left of it say how it is cut.
    for layer in facts.boards:
        for name, polygon in zip(layer.names, layer.polygons, strict=True):
            low_x, low_y, high_x, high_y = polygon.bounds
            size = (high_x - low_x, high_y - low_y)[:: 1 if layer.along == "x" else -1]
            cut = f"{name} {size[0]:g} × {size[1]:g}"
            assert (name if size == whole else cut) in texts
    (runs,) = there(facts.drawn.membrane).runs
    assert f"lap {runs.overlap:g}" in texts


def test_another_reader_finds_the_same_strips(tmp_path: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio", reason="comes with momepy of the extra `test`")
    plan, facts = demo_room("flat", "living-room")
    place = tmp_path / "a.dxf"
    place.write_text(draw_dxf(facts, plan, right(plan), SheetOptions(layers=ALL)), "utf-8")
    _, _, geometry, fields = pyogrio.raw.read(place, columns=["Layer"])
    on = {
        layer: [
            shapely.from_wkb(each)
            for each, name in zip(geometry, fields[0], strict=True)
            if name == layer and shapely.from_wkb(each).geom_type != "Point"
        ]
        for layer in ("outline", "strips")
    }
    (outline,) = on["outline"]
    assert shapely.Polygon(shapely.get_coordinates(outline)).equals(facts.outline)
    seen = [shapely.Polygon(shapely.get_coordinates(each)) for each in on["strips"]]
    rectangles = [shape for shape in seen if len(shape.exterior.coords) == 5]
    assert len(rectangles) == len(facts.elements)
    for strip in facts.strips:
        assert any(strip.symmetric_difference(shape).area < 1e-3 for shape in rectangles)


def test_the_same_room_gives_the_same_bytes() -> None:
    plan, facts = demo_room("study")
    report = right(plan)
    first = draw_dxf(facts, plan, report, SheetOptions(layers=ALL))
    assert draw_dxf(facts, plan, report, SheetOptions(layers=ALL)) == first
    # No day of its making, and the option that sees to that is put back.
    assert re.search(r"20(2[4-9]|[3-9]\d)-\d\d-\d\d(?!.*TC5)", first.split("ENTITIES")[0]) is None
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


@pytest.mark.process
def test_another_hash_seed_gives_the_same_bytes(tmp_path: Path) -> None:
    made = []
    for seed in ("4", "5"):  # between these the library's sets differ
        out = tmp_path / f"{seed}.dxf"
        done = subprocess.run(
            [sys.executable, "-m", "underfoot", "draw", str(PLANS / "music-room.yaml"),
             "--output", str(out)],
            env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        made.append(out.read_bytes())
    assert made[0] == made[1]


def test_layers_that_are_not_asked_for_are_there_and_off() -> None:
    plan, facts = demo_room("study")
    document = drawn(facts, plan, right(plan), USUAL_LAYERS)
    off = {layer.dxf.name for layer in document.layers if layer.is_off()}
    assert off == {"boards", "membrane"}
    assert named(document, "boards")
    assert named(document, "membrane")


def test_findings_stand_at_their_places_with_the_caution(tmp_path: Path) -> None:
    place = tmp_path / "study.dxf"
    assert main(["draw", str(PLANS / "study.yaml"), "--output", str(place)]) == 0
    document = ezdxf.readfile(place)
    texts = [each.dxf.text for each in document.modelspace().query('TEXT[layer=="findings"]')]
    assert {"1", "2", "3", "4"} <= set(texts)
    assert any(text.startswith("1 ERROR element-overlap: Strips A5 and X1") for text in texts)
    remarks = " ".join(
        each.dxf.text for each in document.modelspace().query('TEXT[layer=="remarks"]')
    )
    assert "certifies nothing" in remarks
    assert "revise and resubmit" in remarks
    # Strips A5 and X1 lie on each other over 20 mm: x from 2540 to 2560.
    overlap = named(document, "findings")["finding 1"]
    assert shapely.Polygon(places(overlap)).bounds == pytest.approx((2540, 60, 2560, 2560))


def test_dimensions_measure_the_room() -> None:
    plan, facts = demo_room("study")
    document = drawn(facts, plan, right(plan))
    figures = [each.dxf.text for each in document.modelspace().query('TEXT[layer=="dimensions"]')]
    # The box 1300 up its wall at the left; upwards at the right 60, 2500, 60 and 2620; below 60
    # from the wall, 2480 of strips, 20 where two lie on each other, 480 more, 45 left; 3085 in all.
    rows = ["1300", "60", "2500", "60", "2620", "60", "2480", "20", "480", "45", "3085"]
    assert figures[: len(rows)] == rows
    lines = [
        places(each) for each in document.modelspace().query('LWPOLYLINE[layer=="dimensions"]')
    ]
    # The two rows below run the room's whole width, 500 and 800 mm from it, and so at the right.
    assert [(0, -500), (3085, -500)] in lines
    assert [(0, -800), (3085, -800)] in lines
    assert [(3585, 0), (3585, 2620)] in lines
    assert [(3885, 0), (3885, 2620)] in lines
    assert [(-500, 0), (-500, 1300)] in lines


def test_strips_have_the_colour_of_their_circuit() -> None:
    plan, facts = demo_room("study")
    strip = named(drawn(facts, plan, right(plan)), "strips")["strip A1"]
    # The first circuit's, as on the sheet.
    assert f"#{strip.dxf.true_color:06x}" == pens.CIRCUIT_COLOURS[0][0]


@pytest.mark.parametrize(
    ("words", "written"),
    [
        ("93 % of it", "93 % of it"),
        ("%%c %%%u", "% %c % % %u"),
        ("a^Jb", "a^ Jb"),
        ("\\U+0041 \\P", "\\ U+0041 \\ P"),
        ("::error::x", "\\::error::x"),
        ("a\r\n0\r\nEOF\n", "a 0 EOF"),
        ("x" * 999, "x" * 250),
    ],
)
def test_no_text_is_a_command(words: str, written: str) -> None:
    assert plain(words) == written


def test_a_hostile_plan_draws_nothing_but_its_words() -> None:
    plan = read_text(
        "plan_format: 1\n"
        'job: {title: "x\\r\\n  0\\r\\nLINE\\r\\n%%o \\u202e{\\\\P}", date: "2026-01-01"}\n'
        "materials: {}\nsupply: {voltage: 230 V}\n"
        "rooms: {hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]}}\n"
    )
    facts = rooms_of(plan)["hall"]
    document = drawn(facts, plan, right(plan))
    assert document.audit().errors == []
    kinds = {entity.dxftype() for entity in document.modelspace()}
    assert kinds == {"LWPOLYLINE", "TEXT"}
    (title,) = (
        each.dxf.text
        for each in document.modelspace().query("TEXT")
        if each.dxf.text.startswith("x ")
    )
    assert title == "x 0 LINE % %o \\ u202e{\\ P}"


def test_without_the_library_it_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "ezdxf", None)
    assert ask("draw", str(PLANS / "study.yaml"), "--format", "dxf", status=2).err == (
        "underfoot: DXF needs the extra 'cad', which is not installed: pip install "
        "'underfoot[cad]'\n"
    )


@pytest.mark.parametrize("name", ["attic", "flat", "common-room", "study", "bathroom"])
def test_every_dimension_inside_a_room_reads_back_with_its_figure(name: str) -> None:
    plan = read(PLANS / f"{name}.yaml")
    for facts in rooms_of(plan).values():
        space = drawn(facts, plan, right(plan)).modelspace()
        lines = [
            (line.get_xdata(APPLICATION)[0].value, *places(line))
            for line in space.query('LWPOLYLINE[layer=="dimensions"]')
            if line.has_xdata(APPLICATION)
        ]
        figures = [
            (text.dxf.text, tuple(text.dxf.align_point)[:2])
            for text in space.query('TEXT[layer=="dimensions"]')
        ]
        wanted = find_wanted(facts, LAYERS)
        assert [what for what, *_ in lines] == [f"dimension of {each.what}" for each in wanted]
        assert wanted
        for (_, start, end), each in zip(lines, wanted, strict=True):
            # From a face or a corner of the room, as long as it must be.
            assert facts.floor.boundary.distance(shapely.Point(start)) < 1.0
            assert math.dist(start, end) == pytest.approx(each.ways[0].length, abs=1.0)
            # Its figure stands beside it and tells its length.
            beside = [
                words
                for words, at in figures
                if shapely.LineString([start, end]).distance(shapely.Point(at)) < 60
            ]
            assert any(abs(float(words) - math.dist(start, end)) <= 0.5 for words in beside)
