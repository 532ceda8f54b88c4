"""A shape as a GeoJSON geometry (RFC 7946), in the room's millimetres."""

from typing import Any


def geojson(shape: Any) -> dict[str, Any]:
    """Return a shapely geometry as a GeoJSON geometry, to a thousandth of a millimetre.

    Outer rings run anticlockwise (RFC 7946, 3.1.6).
    """
    from shapely import geometry
    from shapely.geometry import polygon

    if shape.geom_type == "Polygon":
        shape = polygon.orient(shape)
    elif shape.geom_type == "MultiPolygon":
        shape = geometry.MultiPolygon([polygon.orient(part) for part in shape.geoms])
    mapped = geometry.mapping(shape)
    if "geometries" in mapped:
        return {
            "type": mapped["type"],
            "geometries": [geojson(part) for part in shape.geoms],
        }
    return {"type": mapped["type"], "coordinates": _rounded(mapped["coordinates"])}


def _rounded(value: Any) -> Any:
    if isinstance(value, (tuple, list)):
        return [_rounded(part) for part in value]
    return round(float(value), 3) + 0.0
