"""The floor of a space in a building model: a profile drawn upwards, or its lowest faces."""

import math
from collections.abc import Iterator, Sequence
from importlib import import_module
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.beginning.curves import Arc, Piece, Side
from underfoot.beginning.found import MOST_CORNERS, CannotBeginError, Point, check_number
from underfoot.beginning.nesting import sides_of

_DEEPEST = 8
# What stands upright by this much counts as upright; what lies as level as this, as level.
_UPRIGHT = 1e-6
_LEVEL_MM = 1.0
_SLIVER_MM = 0.05


class Footprint(Struct, frozen=True, kw_only=True):
    """Closed lines in mm seen from above, the outline first, then holes; the space's height."""

    loops: tuple[tuple[Piece, ...], ...]
    height: float | None = None
    remarks: tuple[str, ...] = ()


class _NotDirectError(Exception):
    """Says why a shape cannot be taken from its profile."""


def find_footprint(library: Any, space: Any, scale: float, where: str) -> Footprint:
    """Find the floor of a space; CannotBeginError where it has none.

    `scale` leads from the model's unit to mm.
    """
    try:
        matrix = library.util.placement.get_local_placement(space.ObjectPlacement)
        item, matrix = _find_body(library, space, np.asarray(matrix, dtype=float))
        return _extruded(library, item, matrix, scale, where)
    except _NotDirectError as why:
        return _lowest_faces(space, where, str(why))


def _find_body(library: Any, space: Any, matrix: Any) -> tuple[Any, Any]:
    shape = space.Representation
    if shape is None:
        raise CannotBeginError(f"{where_of(space)} has no shape: draw its outline in the model")
    bodies = [
        each for each in shape.Representations if each.RepresentationIdentifier in ("Body", None)
    ]
    if len(bodies) != 1 or len(bodies[0].Items) != 1:
        raise _NotDirectError("its body has several parts")
    item = bodies[0].Items[0]
    for _ in range(_DEEPEST):
        if not item.is_a("IfcMappedItem"):
            return item, matrix
        source = item.MappingSource
        matrix = matrix @ np.asarray(library.util.placement.get_mappeditem_transformation(item))
        inner = source.MappedRepresentation.Items
        if len(inner) != 1:
            break
        item = inner[0]
    raise _NotDirectError("its body has several parts")


def where_of(space: Any) -> str:
    """Name a space as its file does."""
    return f"IfcSpace #{space.id()}"


def _extruded(library: Any, item: Any, matrix: Any, scale: float, where: str) -> Footprint:
    if not item.is_a("IfcExtrudedAreaSolid"):
        raise _NotDirectError(f"its body is of the kind {item.is_a()}")
    if item.Position is not None:
        matrix = matrix @ np.asarray(library.util.placement.get_axis2placement(item.Position))
    direction = matrix[:3, :3] @ np.array([*item.ExtrudedDirection.DirectionRatios, 0.0][:3])
    length = float(np.linalg.norm(direction))
    level = matrix[2, :2]
    if (
        not length
        or math.hypot(*direction[:2]) > _UPRIGHT * length
        or np.abs(level).max() > (_UPRIGHT)
    ):
        raise _NotDirectError("its profile is not drawn straight upwards")
    plane = np.array([[*matrix[0, :2], matrix[0, 3]], [*matrix[1, :2], matrix[1, 3]]]) * scale
    loops = tuple(
        tuple(_move(piece, plane, where) for piece in loop) for loop in _profile(library, item)
    )
    if not loops or sum(map(len, loops)) > MOST_CORNERS:
        raise CannotBeginError(f"{where} has no outline, or one of too many corners")
    return Footprint(loops=loops, height=round(abs(float(item.Depth)) * scale, 1))


def _move(piece: Piece, plane: Any, where: str) -> Piece:
    def at(point: Point, place: float = 1.0) -> Point:
        x, y = (float(each) for each in plane @ np.array([point[0], point[1], place]))
        return check_number(x, where), check_number(y, where)

    if isinstance(piece, Side):
        return Side(at(piece.start), at(piece.end))
    return Arc(at(piece.middle), at(piece.u, 0.0), at(piece.v, 0.0), piece.begin, piece.sweep)


def _profile(library: Any, item: Any) -> Iterator[list[Piece]]:
    """List the closed lines of a profile, the outline first."""
    profile = item.SweptArea
    if profile.is_a("IfcArbitraryClosedProfileDef"):
        yield list(_curve(profile.OuterCurve))
        if profile.is_a("IfcArbitraryProfileDefWithVoids"):
            for hole in profile.InnerCurves:
                yield list(_curve(hole))
        return
    plane = np.eye(3)
    if getattr(profile, "Position", None) is not None:
        placed = np.asarray(library.util.placement.get_axis2placement(profile.Position))
        plane = np.array([[*row[:2], row[3]] for row in placed[:2]] + [[0.0, 0.0, 1.0]])
    if profile.is_a() == "IfcRectangleProfileDef":
        x, y = float(profile.XDim) / 2, float(profile.YDim) / 2
        pieces: Sequence[Piece] = sides_of(((-x, -y), (x, -y), (x, y), (-x, y)))
    elif profile.is_a() == "IfcCircleProfileDef":
        radius = float(profile.Radius)
        pieces = [Arc((0.0, 0.0), (radius, 0.0), (0.0, radius), 0.0, 2 * math.pi)]
    else:
        raise _NotDirectError(f"its profile is of the kind {profile.is_a()}")
    yield [_move(piece, plane[:2], "its profile") for piece in pieces]


