"""Findings as numbered balloons, joined to their places by leader lines."""

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace
from shapely.geometry import shape as from_geojson

from underfoot.checking.report import ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.anchors import find_anchors, find_place
from underfoot.drawing.finding_signs import (
    HALF,
    draw_balloon_sign,
    draw_geojson,
    line_colour,
    patch_of_balloon,
)
from underfoot.drawing.occupancy import (
    Patch,
    Taken,
    is_free,
    nothing_taken,
    take,
    touches,
)
from underfoot.drawing.offers import draw_cold
from underfoot.drawing.scene import Scene
from underfoot.drawing.sheets import Box
from underfoot.drawing.svg import Point, circle, clean, escape, group, line, tag

_CLEAR = 0.5
_DIRECTIONS = 20
# How far from its place a balloon may stand: close by in small steps, farther off in larger ones.
_RINGS = tuple(8.5 * 1.2**step for step in range(12))
# A place that costs less crosses nothing and is near enough: no other end is tried.
_GOOD = 16.0
# Among so many balloons each may point at one place alone, for the sake of time.
_FEW = 30
# More than these could not be told apart on a sheet.
MOST = 60


class Balloon(Struct, frozen=True, kw_only=True):
    """A finding's number at `middle`, pointing at `anchor`."""

    finding: ReportedFinding
    middle: Point
    anchor: Point
    patch: Patch


class _Grounds(Struct, frozen=True, kw_only=True):
    """What balloons keep off: lettering and signs, each other, leader lines; rather also lines."""

    taken: Taken
    lettering: Taken
    balloons: Taken
    leaders: Taken
    disliked: Taken


def place_balloons(
    scene: Scene,
    findings: Iterable[ReportedFinding],
    taken: Taken,
    lettering: Taken,
    disliked: Taken,
    firm: Taken,
) -> tuple[list[Balloon], list[ReportedFinding]]:
    """Find a place for each finding's balloon; give also the findings that got none.

    A balloon covers nothing taken (lettering, signs, dimension lines) and no other balloon or
    leader line, nor does its own leader line cross a balloon, `lettering` or another leader line.
    Where there is no such place it covers dimension lines, all that is not in `firm`; where there
    is none either, its leader line crosses what is in its way. Of the places left it stands in the
    nearest, but rather farther away than over the lines in `disliked`.
    """
    shapes = [(finding, find_place(scene.facts, finding)) for finding in findings]
    without = [finding for finding, shape in shapes if shape is None]
    shown = [(finding, shape) for finding, shape in shapes if shape is not None]
    without += (finding for finding, _ in shown[MOST:])
    leaders, balloons = nothing_taken(), nothing_taken()
    grounds = _Grounds(
        taken=taken, lettering=lettering, balloons=balloons, leaders=leaders, disliked=disliked
    )
    found: dict[int, Balloon] = {}
    # A point has one place to be pointed at, and so the least choice: it is first.
    order = sorted(enumerate(shown[:MOST]), key=lambda each: each[1][1].geom_type != "Point")
    for tried, (place, (finding, shape)) in enumerate(order):
        anchors = find_anchors(scene, shape, taken, [each.anchor for each in found.values()])
        if tried >= _FEW:
            anchors = anchors[:1]
        firmly = replace(grounds, taken=firm)
        over_lines = replace(grounds, taken=lettering)
        balloon = (
            _find_balloon(scene, finding, anchors, grounds)
            or _find_balloon(scene, finding, anchors, firmly)
            or _find_balloon(scene, finding, anchors, grounds, may_cross=True)
            or _find_balloon(scene, finding, anchors, over_lines, may_cross=True)
        )
        if balloon is None:
            without.append(finding)
            continue
        found[place] = balloon
        take(balloons, balloon.patch)
        take(leaders, (balloon.anchor, balloon.middle))
    return [found[place] for place in sorted(found)], without


def _find_balloon(
    scene: Scene,
    finding: ReportedFinding,
    anchors: Sequence[Point],
    grounds: _Grounds,
    *,
    may_cross: bool = False,
) -> Balloon | None:
    half = HALF[finding.severity]
    bounds = scene.bounds.inset(half, half, half, half)
    best: tuple[float, Balloon] | None = None
    for place, anchor in enumerate(anchors):
        if best is not None and best[0] < _GOOD:
            break
        # A later anchor must spare more than it is worse by.
        extra = 3.0 * place
        for away in _RINGS:
            if best is not None and away + extra >= best[0]:
                break
            for middle in _round(anchor, away):
                if not _is_inside(middle, bounds):
                    continue
                patch = patch_of_balloon(finding.severity, middle, _CLEAR)
                leader = (anchor, middle)
                if not (
                    is_free(grounds.taken, patch)
                    and is_free(grounds.balloons, patch)
                    and is_free(grounds.leaders, patch)
                    and is_free(grounds.balloons, leader)
                ):
                    continue
                if not may_cross and not (
                    is_free(grounds.leaders, leader) and is_free(grounds.lettering, leader)
                ):
                    continue
                cost = away + extra + 5.0 * min(touches(grounds.disliked, patch), 3)
                for ground, dear in ((grounds.leaders, 10.0), (grounds.lettering, 25.0)):
                    if best is None or cost < best[0] - 1e-6:
                        cost += dear * touches(ground, leader)
                if best is None or cost < best[0] - 1e-6:
                    best = (
                        cost,
                        Balloon(finding=finding, middle=middle, anchor=anchor, patch=patch),
                    )
    return None if best is None else best[1]


def _round(anchor: Point, away: float) -> Iterator[Point]:
    """Go round an anchor; upright and level leader lines, easily taken for edges, are left out."""
    for step in range(_DIRECTIONS):
        angle = 2 * math.pi * (step + 0.5) / _DIRECTIONS
        yield (anchor[0] + away * math.cos(angle), anchor[1] + away * math.sin(angle))


def _is_inside(at: Point, bounds: Box) -> bool:
    return bounds.left <= at[0] <= bounds.right and bounds.top <= at[1] <= bounds.bottom


def draw_leader(balloon: Balloon) -> str:
    """Draw the line from a balloon's middle to its place."""
    finding = balloon.finding
    ink = line_colour(finding.severity)
    x, y = balloon.anchor
    ends = [balloon.anchor, balloon.middle]
    return group(
        line(ends, stroke=pens.PAPER, stroke_width=0.9, stroke_opacity=0.8),
        line(ends, stroke=ink, stroke_width=pens.FINE),
        circle((x, y), 0.5, fill=ink),
        data_finding=str(finding.number),
        class_="leader",
    )


def draw_balloon(balloon: Balloon) -> str:
    """Draw a balloon; its words are what a pointer over it shows."""
    finding = balloon.finding
    return group(
        tag("title", escape(clean(f"{finding.number} {finding.rule}: {finding.message}"))),
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


def draw_finding_shape(scene: Scene, balloon: Balloon) -> str:
    """Draw the shape of the fault itself in the colour of its severity."""
    finding = balloon.finding
    # What it offers is drawn as an offer.
    if finding.shape is None or finding.shape == finding.offer:
        return ""
    ink = line_colour(finding.severity)
    return group(
        draw_cold(scene, from_geojson(dict(finding.shape)), ink)
        if finding.is_cold
        else draw_geojson(scene, finding.shape, ink),
        data_finding=str(finding.number),
        class_="fault",
    )
