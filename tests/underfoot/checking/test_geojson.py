"""Shapes of findings as RFC 7946 has them: rings by the right-hand rule, thousandths at most."""

from typing import Any

import pytest
import shapely

from underfoot.checking.geojson import geojson

RING = [(0, 0), (0, 300), (400, 300), (400, 0)]
HOLE = [(100, 100), (200, 100), (200, 200), (100, 200)]
HOLED = shapely.Polygon(RING, [HOLE])


def polygons_of(told: Any) -> list[Any]:
    """Return the rings of every polygon of a geometry."""
    if told["type"] == "GeometryCollection":
        return [polygon for part in told["geometries"] for polygon in polygons_of(part)]
    return [told["coordinates"]] if told["type"] == "Polygon" else list(told["coordinates"])


@pytest.mark.parametrize("shape", [HOLED, shapely.reverse(HOLED)])
@pytest.mark.parametrize("kind", ["Polygon", "MultiPolygon", "GeometryCollection"])
def test_outer_rings_run_anticlockwise_and_holes_clockwise(shape: Any, kind: str) -> None:
    other = shapely.transform(shape, lambda points: points + 1000)
    whole = {
        "Polygon": shape,
        "MultiPolygon": shapely.MultiPolygon([shape, other]),
        "GeometryCollection": shapely.GeometryCollection([shape, shapely.reverse(other)]),
    }[kind]
    told = geojson(whole)
    assert told["type"] == kind
    assert len(polygons_of(told)) == (1 if kind == "Polygon" else 2)
    for outer, hole in polygons_of(told):
        assert shapely.is_ccw(shapely.LinearRing(outer))
        assert not shapely.is_ccw(shapely.LinearRing(hole))
        assert outer[0] == outer[-1]


def test_points_and_lines_stay_as_they_are_drawn() -> None:
    assert geojson(shapely.Point(1.23456, -0.0001)) == {
        "type": "Point", "coordinates": [1.235, 0.0],
    }  # fmt: skip
    assert str(geojson(shapely.Point(0, -0.0001))["coordinates"][1]) == "0.0"
    line = geojson(shapely.LineString([(5, 0), (0, 0), (0, 7)]))
    assert line == {"type": "LineString", "coordinates": [[5, 0], [0, 0], [0, 7]]}
