"""The signs of findings: a balloon's shape by severity, and the fault's own shape."""

import math
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from shapely.geometry import shape as from_geojson

from underfoot.checking.report import ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.occupancy import Patch, patch_of
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, Point, area, box, circle, letter_sign, line

# Half the size of a balloon, by severity: a square, a diamond and a circle.
HALF = {"error": 3.8, "warning": 5.4, "note": 4.2}
# A line at fault shows on both sides of the lead that is drawn over it, ground and all.
_BAND = 2.4
# What is no wider than this at fault is not to be written on (mm on paper).
_SMALL_AREA = 8.0


def patch_of_balloon(severity: str, middle: Point, gap: float = 0.0) -> Patch:
    """Return what a balloon covers, grown by `gap`."""
    x, y = middle
    half = HALF[severity] + gap
    if severity == "error":
        return (
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        )
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
    half = HALF[severity] * share
    colour = pens.SEVERITY_COLOURS[severity]
    is_filled = severity != "note" and not waived
    look: Look = {
        "fill": colour if is_filled else pens.PAPER,
        "stroke": line_colour(severity),
        "stroke_width": pens.MIDDLE,
        "stroke_dasharray": "0.9 0.6" if waived else None,
    }
    if severity == "error":
        body = box(x - half, y - half, 2 * half, 2 * half, **look)
    elif severity == "warning":
        body = area(((x, y - half), (x + half, y), (x, y + half), (x - half, y)), **look)
    else:
        body = circle((x, y), half, **look)
    ink = pens.PAPER if severity == "error" and is_filled else pens.INK
    return body + letter_sign(text, middle, ink)


def line_colour(severity: str) -> str:
    """Return the colour of a severity's lines."""
    # The warning's yellow is too light for a line on white.
    return "#7a5200" if severity == "warning" else pens.SEVERITY_COLOURS[severity]


def draw_geojson(scene: Scene, shape: Mapping[str, Any], ink: str) -> str:
    """Draw a GeoJSON geometry of the room: areas tinted, lines drawn, points ringed."""
    parts = _parts(from_geojson(dict(shape)))
    drawn = []
    for part in parts:
        if part.geom_type == "Polygon":
            look: Look = {"fill": ink, "fill_opacity": 0.22, "stroke": ink}
            drawn.append(area(*rings_of(scene, part), **look, stroke_width=pens.FINE))
        elif part.geom_type in {"LineString", "LinearRing"}:
            look = {"stroke": ink, "stroke_width": _BAND, "stroke_opacity": 0.5}
            drawn.append(line(scene.view.places(part.coords), **look, stroke_linecap="butt"))
        elif part.geom_type == "Point":
            x, y = scene.view.place((part.x, part.y))
            drawn.append(circle((x, y), 1.9, fill="none", stroke=ink, stroke_width=pens.FINE))
    return "".join(drawn)


def evidence_patches(scene: Scene, findings: Iterable[ReportedFinding]) -> Iterator[Patch]:
    """Yield what lettering must not hide: points, lines and small areas at fault."""
    for finding in findings:
        if finding.shape is None or finding.room != scene.facts.id:
            continue
        for part in _parts(from_geojson(dict(finding.shape))):
            if part.geom_type == "Point":
                x, y = scene.view.place((part.x, part.y))
                yield patch_of(x - 1.9, y - 1.9, 3.8, 3.8)
            elif part.geom_type == "LineString":
                yield from pairwise(scene.view.places(part.coords))
            elif part.geom_type == "Polygon":
                corners = rings_of(scene, part.minimum_rotated_rectangle)
                if corners and len(corners[0]) == 4:
                    sides = sorted(math.dist(*side) for side in pairwise(corners[0]))
                    if sides[0] <= _SMALL_AREA:
                        yield tuple(corners[0])


def _parts(shape: Any) -> list[Any]:
    if shape.is_empty:
        return []
    if hasattr(shape, "geoms"):
        return [part for each in shape.geoms for part in _parts(each)]
    return [shape]
