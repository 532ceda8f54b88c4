"""Doors, windows and passages by the usual signs."""

import math

import shapely
from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.labels import LONGEST, Label, size_of
from underfoot.drawing.lettering import SMALL, shorten
from underfoot.drawing.outline import WALL
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Look, Point, area, group, line
from underfoot.physics.shapes import way_inside
from underfoot.plan import Opening

# A leaf that opens away from the room is drawn no farther open than there is paper for (mm).
_MOST_OUTSIDE = 6.5
# So many stretches stand for the arc of a leaf.
_STEPS = 16


class Leaf(Struct, frozen=True, kw_only=True):
    """One leaf of a door in the room's mm: where it hangs, its edge when open, and the way there.

    `arc` leads from the closed edge to the open one.
    """

    hinge: Point
    edge: Point
    arc: tuple[Point, ...]


def find_leaves(outline: shapely.Polygon, opening: Opening, most: float) -> list[Leaf]:
    """Find how a door's leaves swing; none where it slides, or the plan does not say how it opens.

    A leaf that opens away from the room is turned until it reaches `most` mm beyond the wall.
    """
    if opening.hinge is None or opening.opens not in ("inwards", "outwards"):
        return []
    start, end = opening.line
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    pairs = {
        "from": [(start, end)], "to": [(end, start)], "both": [(start, middle), (end, middle)]
    }[opening.hinge]  # fmt: skip
    inwards = way_inside(outline, *opening.line)
    leaves = []
    for hinge, closed in pairs:
        long = math.dist(hinge, closed)
        along = ((closed[0] - hinge[0]) / long, (closed[1] - hinge[1]) / long)
        across, turn = inwards, math.pi / 2
        if opening.opens == "outwards":
            across = (-inwards[0], -inwards[1])
            turn = math.asin(min(1.0, most / long))
        arc = tuple(
            _turned(hinge, along, across, long, turn * step / _STEPS) for step in range(_STEPS + 1)
        )
        leaves.append(Leaf(hinge=hinge, edge=arc[-1], arc=arc))
    return leaves


def _turned(hinge: Point, along: Point, across: Point, long: float, turn: float) -> Point:
    a, b = long * math.cos(turn), long * math.sin(turn)
    return (hinge[0] + a * along[0] + b * across[0], hinge[1] + a * along[1] + b * across[1])


def draw_openings(scene: Scene) -> str:
    """Draw a gap in the wall for each, and in it what it is."""
    return "".join(
        group(*_draw_opening(scene, opening), data_item=opening.id, class_="opening")
        for opening in scene.facts.drawn.openings.values()
    )


def _draw_opening(scene: Scene, opening: Opening) -> list[str]:
    start, end = scene.view.places(opening.line)
    into = way_inside(scene.facts.outline, *opening.line)
    # On paper y runs down; the wall lies on the other side than the room.
    out = (-into[0] * WALL, into[1] * WALL)

    def across(share: float) -> list[Point]:
        return [(x + share * out[0], y + share * out[1]) for x, y in (start, end)]

    fine: Look = {"stroke": pens.INK, "stroke_width": pens.FINE}
    outer = across(1.0)
    gap = area([start, end, outer[1], outer[0]], fill=pens.PAPER)
    jambs = [line([start, outer[0]], **fine), line([end, outer[1]], **fine)]
    if opening.kind == "window":
        panes = [line(across(share), **fine) for share in (0.0, 0.35, 0.65, 1.0)]
        return [gap, *jambs, *panes]
    step = line([start, end], stroke=pens.INK, stroke_width=pens.HAIR, stroke_dasharray="1 0.6")
    drawn = [gap, *jambs, step]
    if opening.kind == "passage":
        return drawn
    wide: Look = {"stroke": pens.INK, "stroke_width": pens.WIDE}
    leaves = find_leaves(scene.facts.outline, opening, _MOST_OUTSIDE * scene.view.scale)
    for leaf in leaves:
        drawn.append(line(scene.view.places([leaf.hinge, leaf.edge]), **wide))
        drawn.append(line(scene.view.places(leaf.arc), stroke=pens.INK, stroke_width=pens.HAIR))
    if not leaves:
        # Closed, where it is not said how it opens; half open, where it slides.
        shift = 0.5 if opening.opens == "slides" else 0.0
        dx, dy = (end[0] - start[0]) * shift, (end[1] - start[1]) * shift
        drawn.append(line([(x + dx, y + dy) for x, y in across(0.5)], **wide))
    return drawn


def opening_lines(scene: Scene) -> list[list[Point]]:
    """Return the leaves and their arcs, that lettering keeps off."""
    return [
        scene.view.places(way)
        for leaf in _leaves_of(scene)
        for way in ((leaf.hinge, leaf.edge), leaf.arc)
    ]


def opening_leaves(scene: Scene) -> list[list[Point]]:
    """Return the leaves alone, as they stand open."""
    return [scene.view.places((leaf.hinge, leaf.edge)) for leaf in _leaves_of(scene)]


def _leaves_of(scene: Scene) -> list[Leaf]:
    most = _MOST_OUTSIDE * scene.view.scale
    return [
        leaf
        for opening in scene.facts.drawn.openings.values()
        for leaf in find_leaves(scene.facts.outline, opening, most)
    ]


def label_openings(scene: Scene) -> list[Label]:
    """Name each with its width: outside its wall, else inside."""
    labels = []
    for opening in scene.facts.drawn.openings.values():
        name = shorten(opening.id, LONGEST, SMALL, bold=True)
        versions = ((f"{name}, {written_length(opening.width)}",), (name,))
        start, end = scene.view.places(opening.line)
        into = way_inside(scene.facts.outline, *opening.line)
        middles = []
        for lines in versions:
            width, height = size_of(lines, bold_first=False)
            reach = abs(into[0]) * width / 2 + abs(into[1]) * height / 2
            for away in (-(WALL + 0.4), -(WALL + 3.4), 0.8, 3.8):
                off = away - reach if away < 0 else away + reach
                for share in (0.5, 0.25, 0.75, 0.05, 0.95):
                    middles.append(
                        (
                            start[0] + share * (end[0] - start[0]) + off * into[0],
                            start[1] + share * (end[1] - start[1]) - off * into[1],
                        )
                    )
        labels.append(
            Label(
                layer="openings",
                item=opening.id,
                versions=versions,
                middles=tuple(middles),
                bold_first=False,
            )
        )
    return labels
