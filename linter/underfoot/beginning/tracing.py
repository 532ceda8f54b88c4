"""A line of a drawing -> its straight sides and arcs, seen from above, and whether it closes."""

import math
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.beginning.curves import Arc, Piece, Side, bulge
from underfoot.beginning.found import Point, check_number

# Flag of a vertex that only pulls a curve, and is not on it.
_PULLS_ONLY = 16
# An arc that rises less than this over its chord is a side.
_STRAIGHT_MM = 0.02


class Traced(Struct, frozen=True, kw_only=True):
    """A line seen from above, in mm; `heights` are the lowest and highest of it.

    `gap` is how far apart its ends are, 0 where it is closed; None for what bounds nothing alone.
    """

    pieces: tuple[Piece, ...]
    heights: tuple[float, float]
    gap: float | None


def trace(entity: Any, kind: str, matrix: Any, where: str) -> Traced | None:
    """Trace a polyline, a circle or an ellipse; None for a line, an arc, a spline alone.

    `matrix` leads from the entity's drawing or block to mm.
    """
    if kind == "LWPOLYLINE":
        height = float(entity.dxf.get("elevation", 0.0))
        corners = [((x, y, height), float(bulging)) for x, y, bulging in entity.get_points("xyb")]
        return _trace_polyline(corners, entity.closed, entity.ocs(), matrix, where)
    if kind == "POLYLINE":
        return _trace_old_polyline(entity, matrix, where)
    if kind == "CIRCLE":
        radius = float(entity.dxf.radius)
        ocs = entity.ocs()
        along, across = ocs.to_wcs((radius, 0, 0)), ocs.to_wcs((0, radius, 0))
        return _trace_round(ocs.to_wcs(entity.dxf.center), along, across, matrix, where)
    if kind == "ELLIPSE":
        sweep = abs(float(entity.dxf.end_param) - float(entity.dxf.start_param))
        if abs(sweep - 2 * math.pi) > 1e-6:
            return None
        return _trace_round(
            entity.dxf.center, entity.dxf.major_axis, entity.minor_axis, matrix, where
        )
    return None


def _trace_old_polyline(entity: Any, matrix: Any, where: str) -> Traced:
    kept = [each for each in entity.vertices if not each.dxf.flags & _PULLS_ONLY]
    if entity.is_3d_polyline:
        corners = [(tuple(each.dxf.location), 0.0) for each in kept]
        return _trace_polyline(corners, entity.is_closed, None, matrix, where)
    height = float(entity.dxf.elevation[2]) if entity.dxf.hasattr("elevation") else 0.0
    corners = [
        ((each.dxf.location[0], each.dxf.location[1], height), float(each.dxf.get("bulge", 0.0)))
        for each in kept
    ]
    return _trace_polyline(corners, entity.is_closed, entity.ocs(), matrix, where)


def _trace_polyline(
    corners: Sequence[tuple[Sequence[float], float]],
    is_closed: bool,
    ocs: Any,
    matrix: Any,
    where: str,
) -> Traced:
    def into(place: Sequence[float]) -> Any:
        return matrix.transform(place if ocs is None else ocs.to_wcs(place))

    def turn(direction: Sequence[float]) -> Any:
        # What runs through space has no arcs.
        return matrix.transform_direction(ocs.to_wcs(direction))

    placed = [into(at) for at, _ in corners]
    points = [_point(at, where) for at in placed]
    heights = [check_number(float(at[2]), where) for at in placed] or [0.0]
    pieces: list[Piece] = []
    for number, (at, bulging) in enumerate(corners):
        following = (number + 1) % len(corners)
        if following == 0 and not is_closed:
            break
        there = corners[following][0]
        here_2d, there_2d = (float(at[0]), float(at[1])), (float(there[0]), float(there[1]))
        rise = abs(bulging) * math.dist(points[number], points[following]) / 2
        if rise < _STRAIGHT_MM or here_2d == there_2d:
            pieces.append(Side(points[number], points[following]))
            continue
        arc = bulge(here_2d, there_2d, bulging)
        traced = _arc(
            into((*arc.middle, at[2])), turn((*arc.u, 0)), turn((*arc.v, 0)), arc.sweep, where
        )
        pieces.append(traced[0])
        heights += traced[1]
    gap = 0.0 if is_closed or not points else math.dist(points[0], points[-1])
    return Traced(pieces=tuple(pieces), heights=(min(heights), max(heights)), gap=gap)


def _trace_round(middle: Any, u: Any, v: Any, matrix: Any, where: str) -> Traced:
    arc, heights = _arc(
        matrix.transform(middle),
        matrix.transform_direction(u),
        matrix.transform_direction(v),
        2 * math.pi,
        where,
    )
    return Traced(pieces=(arc,), heights=(min(heights), max(heights)), gap=0.0)


def _arc(middle: Any, u: Any, v: Any, sweep: float, where: str) -> tuple[Arc, tuple[float, float]]:
    tilt = math.hypot(float(u[2]), float(v[2]))
    arc = Arc(_point(middle, where), _point(u, where), _point(v, where), 0.0, sweep)
    return arc, (float(middle[2]) - tilt, float(middle[2]) + tilt)


def _point(at: Any, where: str) -> Point:
    return check_number(float(at[0]), where), check_number(float(at[1]), where)
