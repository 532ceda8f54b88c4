"""Lines of drawings in DXF: arcs, what is closed, and what is no outline of a floor."""

import math
from typing import Any

import pytest
import shapely

from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, text
from tests.underfoot.beginning.read_drawings import found_in, named, refused, rooms_of


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
