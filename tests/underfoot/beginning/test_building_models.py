"""Rooms out of building models in IFC; the models are made here, by the library that reads them."""

import math
from pathlib import Path
from typing import Any

import pytest
import shapely

from underfoot.__main__ import main
from underfoot.beginning.begin import FromDrawing, choose_rooms, read_outlines
from underfoot.beginning.building_shapes import through
from underfoot.beginning.curves import Arc, Side
from underfoot.beginning.found import CannotBeginError, Found
from underfoot.reading.plan_file import read_plan

Corners = list[tuple[float, float]]
ROOM: Corners = [(1.0, 1.0), (5.0, 1.0), (5.0, 4.0), (1.0, 4.0)]


def test_an_arc_by_way_of_a_point() -> None:
    # Half a circle about (1, 0), by way of its lowest and of its highest point.
    for middle, sweep in (((1.0, -1.0), math.pi), ((1.0, 1.0), -math.pi)):
        arc = through((0.0, 0.0), middle, (2.0, 0.0))
        assert isinstance(arc, Arc)
        assert arc.middle == pytest.approx((1, 0))
        assert arc.sweep == pytest.approx(sweep)
        assert arc.at(arc.sweep / 2) == pytest.approx(middle)
    # Three quarters of it, clockwise.
    arc = through((1.0, 1.0), (2.0, 0.0), (0.0, 0.0))
    assert isinstance(arc, Arc)
    assert arc.sweep == pytest.approx(-1.5 * math.pi)
    assert isinstance(through((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)), Side)


def test_without_the_library_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    with pytest.raises(CannotBeginError, match=r"pip install 'underfoot\[bim\]'"):
        read_outlines("a.ifc", b"ISO-10303-21;", FromDrawing())


class Model:
    """A model in metres or millimetres, with spaces put into it one by one."""

    def __init__(self, prefix: str | None = None) -> None:
        library = pytest.importorskip("ifcopenshell", reason="the extra 'bim' is not installed")
        self.file = library.file(schema="IFC4")
        unit = self.file.createIfcSIUnit(None, "LENGTHUNIT", prefix, "METRE")
        units = self.file.createIfcUnitAssignment([unit])
        self.context = self.file.createIfcGeometricRepresentationContext(
            None, "Model", 3, 1e-5, self.axes()
        )
        self.file.createIfcProject(
            library.guid.new(), None, "House", None, None, None, None, [self.context], units
        )
        self.guid = library.guid.new

    def axes(self, at: tuple[float, float, float] = (0.0, 0.0, 0.0), turn: float = 0.0) -> Any:
        new = self.file
        return new.createIfcAxis2Placement3D(
            new.createIfcCartesianPoint(at),
            new.createIfcDirection((0.0, 0.0, 1.0)),
            new.createIfcDirection((math.cos(turn), math.sin(turn), 0.0)),
        )

    def polyline(self, corners: Corners) -> Any:
        points = [self.file.createIfcCartesianPoint(at) for at in [*corners, corners[0]]]
        return self.file.createIfcPolyline(points)

    def profile(self, corners: Corners, *holes: Corners) -> Any:
        outer = self.polyline(corners)
        if not holes:
            return self.file.createIfcArbitraryClosedProfileDef("AREA", None, outer)
        return self.file.createIfcArbitraryProfileDefWithVoids(
            "AREA", None, outer, [self.polyline(each) for each in holes]
        )

    def upwards(self, profile: Any, height: float, up: tuple[float, ...] = (0.0, 0.0, 1.0)) -> Any:
        return self.file.createIfcExtrudedAreaSolid(
            profile, self.axes(), self.file.createIfcDirection(up), height
        )

    def space(self, item: Any, name: str | None, at: Any = None, kind: str = "SweptSolid") -> Any:
        shape = self.file.createIfcShapeRepresentation(self.context, "Body", kind, [item])
        return self.file.createIfcSpace(
            self.guid(), None, "101", None, None,
            self.file.createIfcLocalPlacement(None, at or self.axes()),
            self.file.createIfcProductDefinitionShape(None, None, [shape]), name,
        )  # fmt: skip

    def found(self) -> Found:
        return read_outlines("a.ifc", self.file.to_string().encode(), FromDrawing())


