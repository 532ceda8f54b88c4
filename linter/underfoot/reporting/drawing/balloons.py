"""Findings as numbered balloons, joined to their places by leader lines."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from shapely.geometry import shape as from_geojson

from underfoot.checking.report import ReportedFinding
from underfoot.reporting.drawing import inks
from underfoot.reporting.drawing.lettering import SMALL
from underfoot.reporting.drawing.marks import Point, area, clean, escape, group, letters, line, tag
from underfoot.reporting.drawing.scene import Scene
from underfoot.reporting.drawing.sheets import Box
from underfoot.reporting.drawing.shell import rings_of
from underfoot.reporting.drawing.taken import (
    Patch,
    Taken,
    is_free,
    nothing_taken,
    patch_of,
    take,
    touches,
)

# Half the size of a balloon, by severity: a square, a diamond and a circle.
_HALF = {"error": 2.9, "warning": 4.1, "note": 3.1}
_CLEAR = 0.5
_DIRECTIONS = 16
_RING = 2.5
_FIRST_RING = 6.5
_FARTHEST = 50.0
# Two leader lines should not end nearer to each other; so many ends are tried.
_APART = 4.0
_ANCHORS = 4
# A place that costs less crosses nothing and is near enough: no other end is tried.
_GOOD = 16.0
# Among so many balloons each may point at one place alone, for the sake of time.
_FEW = 30
# More than these could not be told apart on a sheet.
MOST = 60


@dataclass(frozen=True, slots=True)
class Balloon:
    """A finding's number at `middle`, pointing at `anchor`."""

    finding: ReportedFinding
    middle: Point
    anchor: Point
    patch: Patch


def places_of_finding(scene: Scene, finding: ReportedFinding) -> Any:
    """Give the shape that a finding is about, in the room's mm; None where it has no place.

    That is its own shape, else those of its items that are drawn in the room.
    """
    if finding.room is not None and finding.room != scene.facts.id:
        return None
    if finding.shape is not None and finding.room is not None:
        shape = from_geojson(dict(finding.shape))
        return None if shape.is_empty else shape
    if finding.room is None:
        return None
    shapes = [
        shape for item in finding.items if (shape := _shape_of_item(scene, item)) is not None
    ]
    if len(shapes) < 2:
        return next(iter(shapes), None)
    shared = shapely.intersection_all(shapes)
    return shapely.GeometryCollection(shapes) if shared.is_empty else shared


def _shape_of_item(scene: Scene, item: str) -> Any:
    facts = scene.facts
    place = facts.place_of.get(item)
    if place is not None:
        return facts.strips[place]
    for fixture, polygon in facts.fixtures:
        if fixture.id == item:
            return polygon
    for name, joint in facts.joints:
        if name == item:
            return joint
    for laid in facts.leads:
        if laid.lead.id == item:
            return laid.line
    if item == "junction-box" and facts.box is not None:
        return shapely.Point(facts.box)
    if item == "thermostat":
        thermostat = facts.room.thermostat
        if thermostat is not None and thermostat.room in (None, facts.id):
            at = thermostat.at or facts.box
            return None if at is None else shapely.Point(at)
    if item == "sensor" and facts.room.sensor is not None:
        return shapely.Point(facts.room.sensor.at)
    return None


def place_balloons(
    scene: Scene, findings: Iterable[ReportedFinding], taken: Taken, disliked: Taken
) -> tuple[list[Balloon], list[ReportedFinding]]:
    """Find a place for each finding's balloon; give also the findings that got none.

    A balloon covers nothing taken (lettering, signs, other balloons and their leader lines). Of
    the places left it stands in the nearest, but rather farther away than with its leader line
    through lettering or another leader line, or over the lines in `disliked`.
    """
    placed: list[Balloon] = []
    without: list[ReportedFinding] = []
    leaders = nothing_taken()
    for finding in findings:
        shape = places_of_finding(scene, finding) if len(placed) < MOST else None
        balloon = None
        if shape is not None:
            anchors = _find_anchors(scene, shape, taken, [each.anchor for each in placed])
            if len(placed) > _FEW:
                anchors = anchors[:1]
            balloon = _find_balloon(scene, finding, anchors, taken, leaders, disliked)
        if balloon is None:
            without.append(finding)
            continue
        placed.append(balloon)
        take(taken, balloon.patch)
        take(leaders, (balloon.anchor, balloon.middle))
    return placed, without


