"""The arrow that points north, in a place of the drawing that nothing else needs."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from underfoot.drawing import pens
from underfoot.drawing.occupancy import (
    Patch,
    Taken,
    is_free,
    nothing_taken,
    patch_of,
    take,
    take_line,
)
from underfoot.drawing.openings import opening_lines
from underfoot.drawing.outline import wall_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.sheets import Box
from underfoot.drawing.svg import Point, area, circle, group, letter_sign, line

# How far the arrow reaches from its middle, and how far its letter does; the paper between two
# places that are tried (mm).
_ARROW, _LETTER, _STEP = 3.2, 4.6, 2.0
_REACH = _LETTER + 1.4


def draw_north(scene: Scene, taken: Taken, strokes: Iterable[Sequence[Point]]) -> str:
    """Draw the arrow to the north where it touches nothing, which place it then takes.

    It keeps off what is `taken`, and off walls, leaves and `strokes` (of dimensions). It stands as
    near to a corner of the drawing as that allows, beside the room rather than in it.
    """
    north = scene.plan.north_of(scene.facts.drawn)
    if north is None:
        return ""
    middle = _find_place(scene, taken, strokes)
    take(taken, _patch(middle))
    angle = math.radians(north)
    ahead = (math.cos(angle), -math.sin(angle))

    def at(forth: float, aside: float = 0.0) -> Point:
        return (
            middle[0] + forth * ahead[0] - aside * ahead[1],
            middle[1] + forth * ahead[1] + aside * ahead[0],
        )

    x, y = at(_LETTER)
    return group(
        circle(middle, _ARROW, fill=pens.PAPER, stroke=pens.INK, stroke_width=pens.FINE),
        line([at(-_ARROW), at(_ARROW)], stroke=pens.INK, stroke_width=pens.FINE),
        area([at(_ARROW), at(_ARROW * 0.35, 1.1), at(_ARROW * 0.35, -1.1)], fill=pens.INK),
        letter_sign("N", (x, y), pens.INK),
        class_="north",
    )  # fmt: skip


def _find_place(scene: Scene, taken: Taken, strokes: Iterable[Sequence[Point]]) -> Point:
    lines = nothing_taken()
    for way in (*strokes, *wall_lines(scene), *opening_lines(scene)):
        take_line(lines, way)
    room = shapely.Polygon(scene.view.places(scene.facts.outline.exterior.coords))
    shapely.prepare(room)
    across, down = _list_places(scene.bounds)
    is_inside = shapely.intersects_xy(room, across, down)
    for these in (~is_inside, is_inside):
        for place in zip(across[these].tolist(), down[these].tolist(), strict=True):
            patch = _patch(place)
            if is_free(taken, patch) and is_free(lines, patch):
                return place
    return (float(across[0]), float(down[0]))


def _list_places(bounds: Box) -> tuple[np.ndarray, np.ndarray]:
    """List places all over the drawing, from its corners inwards, the right upper one first."""
    left, top = bounds.left + _REACH, bounds.top + _REACH
    wide = max(0.0, bounds.right - _REACH - left)
    high = max(0.0, bounds.bottom - _REACH - top)
    rows, columns = int(high / 2 / _STEP), int(wide / 2 / _STEP)
    down, aside = (each.ravel() for each in np.mgrid[: rows + 1, : columns + 1])
    nearest = np.lexsort((down, down + aside))
    down, aside = down[nearest] * _STEP, aside[nearest] * _STEP
    right, low = left + wide - aside, top + high - down
    across = np.stack([right, left + aside, right, left + aside], axis=1)
    return across.ravel(), np.stack([top + down, top + down, low, low], axis=1).ravel()


def _patch(middle: Point) -> Patch:
    return patch_of(middle[0] - _REACH, middle[1] - _REACH, 2 * _REACH, 2 * _REACH)