@pytest.mark.parametrize(("prefix", "scale"), [(None, 1.0), ("MILLI", 1000.0)])
def test_a_space_has_name_height_outline_and_holes(prefix: str | None, scale: float) -> None:
    model = Model(prefix)
    room = [(x * scale, y * scale) for x, y in ROOM]
    hole = [(x * scale, y * scale) for x, y in [(2, 2), (2.4, 2), (2.4, 2.4), (2, 2.4)]]
    model.space(model.upwards(model.profile(room, hole), 2.5 * scale), "Küche")
    (found,) = model.found().rooms
    assert found.name == "Küche"
    assert found.height == 2500
    assert shapely.Polygon(found.corners).bounds == pytest.approx((1000, 1000, 5000, 4000))
    (begun,) = choose_rooms(model.found(), FromDrawing())
    assert begun.id == "kuche"
    assert begun.corners == ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
    assert begun.standing == (
        ("structure-1", ((1000, 1000), (1400, 1000), (1400, 1400), (1000, 1400))),
    )


def test_where_it_is_placed_and_turned_is_followed() -> None:
    model = Model()
    model.space(
        model.upwards(model.profile(ROOM), 2.5), None, model.axes((10.0, 20.0, 3.0), math.pi / 2)
    )
    (found,) = model.found().rooms
    assert found.name == "101"
    # Turned by a right angle about (10, 20): (x, y) goes to (10 - y, 20 + x).
    assert shapely.Polygon(found.corners).bounds == pytest.approx((6000, 21000, 9000, 25000))


def test_a_stated_height_goes_before_the_bodys() -> None:
    model = Model()
    space = model.space(model.upwards(model.profile(ROOM), 3.0), "Hall")
    new = model.file
    quantity = new.createIfcQuantityLength("Height", None, None, 2.4, None)
    quantities = new.createIfcElementQuantity(
        model.guid(), None, "Qto_SpaceBaseQuantities", None, None, [quantity]
    )
    new.createIfcRelDefinesByProperties(model.guid(), None, None, None, [space], quantities)
    assert model.found().rooms[0].height == 2400


def test_what_bounds_a_space_is_told() -> None:
    model = Model()
    new = model.file
    space = model.space(model.upwards(model.profile(ROOM), 3.0), "Hall")
    walls = [new.createIfcWall(model.guid()) for _ in range(3)]
    around = [*zip(walls, ["EXTERNAL", "INTERNAL", "EXTERNAL"], strict=True),
              (walls[0], "EXTERNAL"), (new.createIfcDoor(model.guid()), "INTERNAL"),
              (new.createIfcVirtualElement(model.guid()), "INTERNAL")]  # fmt: skip
    for element, side in around:
        new.createIfcRelSpaceBoundary(
            model.guid(), None, None, None, space, element, None, "PHYSICAL", side
        )
    (begun,) = choose_rooms(model.found(), FromDrawing())
    assert begun.told[-1] == "It is bounded by 1 door, 3 walls (2 to the outside)."


def test_of_a_leaning_body_the_lowest_faces_count() -> None:
    model = Model()
    model.space(model.upwards(model.profile(ROOM), 2.5, (0.3, 0.0, 1.0)), "Stair")
    found = model.found()
    assert shapely.Polygon(found.rooms[0].corners).bounds == pytest.approx(
        (1000, 1000, 5000, 4000), abs=0.1
    )
    # 2.5 m along the way up, of which 1 / sqrt(1.09) is upwards.
    assert found.rooms[0].height == pytest.approx(2500 / math.sqrt(1.09), abs=0.1)
    assert "its profile is not drawn straight upwards" in found.remarks[0]


