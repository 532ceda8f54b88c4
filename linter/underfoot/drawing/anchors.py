"""Where in the room a finding is, and which place of it a leader line points at."""

import math
from collections.abc import Sequence
from typing import Any

import shapely
from shapely.geometry import shape as from_geojson

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.floor import LaidBoards, LaidSheets
from underfoot.checking.report import ReportedFinding
from underfoot.drawing.occupancy import Taken, is_free, patch_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Point

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)
_EDGES = tuple((step + 0.5) / 12 for step in range(12))
# Two leader lines should not end nearer to each other; so many ends are tried.
_APART = 4.0
_ANCHORS = 8


def find_place(facts: RoomFacts, finding: ReportedFinding) -> Any:
    """Find the shape that a finding is about, in the room's mm; None where it has no place.

    That is its own shape, else those of its items that are drawn in the room.
    """
    if finding.room is not None and finding.room != facts.id:
        return None
    if finding.shape is not None and finding.room is not None:
        shape = from_geojson(dict(finding.shape))
        return None if shape.is_empty else shape
    if finding.room is None or ("thermostat" in finding.items and _hangs_elsewhere(facts)):
        # What it hangs by is in that other room too, and may be called as something here is.
        return None
    shapes = [shape for item in finding.items if (shape := _shape_of_item(facts, item)) is not None]
    if len(shapes) < 2:
        return next(iter(shapes), None)
    shared = shapely.intersection_all(shapes)
    return shapely.GeometryCollection(shapes) if shared.is_empty else shared


def _hangs_elsewhere(facts: RoomFacts) -> bool:
    thermostat = facts.drawn.thermostat
    return thermostat is not None and thermostat.room not in (None, facts.id)


def _shape_of_item(facts: RoomFacts, item: str) -> Any:
    place = facts.place_of.get(item)
    if place is not None:
        return facts.strips[place]
    for fixture, polygon in facts.fixtures:
        if fixture.id == item:
            return polygon
    for name, joint in facts.joints:
        if name == item:
            return joint
    for lead in facts.leads:
        if lead.lead.id == item:
            return lead.line
    if item in facts.drawn.openings:
        return shapely.LineString(facts.drawn.openings[item].line)
    if item == "junction-box" and facts.box is not None:
        return shapely.Point(facts.box)
    if item == "thermostat":
        thermostat = facts.drawn.thermostat
        if thermostat is not None:
            at = thermostat.at or facts.box
            return None if at is None else shapely.Point(at)
    if item == "sensor" and facts.drawn.sensor is not None:
        return shapely.Point(facts.drawn.sensor.at)
    lining: tuple[LaidBoards | LaidSheets, ...] = (*facts.boards, facts.sheets)
    for laid in lining:
        if item in laid.names:
            shown = facts.outline.intersection(laid.polygons[laid.names.index(item)])
            return None if shown.is_empty else shown
    return None


def find_anchors(scene: Scene, shape: Any, taken: Taken, anchors: Sequence[Point]) -> list[Point]:
    """List places to point at, best first: on the shape, off lettering, off other anchors."""
    bounds = scene.bounds
    ranked = []
    for place, spot in enumerate(_spots(shape)):
        x, y = scene.view.place((spot.x, spot.y))
        at = (min(max(x, bounds.left), bounds.right), min(max(y, bounds.top), bounds.bottom))
        dot = patch_of(at[0] - 0.5, at[1] - 0.5, 1.0, 1.0)
        near = any(math.dist(at, other) < _APART for other in anchors)
        ranked.append((at != (x, y), not is_free(taken, dot), near, place, at))
    return [at for *_, at in sorted(ranked)[:_ANCHORS]]


def _spots(shape: Any) -> list[shapely.Point]:
    if shape.geom_type == "Point":
        return [shape]
    if shape.geom_type == "LineString":
        return [shape.interpolate(share, normalized=True) for share in _SHARES]
    if shape.geom_type == "Polygon":
        corners = shape.exterior.coords[:-1]
        if len(corners) == 4 and not shape.interiors:
            # Its edge serves where its name fills it.
            edge = [shape.exterior.interpolate(share, normalized=True) for share in _EDGES]
            return [*_spots(_midline(corners)), *edge]
        middle = shape.representative_point()
        low_x, low_y, high_x, high_y = shape.bounds
        spots = [middle]
        for share in _SHARES[1:]:
            spots += [
                shapely.Point(low_x + (high_x - low_x) * share, middle.y),
                shapely.Point(middle.x, low_y + (high_y - low_y) * share),
            ]
        return [spots[0], *(spot for spot in spots[1:] if shape.covers(spot))]
    # Of several parts the largest is pointed at first.
    parts = sorted(shape.geoms, key=lambda part: (-part.area, -part.length, part.bounds))
    return [spot for part in parts[:3] for spot in _spots(part)]


def _midline(corners: Sequence[Point]) -> shapely.LineString:
    """Return the line between the middles of the shorter sides of a four-cornered area."""
    sides = [(corners[place], corners[(place + 1) % 4]) for place in range(4)]
    pairs = sorted(
        ((sides[place], sides[place + 2]) for place in range(2)),
        key=lambda pair: math.dist(*pair[0]) + math.dist(*pair[1]),
    )
    return shapely.LineString([((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairs[0]])
