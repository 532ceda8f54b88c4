"""Rooms out of drawings in DXF."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, saved, text
from underfoot.beginning import drawing_entities, drawing_file
from underfoot.beginning.begin import FromDrawing, choose_rooms, read_outlines
from underfoot.beginning.drawing_entities import DEEPEST_BLOCK
from underfoot.beginning.drawing_file import read_drawing_file
from underfoot.beginning.found import CannotBeginError, Found
from underfoot.beginning.new_room import NewRoom


def named(polyline: Any) -> str:
    return f"polyline #{polyline.dxf.handle}"


def found_in(document: Any, **how: Any) -> Found:
    return read_outlines("a.dxf", saved(document), FromDrawing(**how))


def rooms_of(document: Any, **how: Any) -> list[NewRoom]:
    wishes = FromDrawing(**how)
    return choose_rooms(read_outlines("a.dxf", saved(document), wishes), wishes)


def refused(document: Any, **how: Any) -> str:
    with pytest.raises(CannotBeginError) as error:
        rooms_of(document, **how)
    return str(error.value)


@pytest.mark.parametrize(
    ("code", "scale"), [(4, 1.0), (5, 10.0), (6, 1000.0), (1, 25.4), (2, 304.8)]
)
def test_the_drawing_says_its_unit(code: int, scale: float) -> None:
    drawing = new_drawing(code)
    closed(drawing.modelspace(), [(x / scale, y / scale) for x, y in ROOM])
    (room,) = rooms_of(drawing)
    assert shapely.Polygon(room.corners).bounds == pytest.approx((0, 0, 4000, 3000), abs=0.11)


def test_without_a_unit_one_must_be_named() -> None:
    drawing = new_drawing(0)
    ring = closed(drawing.modelspace(), [(x / 1000, y / 1000) for x, y in ROOM])
    assert refused(drawing) == (
        "the drawing does not say its unit ($INSUNITS): add --unit, such as --unit mm"
    )
    (room,) = rooms_of(drawing, unit="m")
    assert room.corners == ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
    where = named(ring)
    assert room.told == (f"{where} on layer ROOMS. [0, 0] here is (1, 1) m in the drawing.",)
    assert "is it another one (--unit)?" in refused(drawing, unit="mm")


def test_a_named_unit_goes_before_the_drawings() -> None:
    drawing = new_drawing(4)
    closed(drawing.modelspace(), [(x / 1000, y / 1000) for x, y in ROOM])
    found = found_in(drawing, unit="m")
    assert found.remarks == ("the drawing says that it is in mm; it is taken to be in m",)


def test_the_layer_must_be_named_where_there_are_several() -> None:
    drawing = new_drawing(4, "ROOMS", "COLUMNS", "DOORS")
    space = drawing.modelspace()
    closed(space, ROOM)
    closed(space, [(2000, 2000), (2300, 2000), (2300, 2300), (2000, 2300)], "COLUMNS")
    line = space.add_line((0, 0), (900, 0), dxfattribs={"layer": "DOORS"})
    said = refused(drawing)
    assert said.startswith("closed lines are on several layers; say with --layer which")
    assert said.endswith("layers: COLUMNS (1 closed), ROOMS (1 closed), DOORS (1 open or in 3D)")
    (room,) = rooms_of(drawing, layers=("rooms",))
    assert room.standing == ()
    (room,) = rooms_of(drawing, layers=("ROOMS", "COLUMNS"))
    assert room.standing == (
        ("structure-1", ((1000, 1000), (1300, 1000), (1300, 1300), (1000, 1300))),
    )
    assert "no such layer; did you mean `rooms`?" in refused(drawing, layers=("ROMS",))
    assert refused(drawing, layers=("DOORS",)).startswith(
        f"line #{line.dxf.handle} on layer DOORS bounds no floor by itself: join"
    )


def test_layers_that_are_off_do_not_count_unless_named() -> None:
    drawing = new_drawing(4, "ROOMS", "OLD")
    closed(drawing.modelspace(), ROOM)
    closed(drawing.modelspace(), [(0, 0), (9000, 0), (9000, 9000)], "OLD")
    drawing.layers.get("OLD").off()
    (room,) = rooms_of(drawing)
    assert len(room.corners) == 4
    (room,) = rooms_of(drawing, layers=("OLD",))
    assert len(room.corners) == 3


def test_names_are_the_largest_text_within() -> None:
    drawing = new_drawing()
    space = drawing.modelspace()
    first = closed(space, ROOM)
    second = closed(space, [(x + 5000, y) for x, y in ROOM])
    closed(space, [(8000, 2000), (8400, 2000), (8400, 2400), (8000, 2400)])
    text(space, "door 900", (1100, 1100), 100)
    text(space, "Kitchen", (2000, 3000), 200)
    text(space, "12.0 m2", (2000, 2000), 300)
    text(space, "Chimney", (8050, 2200), 500)
    text(space, "nowhere", (20000, 2200), 500)
    space.add_mtext(
        "{\\fSans|b1;Living\\Proom}",
        dxfattribs={"layer": "WORDS", "insert": (7000, 3000), "char_height": 150},
    )
    kitchen, living = rooms_of(drawing)
    assert kitchen.id == "kitchen"
    assert living.id == "living-room"
    assert living.standing[0][0] == "chimney"
    assert living.told[0].startswith(f"Living room: {named(second)} on layer ROOMS. [0, 0] here")
    (only,) = rooms_of(drawing, rooms=("Living Room",))
    assert only == living
    said = refused(drawing, rooms=("Larder",))
    assert f"--room Larder: no room is called that; there are 2: {named(first)}" in said
    # As many names as rooms: they are called so.
    assert [room.id for room in rooms_of(drawing, rooms=("East", "West"))] == ["east", "west"]


@pytest.mark.parametrize("mirrored", [1, -1])
def test_blocks_are_opened_out_turned_scaled_and_mirrored(mirrored: int) -> None:
    drawing = new_drawing(4)
    inner = drawing.blocks.new("INNER", base_point=(10, 20))
    ring = closed(inner, [(10, 20), (40, 20), (40, 40)], "0")
    outer = drawing.blocks.new("OUTER")
    insert = outer.add_blockref("INNER", (5, 0), dxfattribs={"rotation": 90, "layer": "0"})
    drawing.modelspace().add_blockref(
        "OUTER",
        (1000, 2000),
        dxfattribs={"xscale": 100 * mirrored, "yscale": 100, "rotation": 30, "layer": "ROOMS"},
    )
    drawn = read_drawing_file(saved(drawing), None, ())
    (loop,) = drawn.loops
    # INNER's corners from its base point, turned by 90 degrees and moved by 5 along x: then OUTER's
    # scale, its turn by 30 degrees and its place.
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    by_hand = [
        (1000 + x * 100 * mirrored * c - y * 100 * s, 2000 + x * 100 * mirrored * s + y * 100 * c)
        for x, y in [(5, 0), (5, 30), (-15, 30)]
    ]
    assert [piece.start for piece in loop.pieces] == [pytest.approx(each) for each in by_hand]
    within = f"in block 'INNER' (insert #{insert.dxf.handle})"
    assert loop.where == f"{named(ring)} {within} on layer ROOMS"


def test_arcs_in_mirrored_and_stretched_blocks_stay_true() -> None:
    drawing = new_drawing(4)
    block = drawing.blocks.new("ROUND")
    closed(block, [(0, 0, 1), (1000, 0, 1)], "ROOMS", "xyb")
    drawing.modelspace().add_blockref("ROUND", (0, 0), dxfattribs={"xscale": -4, "yscale": 3})
    (room,) = found_in(drawing).rooms
    shape = shapely.Polygon(room.corners)
    # An ellipse of 4 m by 3 m, from -4000 to 0, drawn within.
    assert shape.bounds == pytest.approx((-4000, -1500, 0, 1500), abs=2)
    assert math.pi * 2000 * 1500 * 0.998 < shape.area < math.pi * 2000 * 1500
    assert room.has_arcs


def test_blocks_in_rows_and_columns_and_texts_of_inserts() -> None:
    drawing = new_drawing(4)
    block = drawing.blocks.new("CABIN")
    closed(block, [(0, 0), (2000, 0), (2000, 3000), (0, 3000)])
    insert = drawing.modelspace().add_blockref(
        "CABIN", (0, 0),
        dxfattribs={"row_count": 2, "column_count": 3, "row_spacing": 5000, "column_spacing": 2500},
    )  # fmt: skip
    insert.add_attrib("NAME", "Cabin one", (500, 500))
    rooms = rooms_of(drawing)
    assert len(rooms) == 6
    assert rooms[0].id == "cabin-one"
    assert [room.id for room in rooms[1:3]] == ["room-2", "room-3"]


def test_drawn_from_below_or_as_old_polylines_it_is_the_same() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    below = closed(space, [(-x, y) for x, y in ROOM])
    below.dxf.extrusion = (0, 0, -1)
    space.add_polyline2d([(x + 5000, y) for x, y in ROOM], close=True,
                         dxfattribs={"layer": "ROOMS"})  # fmt: skip
    space.add_polyline3d([(x, y + 4000, 2700) for x, y in ROOM], close=True,
                         dxfattribs={"layer": "ROOMS"})  # fmt: skip
    rooms = found_in(drawing).rooms
    assert [shapely.Polygon(room.corners).bounds for room in rooms] == [
        (1000, 1000, 5000, 4000), (6000, 1000, 10000, 4000), (1000, 5000, 5000, 8000),
    ]  # fmt: skip


@pytest.mark.parametrize(("rise", "corners"), [(0.019, 4), (0.021, 5), (1e-9, 4)])
def test_a_bulge_that_hardly_rises_is_a_side(rise: float, corners: int) -> None:
    drawing = new_drawing(4)
    bulges = (rise / 2000, 0, 0, 0)
    ring = [(*at, bulging) for at, bulging in zip(ROOM, bulges, strict=True)]
    closed(drawing.modelspace(), ring, form="xyb")
    (room,) = found_in(drawing).rooms
    assert room.has_arcs is (corners == 5)
    assert shapely.Polygon(room.corners).area == pytest.approx(12e6, rel=1e-4)


@pytest.mark.parametrize("bulging", [1e200, -1e200])
def test_a_bulge_beyond_all_measure_is_refused(bulging: float) -> None:
    drawing = new_drawing(4)
    corners = [(*at, by) for at, by in zip(ROOM, (bulging, 0, 0, 0), strict=True)]
    closed(drawing.modelspace(), corners, form="xyb")
    assert "crosses or touches itself" in refused(drawing) or "no place" in refused(drawing)


def test_bulges_drawn_from_below_stay_on_their_side() -> None:
    drawing = new_drawing(4)
    half = [(0, 0, 0.5), (2000, 0, 0), (2000, -3000, 0), (0, -3000, 0)]
    closed(drawing.modelspace(), half, form="xyb").dxf.extrusion = (0, 0, -1)
    (room,) = found_in(drawing).rooms
    # From left to right a bulge goes below, into this room: a segment 500 high on a chord of 2000.
    radius = (1000**2 + 500**2) / 1000
    angle = 2 * math.asin(1000 / radius)
    segment = radius**2 * (angle - math.sin(angle)) / 2
    assert shapely.Polygon(room.corners).area == pytest.approx(6e6 - segment, rel=1e-3)
    assert shapely.Polygon(room.corners).bounds == pytest.approx((-2000, -3000, 0, 0), abs=0.1)


def test_circles_and_ellipses_are_closed_and_parts_of_them_are_not() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    look = {"layer": "ROOMS"}
    space.add_circle((0, 0), 1500, dxfattribs=look)
    space.add_ellipse((9000, 0), (0, 2000), 0.5, dxfattribs=look)
    circle, ellipse = found_in(drawing).rooms
    assert shapely.Polygon(circle.corners).area == pytest.approx(math.pi * 1500**2, rel=3e-3)
    assert shapely.Polygon(ellipse.corners).area == pytest.approx(math.pi * 2e6, rel=3e-3)
    assert shapely.Polygon(ellipse.corners).bounds == pytest.approx(
        (8000, -2000, 10000, 2000), abs=2
    )
    part = space.add_ellipse((20000, 0), (0, 2000), 0.5, 0, 3, dxfattribs=look)
    said = f"arc of an ellipse #{part.dxf.handle} on layer ROOMS bounds no floor by itself"
    assert refused(drawing).startswith(said)


def test_a_circle_on_edge_is_in_3d() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    closed(space, ROOM)
    ring = space.add_circle((0, 0), 1500, dxfattribs={"layer": "ROOMS", "extrusion": (1, 0, 0)})
    assert f"#{ring.dxf.handle} on layer ROOMS is in 3D: its corners lie up to 3000" in refused(
        drawing
    )


def test_ends_that_meet_close_a_line_and_ends_that_do_not_are_told() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    ring = space.add_lwpolyline([*ROOM, (1000.2, 1000.2)], dxfattribs={"layer": "ROOMS"})
    assert len(rooms_of(drawing)[0].corners) == 4
    ring.set_points([*ROOM, (1000, 1035)], format="xy")
    assert refused(drawing) == (
        "there is no closed polyline in the drawing: draw one along the walls round each floor; "
        "layers: ROOMS (1 open or in 3D); "
        f"{named(ring)} on layer ROOMS is open: its ends, at (1000, 1000) and (1000, 1035), are 35 "
        "mm apart; close it"
    )


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        (
            [(0, 0), (4000, 3000), (4000, 0), (0, 2000)],
            "crosses or touches itself near (1600, 1200) mm: draw",
        ),
        ([(0, 0), (4000, 0), (2000, 0)], "has no area"),
        ([(0, 0), (4000, 0)], "has no area"),
    ],
)
def test_what_is_crossed_or_flat_is_refused(corners: Any, says: str) -> None:
    drawing = new_drawing(4)
    ring = closed(drawing.modelspace(), corners)
    assert refused(drawing).startswith(f"{named(ring)} on layer ROOMS {says}")


def test_what_is_in_3d_is_refused() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    ring = space.add_polyline3d([(0, 0, 0), (4000, 0, 0), (4000, 3000, 120)], close=True)
    assert refused(drawing).endswith(
        f"{named(ring)} on layer 0 is in 3D: its corners lie up to 120 mm apart in height; flatten "
        "it"
    )
    closed(space, ROOM, "0")
    assert refused(drawing).startswith(f"{named(ring)} on layer 0 is in 3D")
    space.add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 0)], dxfattribs={"layer": "0"})
    assert "(and 1 more such on this layer)" in refused(drawing, layers=("0",))


def test_outlines_across_each_other_and_round_others_are_refused() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    first = closed(space, ROOM)
    second = closed(space, [(4800, 2000), (5200, 2000), (5200, 2300), (4800, 2300)])
    assert refused(drawing).startswith(
        f"{named(first)} on layer ROOMS and {named(second)} on layer ROOMS lie across each other: "
    )
    house = new_drawing(4)
    space = house.modelspace()
    around = closed(space, [(0, 0), (9000, 0), (9000, 5000), (0, 5000)])
    closed(space, [(100, 100), (4000, 100), (4000, 4900), (100, 4900)])
    closed(space, [(4100, 100), (8900, 100), (8900, 4900), (4100, 4900)])
    text(space, "Hall", (2000, 2000))
    assert refused(house) == (
        f"{named(around)} on layer ROOMS lies round others that take up 93% of it, so it is no "
        "room with columns in it: choose rooms by name with --room (Hall), or delete it"
    )
    assert [room.id for room in rooms_of(house, rooms=("hall",))] == ["hall"]


def test_what_is_drawn_twice_is_one_room_and_walls_may_be_shared() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    closed(space, ROOM)
    again = closed(space, list(reversed(ROOM)))
    closed(space, [(x + 4000, y) for x, y in ROOM])
    found = found_in(drawing)
    assert len(found.rooms) == 2
    assert found.remarks == (
        f"{named(again)} on layer ROOMS lies on another outline of the same shape: taken once",
    )


def test_what_is_not_there_or_elsewhere_is_told() -> None:
    drawing = new_drawing(4)
    space = drawing.modelspace()
    closed(space, ROOM)
    block = drawing.blocks.new("AWAY")
    block.block.dxf.flags = 4
    space.add_blockref("AWAY", (0, 0))
    assert "names another file ('AWAY'): left out" in found_in(drawing).remarks[0]


def test_blocks_too_deep_and_too_many_are_refused() -> None:
    drawing = new_drawing(4)
    closed(drawing.blocks.new("B0"), ROOM)
    for depth in range(1, DEEPEST_BLOCK + 1):
        drawing.blocks.new(f"B{depth}").add_blockref(f"B{depth - 1}", (0, 0))
    drawing.modelspace().add_blockref(f"B{DEEPEST_BLOCK - 1}", (0, 0))
    assert len(rooms_of(drawing)) == 1
    drawing.modelspace().add_blockref(f"B{DEEPEST_BLOCK}", (0, 0))
    assert "more than 16 deep" in refused(drawing)


def test_blocks_that_multiply_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = new_drawing(4)
    closed(drawing.blocks.new("B0"), ROOM)
    for depth in range(1, 8):
        block = drawing.blocks.new(f"B{depth}")
        for _ in range(10):
            block.add_blockref(f"B{depth - 1}", (0, 0))
    drawing.modelspace().add_blockref("B7", (0, 0))
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 500)
    assert "with its blocks opened out the drawing has more than 500 things" in refused(drawing)
    # B7 stands once, each of the others ten times in the next, B0's line in each of its places.
    things = 1 + sum(10**level for level in range(1, 3)) + 10**2
    shallow = new_drawing(4)
    closed(shallow.blocks.new("B0"), ROOM)
    for depth in (1, 2):
        block = shallow.blocks.new(f"B{depth}")
        for _ in range(10):
            block.add_blockref(f"B{depth - 1}", (0, 0))
    shallow.modelspace().add_blockref("B2", (0, 0))
    # Each insert counts as it is met and for each of its places.
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 2 * (things - 10**2) + 10**2)
    assert read_drawing_file(saved(shallow), None).loops
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 2 * (things - 10**2) + 10**2 - 1)
    assert "has more than" in refused(shallow)
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 100_000)
    monkeypatch.setattr(drawing_entities, "MOST_LOOPS", 50)
    assert "more than 50 closed lines" in refused(drawing)
    wide = new_drawing(4)
    closed(wide.blocks.new("B0"), ROOM)
    wide.modelspace().add_blockref(
        "B0",
        (0, 0),
        dxfattribs={
            "row_count": 30000,
            "column_count": 30000,
            "row_spacing": 1,
            "column_spacing": 1,
        },
    )
    assert "stands in 900,000,000 places" in refused(wide)


def test_a_drawing_too_large_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = new_drawing(4)
    for _ in range(9):
        closed(drawing.modelspace(), ROOM)
    source = saved(drawing)
    lines = source.count(b"\n")
    things = sum(line.strip() == b"0" for line in source.split(b"\n")[::2])
    # A drawing of nothing has some hundred things of its own.
    assert 50 < things < lines / 4
    for name, most in (("MOST_LINES", lines), ("MOST_THINGS", things)):
        monkeypatch.setattr(drawing_file, name, most)
        assert read_drawing_file(source, None).loops
        monkeypatch.setattr(drawing_file, name, most - 1)
        with pytest.raises(CannotBeginError, match="the drawing is too large: at most"):
            read_drawing_file(source, None)
        monkeypatch.undo()


def test_an_outline_of_more_corners_than_a_plan_has_is_refused() -> None:
    drawing = new_drawing(4)
    steps = [(x * 0.5, 3000 + x % 2) for x in range(10_000, 0, -1)]
    closed(drawing.modelspace(), [(0, 0), (5000, 0), *steps])
    assert "has, or what stands in it, 10,002 corners; a plan has at most" in refused(drawing)


@pytest.mark.parametrize(
    ("source", "says"),
    [
        (b"", "there is no closed polyline in the drawing"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n", "there is no closed polyline"),
        (b"hello\nworld\n" * 50, "this cannot be read as DXF"),
        (b"\0\1\2" * 99, "this is no DXF in text form"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n10\nnan\n20\n1e400\n0\nENDSEC\n0\nEOF\n", "."),
        (b"999999999999999999999999999\nSECTION\n", "."),
    ],
)
def test_what_is_no_drawing_is_refused_in_words(source: bytes, says: str) -> None:
    with pytest.raises(CannotBeginError, match=says):
        read_outlines("a.dxf", source, FromDrawing(unit="mm"))


def test_a_drawing_with_bytes_missing_never_ends_in_a_traceback() -> None:
    drawing = new_drawing()
    block = drawing.blocks.new("B")
    closed(block, [(0, 0, 0.5), (4000, 0, 0), (4000, 3000, 0)], form="xyb")
    drawing.modelspace().add_blockref("B", (0, 0)).add_attrib("NAME", "Hall", (10, 10))
    text(drawing.modelspace(), "Hall", (3000, 1000))
    source = saved(drawing)
    start = source.index(b"BLOCKS")
    for cut in range(start, len(source), 997):
        for broken in (source[:cut], source[:cut] + source[cut + 5 :]):
            try:
                read_outlines("a.dxf", broken, FromDrawing())
            except CannotBeginError:
                continue
