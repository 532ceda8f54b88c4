"""Rooms of a GeoJSON file (RFC 7946) or of a file in well-known text."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import shapely

from underfoot.beginning.found import (
    MM_PER_UNIT,
    MOST_CORNERS,
    CannotBeginError,
    Corners,
    area_of,
    check_number,
)
from underfoot.beginning.nesting import Drawn, Loop, sides_of

_DEEPEST = 16
_NAME_KEYS = ("name", "room", "title", "label")
_AS_ONE_HEIGHT = 0.5


def read_geojson(text: str, unit: str) -> Drawn:
    """Find the rooms of a GeoJSON text; CannotBeginError says what keeps it from being read."""
    try:
        data = json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise CannotBeginError(
            f"line {error.lineno}, column {error.colno}: this is no JSON ({error.msg.lower()})"
        ) from None
    except (RecursionError, ValueError):
        raise CannotBeginError(
            "this is no GeoJSON that can be read: it is nested too deep, or a number in it has "
            "too many digits"
        ) from None
    loops = [
        loop
        for where, name, geometry in _features(data, "the file", 0)
        for loop in _loops_of(geometry, where, name, MM_PER_UNIT[unit], 0)
    ]
    return _drawn(loops, unit, "polygon; save the rooms' floors as polygons")


def read_wkt(text: str, unit: str) -> Drawn:
    """Find the rooms of a text with a geometry on each line, `name: POLYGON (...)` or without name.

    CannotBeginError says in which line what is wrong.
    """
    loops: list[Loop] = []
    for number, written in _statements(text):
        where = f"line {number}"
        named = re.fullmatch(r"([^:()]{1,200}):\s*(.*)", written)
        name, written = (named[1].strip(), named[2]) if named else (None, written)
        if _depth_of(written) > _DEEPEST:
            raise CannotBeginError(f"{where}: brackets stand in brackets more than {_DEEPEST} deep")
        try:
            geometry = shapely.from_wkt(written)
        except (shapely.errors.ShapelyError, ValueError):
            raise CannotBeginError(
                f"{where}: this is no well-known text: write a geometry on each line, such as "
                "`hall: POLYGON ((0 0, 4200 0, 4200 3100, 0 3100, 0 0))`"
            ) from None
        mapped = shapely.geometry.mapping(geometry)
        loops += _loops_of(mapped, where, name, MM_PER_UNIT[unit], 0)
    return _drawn(loops, unit, "polygon; write the rooms' floors as POLYGON")


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """List what is written with the line that it begins in; it ends where its brackets close."""
    begun, depth = 0, 0
    parts: list[str] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or (not parts and line.lstrip().startswith("#")):
            continue
        begun = begun if parts else number
        parts.append(line.strip())
        depth += line.count("(") - line.count(")")
        if depth <= 0:
            yield begun, " ".join(parts)
            parts, depth = [], 0
    if parts:
        yield begun, " ".join(parts)


def _drawn(loops: Sequence[Loop], unit: str, wanted: str) -> Drawn:
    if not loops:
        raise CannotBeginError(f"there is no {wanted}")
    return Drawn(loops=tuple(loops), unit=unit)


def _no_constant(word: str) -> float:
    raise ValueError(word)


def _depth_of(text: str) -> int:
    depth = deepest = 0
    for mark in text:
        depth += (mark == "(") - (mark == ")")
        deepest = max(deepest, depth)
    return deepest


def _features(data: Any, where: str, depth: int) -> Iterator[tuple[str, str | None, Any]]:
    """List the geometries of a file with their place and name."""
    if not isinstance(data, Mapping) or not isinstance(data.get("type"), str):
        raise CannotBeginError(f"{where}: this is no GeoJSON: it has no `type`")
    if data["type"] == "FeatureCollection":
        features = data.get("features")
        if not isinstance(features, list):
            raise CannotBeginError(f"{where}: its `features` are no list")
        for place, feature in enumerate(features):
            yield from _features(feature, f"features[{place}]", depth + 1) if depth == 0 else ()
    elif data["type"] == "Feature":
        if data.get("geometry") is not None:
            name = _name_of(data)
            yield (f"{where} ({name})" if name else where), name, data["geometry"]
    else:
        yield where, None, data


def _name_of(feature: Mapping[str, Any]) -> str | None:
    properties = feature.get("properties")
    known = properties if isinstance(properties, Mapping) else {}
    names = {key.casefold(): known[key] for key in sorted(known)}
    for value in (*(names.get(key) for key in _NAME_KEYS), feature.get("id")):
        if isinstance(value, str) and value.strip():
            return value.strip()[:200]
    return None


def _loops_of(
    geometry: Any, where: str, name: str | None, scale: float, depth: int
) -> Iterator[Loop]:
    kind = geometry.get("type") if isinstance(geometry, Mapping) else None
    if depth > _DEEPEST:
        raise CannotBeginError(f"{where}: collections stand in collections too deep")
    if kind == "Polygon":
        yield from _polygon_loops(geometry.get("coordinates"), where, name, scale)
    elif kind == "MultiPolygon":
        for place, rings in enumerate(_list_of(geometry.get("coordinates"), where)):
            yield from _polygon_loops(rings, f"{where}, polygon {place + 1}", name, scale)
    elif kind == "GeometryCollection":
        for part in _list_of(geometry.get("geometries"), where):
            yield from _loops_of(part, where, name, scale, depth + 1)
    elif kind in ("LineString", "LinearRing"):
        ring = _list_of(geometry.get("coordinates"), where)
        if not ring or ring[0] != ring[-1]:
            raise CannotBeginError(
                f"{where}: this line is open, from {_show(ring[:1])} to {_show(ring[-1:])}: close "
                "it round the floor, best as a polygon"
            )
        yield from _polygon_loops([ring], where, name, scale)
    elif kind not in ("Point", "MultiPoint"):
        raise CannotBeginError(
            f"{where}: a room is a Polygon; this is {kind if isinstance(kind, str) else 'none'}"
        )


def _polygon_loops(rings: Any, where: str, name: str | None, scale: float) -> Iterator[Loop]:
    read = [_corners(ring, where, scale) for ring in _list_of(rings, where)]
    if not read:
        raise CannotBeginError(f"{where}: this polygon has no corners")
    yield Loop(pieces=sides_of(read[0]), where=where, name=name)
    for place, corners in enumerate(read[1:], start=1):
        yield Loop(pieces=sides_of(corners), where=f"{where}, hole {place}")


def _corners(ring: Any, where: str, scale: float) -> Corners:
    points = _list_of(ring, where)
    if len(points) > MOST_CORNERS:
        raise CannotBeginError(f"{where}: an outline has more than {MOST_CORNERS:,} corners")
    corners = []
    heights = set()
    for point in points:
        if not isinstance(point, (list, tuple)) or len(point) not in (2, 3) or not all(
            isinstance(each, (int, float)) and not isinstance(each, bool) for each in point
        ):  # fmt: skip
            raise CannotBeginError(f"{where}: {_show(point)} is no corner: write [x, y]")
        x, y, *height = (check_number(_float(each) * scale, where) for each in point)
        corners.append((x, y))
        heights.update(height)
    if heights and max(heights) - min(heights) > _AS_ONE_HEIGHT:
        raise CannotBeginError(
            f"{where}: its corners lie at heights from {min(heights):.0f} to {max(heights):.0f} "
            "mm: a floor's outline is flat; save it in two dimensions"
        )
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()
    if len(set(corners)) < 3 or area_of(tuple(corners)) == 0:
        raise CannotBeginError(f"{where}: this outline has no area")
    return tuple(corners)


def _float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:
        return float("inf")


def _list_of(value: Any, where: str) -> Sequence[Any]:
    if not isinstance(value, (list, tuple)):
        raise CannotBeginError(f"{where}: here a list of corners is expected")
    return value


def _show(value: Any) -> str:
    from underfoot.reading.wording import show

    return show(value)