def _find_anchors(
    scene: Scene, shape: Any, taken: Taken, anchors: Sequence[Point]
) -> list[Point]:
    """List places to point at, best first: on the shape, off lettering, off other anchors."""
    bounds = scene.bounds
    ranked = []
    for place, spot in enumerate(_spots(shape)):
        x, y = scene.view.place((spot.x, spot.y))
        at = (
            min(max(x, bounds.left), bounds.right), min(max(y, bounds.top), bounds.bottom)
        )
        dot = patch_of(at[0] - 0.5, at[1] - 0.5, 1.0, 1.0)
        near = any(math.dist(at, other) < _APART for other in anchors)
        ranked.append((at != (x, y), not is_free(taken, dot), near, place, at))
    return [at for *_, at in sorted(ranked)[:_ANCHORS]]


def _spots(shape: Any) -> list[shapely.Point]:
    if shape.geom_type == "Point":
        return [shape]
    if shape.geom_type == "LineString":
        return [shape.interpolate(share, normalized=True) for share in (0.5, 0.35, 0.65, 0.2, 0.8)]
    if shape.geom_type == "Polygon":
        middle = shape.representative_point()
        low_x, low_y, high_x, high_y = shape.bounds
        spots = [middle]
        for share in (0.35, 0.65, 0.2, 0.8, 0.08, 0.92):
            spots += [
                shapely.Point(low_x + (high_x - low_x) * share, middle.y),
                shapely.Point(middle.x, low_y + (high_y - low_y) * share),
            ]
        return [spots[0], *(spot for spot in spots[1:] if shape.covers(spot))]
    # Of several parts the largest is pointed at first.
    parts = sorted(
        shape.geoms, key=lambda part: (-part.area, -part.length, part.bounds)
    )
    return [spot for part in parts[:3] for spot in _spots(part)]


def _find_balloon(
    scene: Scene,
    finding: ReportedFinding,
    anchors: Sequence[Point],
    taken: Taken,
    leaders: Taken,
    disliked: Taken,
) -> Balloon | None:
    half = _HALF[finding.severity]
    bounds = scene.bounds.inset(half, half, half, half)
    best: tuple[float, Balloon] | None = None
    for place, anchor in enumerate(anchors):
        if best is not None and best[0] < _GOOD:
            break
        # A later anchor must spare more than it is worse by.
        extra = 3.0 * place
        ring = 0
        while True:
            away = _FIRST_RING + ring * _RING
            if away > _FARTHEST or (best is not None and away + extra >= best[0]):
                break
            for middle in _round(anchor, away):
                if not _is_inside(middle, bounds):
                    continue
                patch = patch_of_balloon(finding.severity, middle, _CLEAR)
                if not is_free(taken, patch) or not is_free(leaders, patch):
                    continue
                cost = away + extra + 5.0 * min(touches(disliked, patch), 3)
                for ground, dear in ((leaders, 10.0), (taken, 14.0)):
                    if best is None or cost < best[0] - 1e-6:
                        cost += dear * touches(ground, (anchor, middle))
                if best is None or cost < best[0] - 1e-6:
                    best = (cost, Balloon(finding, middle, anchor, patch))
            ring += 1
    return None if best is None else best[1]


def _round(anchor: Point, away: float) -> Iterator[Point]:
    """Go round an anchor; upright and level leader lines, easily taken for edges, are left out."""
    for step in range(_DIRECTIONS):
        angle = 2 * math.pi * (step + 0.5) / _DIRECTIONS
        yield (anchor[0] + away * math.cos(angle), anchor[1] + away * math.sin(angle))


def _is_inside(at: Point, bounds: Box) -> bool:
    return bounds.left <= at[0] <= bounds.right and bounds.top <= at[1] <= bounds.bottom