def _curve(curve: Any) -> Iterator[Piece]:
    if curve.is_a("IfcPolyline"):
        points = [_point(each.Coordinates) for each in curve.Points]
        yield from _closed(points)
    elif curve.is_a("IfcIndexedPolyCurve"):
        yield from _indexed(curve)
    elif curve.is_a("IfcCircle"):
        x, y = _point(curve.Position.Location.Coordinates)
        radius = float(curve.Radius)
        yield Arc((x, y), (radius, 0.0), (0.0, radius), 0.0, 2 * math.pi)
    else:
        raise _NotDirectError(f"its outline is of the kind {curve.is_a()}")


def _point(coordinates: Sequence[float]) -> Point:
    return float(coordinates[0]), float(coordinates[1])


def _closed(points: list[Point]) -> Iterator[Piece]:
    if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-9:
        points = points[:-1]
    if len(points) < 3:
        raise CannotBeginError("an outline has fewer than three corners")
    yield from sides_of(tuple(points))


def _indexed(curve: Any) -> Iterator[Piece]:
    points = [_point(each) for each in curve.Points.CoordList]
    if curve.Segments is None:
        yield from _closed(points)
        return
    first = last = None
    for segment in curve.Segments:
        places = [points[number - 1] for number in segment.wrappedValue]
        first = places[0] if first is None else first
        last = places[-1]
        if segment.is_a("IfcArcIndex"):
            yield through(*places)
        else:
            yield from (Side(*pair) for pair in pairwise(places))
    if first is not None and last is not None and first != last:
        yield Side(last, first)


def through(start: Point, middle: Point, end: Point) -> Piece:
    """Return the circle's arc from start to end by way of a third point; a side where in line."""
    (ax, ay), (bx, by), (cx, cy) = start, middle, end
    twice = 2 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    if abs(twice) < 1e-12 * (math.dist(start, end) ** 2 or 1.0):
        return Side(start, end)
    b2 = (bx - ax) ** 2 + (by - ay) ** 2
    c2 = (cx - ax) ** 2 + (cy - ay) ** 2
    x = ax + ((cy - ay) * b2 - (by - ay) * c2) / twice
    y = ay + ((bx - ax) * c2 - (cx - ax) * b2) / twice
    u = (ax - x, ay - y)
    turned = math.atan2(u[0] * (cy - y) - u[1] * (cx - x), u[0] * (cx - x) + u[1] * (cy - y))
    # Anticlockwise where the middle lies right of the way from start to end.
    sweep = turned % (2 * math.pi) if twice > 0 else -((-turned) % (2 * math.pi))
    return Arc((x, y), u, (-u[1], u[0]), 0.0, sweep)


def _lowest_faces(space: Any, where: str, why: str) -> Footprint:
    """Take the floor from the lowest level faces of a space's mesh."""
    geometry = import_module("ifcopenshell.geom")
    settings = geometry.settings()
    settings.set("use-world-coords", True)
    # The mesh lives as long as the shape that it is of.
    body = geometry.create_shape(settings, space)
    made = body.geometry
    points = np.asarray(made.verts, dtype=float).reshape(-1, 3) * 1000.0
    faces = np.asarray(made.faces, dtype=int).reshape(-1, 3)
    if not len(faces) or len(faces) > MOST_CORNERS or not np.isfinite(points).all():
        raise CannotBeginError(f"{where} has no faces, or too many")
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    level = faces[(points[faces][:, :, 2] < low + _LEVEL_MM).all(axis=1)]
    shape = shapely.union_all(
        [shapely.Polygon(corners) for corners in points[level][:, :, :2]], grid_size=_SLIVER_MM
    )
    if shape.geom_type != "Polygon" or shape.is_empty:
        raise CannotBeginError(
            f"{where} has no single level floor: draw it as one outline that is drawn upwards"
        )
    rings = (shape.exterior, *shape.interiors)
    return Footprint(
        loops=tuple(sides_of(tuple(map(_point, ring.coords[:-1]))) for ring in rings),
        height=round(high - low, 1) or None,
        remarks=(
            f"{where}: {why}, so its floor is taken from its lowest faces; round walls are as the "
            "model's faces have them, up to some mm off",
        ),
    )