@pytest.mark.parametrize("last", [(4, 5, 1), (4, 5)])
def test_round_walls_lie_on_the_floor(last: tuple[int, ...]) -> None:
    model = Model()
    points = model.file.createIfcCartesianPointList2D(
        ((0.0, 0.0), (4.0, 0.0), (5.5, 1.5), (4.0, 3.0), (0.0, 3.0))
    )
    segments = [
        model.file.createIfcLineIndex((1, 2)),
        model.file.createIfcArcIndex((2, 3, 4)),
        model.file.createIfcLineIndex(last),
    ]
    curve = model.file.createIfcIndexedPolyCurve(points, segments, False)
    profile = model.file.createIfcArbitraryClosedProfileDef("AREA", None, curve)
    model.space(model.upwards(profile, 2.5), "Bay")
    (found,) = model.found().rooms
    true = 12e6 + math.pi * 1500**2 / 2
    assert found.has_arcs
    assert true * 0.999 < shapely.Polygon(found.corners).area < true


def test_other_shapes_are_taken_from_their_lowest_faces() -> None:
    model = Model()
    new = model.file
    solid = model.upwards(model.profile(ROOM), 2.5)
    above = new.createIfcHalfSpaceSolid(
        new.createIfcPlane(new.createIfcAxis2Placement3D(
            new.createIfcCartesianPoint((0.0, 0.0, 2.0)),
            new.createIfcDirection((0.3, 0.0, 1.0)), new.createIfcDirection((1.0, 0.0, -0.3)),
        )), False,
    )  # fmt: skip
    model.space(
        new.createIfcBooleanClippingResult("DIFFERENCE", solid, above), "Attic", kind="Clipping"
    )
    found = model.found()
    assert shapely.Polygon(found.rooms[0].corners).bounds == pytest.approx(
        (1000, 1000, 5000, 4000), abs=0.1
    )
    assert "its floor is taken from its lowest faces" in found.remarks[0]


def test_what_has_no_floor_is_left_out_and_told() -> None:
    model = Model()
    model.space(model.upwards(model.profile(ROOM), 2.5), "Hall")
    model.space(model.upwards(model.profile([(0.0, 0.0), (4.0, 0.0)]), 2.5), "Flat")
    found = model.found()
    assert [room.name for room in found.rooms] == ["Hall"]
    assert found.remarks[0].startswith("left out: ")
    none = Model()
    with pytest.raises(CannotBeginError, match="has no IfcSpace"):
        none.found()


def test_a_broken_model_is_refused_in_words() -> None:
    model = Model()
    model.space(model.upwards(model.profile(ROOM), 2.5), "Hall")
    source = model.file.to_string().encode()
    with pytest.raises(CannotBeginError, match="this IFC is not whole"):
        read_outlines("a.ifc", source[: len(source) // 2], FromDrawing())
    for cut in range(0, len(source), 211):
        whole = source[:cut] + source[cut + 3 :]
        for broken in (source[:cut], whole, source[:cut] + b"\nENDSEC;\nEND-ISO-10303-21;\n"):
            try:
                read_outlines("a.ifc", broken, FromDrawing())
            except CannotBeginError:
                continue


@pytest.mark.usefixtures("folder")
def test_a_plan_is_begun_from_a_model() -> None:
    model = Model()
    model.space(model.upwards(model.profile(ROOM), 2.5), "Hall")
    model.space(model.upwards(model.profile([(x + 5, y) for x, y in ROOM]), 2.5), "Study")
    Path("house.ifc").write_text(model.file.to_string())
    assert main(["new", "study.yaml", "--outline", "house.ifc", "--room", "study"]) == 0
    plan = read_plan(Path("study.yaml").read_bytes(), path="study.yaml", folder=Path.cwd()).plan
    assert plan is not None
    assert {name: room.height for name, room in plan.rooms.items()} == {"study": 2500}