def patch_of_balloon(severity: str, middle: Point, gap: float = 0.0) -> Patch:
    """Give what a balloon covers, grown by `gap`."""
    x, y = middle
    half = _HALF[severity] + gap
    if severity == "error":
        return ((x - half, y - half), (x + half, y - half), (x + half, y + half),
                (x - half, y + half))
    if severity == "warning":
        return ((x, y - half), (x + half, y), (x, y + half), (x - half, y))
    # An octagon about the circle.
    reach = half / math.cos(math.pi / 8)
    return tuple(
        (
            x + reach * math.cos(math.pi * (2 * step + 1) / 8),
            y + reach * math.sin(math.pi * (2 * step + 1) / 8),
        )
        for step in range(8)
    )


def draw_balloon_sign(
    severity: str, text: str, middle: Point, *, waived: bool, share: float = 1.0
) -> str:
    """Draw a balloon: square an error, diamond a warning, circle a note; dashed where waived."""
    x, y = middle
    half = _HALF[severity] * share
    colour = inks.SEVERITY_COLOURS[severity]
    is_filled = severity != "note" and not waived
    look: dict[str, str | float | None] = {
        "fill": colour if is_filled else inks.PAPER,
        "stroke": _line_colour(severity),
        "stroke_width": inks.MIDDLE,
        "stroke_dasharray": "0.9 0.6" if waived else None,
    }
    if severity == "error":
        body = tag("rect", x=x - half, y=y - half, width=2 * half, height=2 * half, **look)
    elif severity == "warning":
        body = area(
            ((x, y - half), (x + half, y), (x, y + half), (x - half, y)), **look
        )
    else:
        body = tag("circle", cx=x, cy=y, r=half, **look)
    ink = inks.PAPER if severity == "error" and is_filled else inks.INK
    return body + letters(
        text,
        (x, y + SMALL * 0.35),
        SMALL,
        anchor="middle",
        font_weight="bold",
        fill=ink,
    )


def draw_balloon(balloon: Balloon) -> str:
    """Draw a balloon with its leader line."""
    finding = balloon.finding
    ink = _line_colour(finding.severity)
    x, y = balloon.anchor
    ends = [balloon.anchor, balloon.middle]
    return group(
        tag("title", escape(clean(f"{finding.number} {finding.rule}: {finding.message}"))),
        line(ends, stroke=inks.PAPER, stroke_width=0.9, stroke_opacity=0.8),
        line(ends, stroke=ink, stroke_width=inks.FINE),
        tag("circle", cx=x, cy=y, r=0.5, fill=ink),
        draw_balloon_sign(
            finding.severity,
            str(finding.number),
            balloon.middle,
            waived=finding.waiver is not None,
        ),
        data_finding=str(finding.number),
        data_severity=finding.severity,
        class_="balloon",
    )


def _line_colour(severity: str) -> str:
    # The warning's yellow is too light for a line on white.
    return "#7a5200" if severity == "warning" else inks.SEVERITY_COLOURS[severity]


def draw_finding_shape(scene: Scene, balloon: Balloon) -> str:
    """Draw the shape of the fault itself in the colour of its severity."""
    finding = balloon.finding
    if finding.shape is None:
        return ""
    return group(
        draw_geojson(scene, finding.shape, _line_colour(finding.severity)),
        data_finding=str(finding.number),
        class_="fault",
    )


def draw_geojson(scene: Scene, shape: Mapping[str, Any], ink: str) -> str:
    """Draw a GeoJSON geometry of the room: areas tinted, lines drawn, points ringed."""
    parts: Sequence[Any] = _parts(from_geojson(dict(shape)))
    drawn = []
    for part in parts:
        if part.geom_type == "Polygon":
            drawn.append(
                area(*rings_of(scene, part), fill=ink, fill_opacity=0.22, stroke=ink,
                     stroke_width=inks.FINE)
            )
        elif part.geom_type in {"LineString", "LinearRing"}:
            drawn.append(
                line(scene.view.places(part.coords), stroke=ink, stroke_width=0.8,
                     stroke_opacity=0.6)
            )
        elif part.geom_type == "Point":
            x, y = scene.view.place((part.x, part.y))
            drawn.append(
                tag("circle", cx=x, cy=y, r=1.9, fill="none", stroke=ink, stroke_width=inks.FINE)
            )
    return "".join(drawn)


def _parts(shape: Any) -> list[Any]:
    if shape.is_empty:
        return []
    if hasattr(shape, "geoms"):
        return [part for each in shape.geoms for part in _parts(each)]
    return [shape]

