"""Rooms out of GeoJSON and well-known text."""

import json
from typing import Any

import pytest

from underfoot.beginning.begin import FromDrawing, choose_rooms, read_outlines
from underfoot.beginning.found import CannotBeginError
from underfoot.beginning.new_room import NewRoom

RING = [[1.0, 1.0], [5.0, 1.0], [5.0, 4.0], [1.0, 4.0], [1.0, 1.0]]
HOLE = [[2.0, 2.0], [2.0, 2.5], [2.5, 2.5], [2.5, 2.0], [2.0, 2.0]]
PLACED = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))


def polygon(*rings: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings)}


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def rooms_of(data: Any, name: str = "a.geojson", **how: Any) -> list[NewRoom]:
    text = data if isinstance(data, str) else json.dumps(data)
    wishes = FromDrawing(**{"unit": "m", **how})
    return choose_rooms(read_outlines(name, text.encode(), wishes), wishes)


def refused(data: Any, name: str = "a.geojson", **how: Any) -> str:
    with pytest.raises(CannotBeginError) as error:
        rooms_of(data, name, **how)
    return str(error.value)


def test_features_have_names_and_holes_stand_in_them() -> None:
    far = [[x + 10, y] for x, y in RING]
    first, second = rooms_of(
        {
            "type": "FeatureCollection",
            "features": [
                feature(polygon(RING, HOLE), Name="Kitchen"),
                {"type": "Feature", "id": "Hall 2", "properties": None, "geometry": polygon(far)},
                feature(None, name="nowhere"),
                feature({"type": "Point", "coordinates": [2, 2]}, name="door"),
            ],
        }
    )
    assert (first.id, first.corners) == ("kitchen", PLACED)
    assert first.standing == (
        ("structure-1", ((1000, 1000), (1500, 1000), (1500, 1500), (1000, 1500))),
    )
    assert first.told == ("features[0] (Kitchen). [0, 0] here is (1, 1) m in the drawing.",)
    assert (second.id, second.corners) == ("hall-2", PLACED)


def test_a_polygon_within_another_stands_in_it_unless_it_is_asked_for() -> None:
    data = {
        "type": "FeatureCollection",
        "features": [
            feature(polygon(RING), room="Hall"),
            feature(polygon(HOLE), room="Pier"),
        ],
    }
    (hall,) = rooms_of(data)
    assert [name for name, _ in hall.standing] == ["pier"]
    (pier,) = rooms_of(data, rooms=("PIER",))
    assert pier.corners == ((0, 0), (500, 0), (500, 500), (0, 500))


def test_parts_and_closed_lines_are_rooms() -> None:
    far = [[x + 10, y] for x, y in RING]
    rooms = rooms_of(
        {
            "type": "GeometryCollection",
            "geometries": [
                {"type": "MultiPolygon", "coordinates": [[RING], [far]]},
                {"type": "LineString", "coordinates": [[x, y + 9] for x, y in RING]},
            ],
        }
    )
    assert [room.id for room in rooms] == ["room-1", "room-2", "room-3"]
    assert all(room.corners == PLACED for room in rooms)


def test_flat_heights_are_no_third_dimension() -> None:
    (room,) = rooms_of(polygon([[*corner, 2.7] for corner in RING]))
    assert room.corners == PLACED
    sloping = [[x, y, x / 10] for x, y in RING]
    assert refused(polygon(sloping)).startswith(
        "the file: its corners lie at heights from 100 to 500 mm"
    )


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("{", "line 1, column 2: this is no JSON"),
        ("[1,\n 2 3]", "line 2, column 4: this is no JSON"),
        ('{"type": "Polygon", "coordinates": [[[NaN, 0]]]}', "no GeoJSON that can be read"),
        ("[" * 100_000, "nested too deep"),
        ("[" + "1" * 5000 + "]", "too many digits"),
        ("7", "it has no `type`"),
        ({"type": "FeatureCollection"}, "its `features` are no list"),
        ({"type": "FeatureCollection", "features": [3]}, "features[0]: this is no GeoJSON"),
        ({"type": "FeatureCollection", "features": []}, "there is no polygon"),
        ({"type": "Circle"}, "a room is a Polygon; this is Circle"),
        ({"type": "Polygon"}, "here a list of corners is expected"),
        (polygon(), "this polygon has no corners"),
        (polygon([[0, 0], [1, "1"], [1, 1]]), '[1, "1"]` is no corner: write [x, y]'),
        (polygon([[0, 0], [1, True], [1, 1]]), "is no corner"),
        (polygon([[0, 0], [1, 2, 3, 4], [1, 1]]), "is no corner"),
        (polygon([[0, 0], [10**400, 0], [1, 1]]), "inf is no place in a room's drawing"),
        (polygon([[0, 0], [2e7, 0], [1, 1]]), "is no place in a room's drawing"),
        (polygon([[0, 0], [4, 0]]), "this outline has no area"),
        (polygon([[0, 0], [4, 0], [0, 0]]), "this outline has no area"),
        (polygon([[0, 0], [4, 3], [4, 0], [0, 2]]), "crosses or touches itself near (1600, 1200)"),
        (feature({"type": "LineString", "coordinates": [[0, 0], [4, 0], [4, 3]]}, name="x"),
         "the file (x): this line is open, from `[[0, 0]]` to `[[4, 3]]`"),
        (polygon([[x / 1e5, y / 1e5] for x, y in RING]), "is it another one (--unit)?"),
    ],
)  # fmt: skip
def test_what_is_no_room_is_told_with_its_place(data: Any, says: str) -> None:
    assert says in refused(data)


def test_collections_too_deep_are_refused() -> None:
    data: Any = polygon(RING)
    for _ in range(16):
        data = {"type": "GeometryCollection", "geometries": [data]}
    assert len(rooms_of(data)) == 1
    data = {"type": "GeometryCollection", "geometries": [data]}
    assert "too deep" in refused(data)


def test_well_known_text_may_have_names_and_go_over_lines() -> None:
    text = (
        "# two rooms\n\nKitchen: POLYGON ((1 1, 5 1, 5 4, 1 4, 1 1),\n  (2 2, 2.5 2, 2 2.5, 2 2))\n"
        "MULTIPOLYGON (((11 1, 15 1, 15 4, 11 4, 11 1)))\n"
    )
    first, second = rooms_of(text, "a.wkt")
    assert (first.id, second.id) == ("kitchen", "room-2")
    assert first.corners == second.corners == PLACED
    assert len(first.standing) == 1
    assert first.told[0].startswith("Kitchen: line 3.")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("POLYGON ((0 0, 1 1", "line 1: this is no well-known text"),
        ("# x\nPOLYGO ((0 0))", "line 2: this is no well-known text"),
        ("POLYGON EMPTY", "no corners"),
        ("POINT (1 1)", "there is no polygon; write the rooms' floors as POLYGON"),
        ("GEOMETRYCOLLECTION (" * 17 + ")" * 17, "brackets stand in brackets more than 16 deep"),
        ("POLYGON ((0 0, 4 0, 4 inf, 0 3, 0 0))", ""),
        ("", "there is no polygon"),
    ],
)
def test_what_is_no_well_known_text_is_told_with_its_line(text: str, says: str) -> None:
    assert says in refused(text, "a.wkt")


def test_a_file_that_is_not_utf_8_is_told_with_its_line() -> None:
    with pytest.raises(CannotBeginError, match="line 2: the byte 0xff here is not UTF-8"):
        read_outlines("a.wkt", b"# x\n\xff", FromDrawing(unit="m"))
