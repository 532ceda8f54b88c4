"""Rooms out of drawings in DXF."""

import math

import pytest
import shapely

from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, saved, text
from tests.underfoot.beginning.read_drawings import found_in, named, refused, rooms_of
from underfoot.beginning.drawing_file import read_drawing_file


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


@pytest.mark.parametrize(("many", "named_first", "more"), [(8, 8, ""), (10, 8, " and 2 more: ")])
def test_of_many_rooms_the_first_eight_are_named(many: int, named_first: int, more: str) -> None:
    drawing = new_drawing()
    rings = [
        closed(drawing.modelspace(), [(x + 5000 * place, y) for x, y in ROOM])
        for place in range(many)
    ]
    said = refused(drawing, rooms=("Larder",))
    assert f"there are {many}: " in said
    assert [named(ring) in said for ring in rings] == [n < named_first for n in range(many)]
    assert (" more" in said) is bool(more)
    assert more in said


def test_a_mesh_in_3d_is_refused_on_its_own_layer() -> None:
    drawing = new_drawing(4, "ROOMS", "TERRAIN")
    mesh = drawing.modelspace().add_polymesh((3, 3), dxfattribs={"layer": "TERRAIN"})
    closed(drawing.modelspace(), ROOM)
    (room,) = rooms_of(drawing)
    assert len(room.corners) == 4
    assert refused(drawing, layers=("TERRAIN",)) == (
        f"polyline #{mesh.dxf.handle} on layer TERRAIN is a mesh in 3D: draw a closed polyline "
        "along the walls"
    )


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
