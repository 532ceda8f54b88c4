"""Dimensions below and left of the room: where the strips lie, the outline's corners, overall."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing import pens
from underfoot.drawing.lettering import SMALL, width_of
from underfoot.drawing.occupancy import (
    Patch,
    is_free,
    nothing_taken,
    take,
    turned_patch,
)
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Point, group, letters, line

# From the lowest or leftmost thing drawn to the first chain, and from chain to chain.
FIRST = 11.0
NEXT = 7.0
# More corners than this are not strung together: the drawing would hold nothing but figures.
_MOST_STOPS = 14
_TICK = 1.0
# So much stays free between a figure and a line beside it.
_CLEAR = 0.6


class Chain(Struct, frozen=True, kw_only=True):
    """A row of dimensions along one axis; `stops` are the room's coordinates, ascending."""

    along_x: bool
    stops: tuple[float, ...]
    level: int


def find_chains(facts: RoomFacts) -> list[Chain]:
    """Choose what to dimension: strips from the walls, corners of the outline, overall size."""
    chains: list[Chain] = []
    low_x, low_y, high_x, high_y = facts.outline.bounds
    for axis, low, high in ((0, low_x, high_x), (1, low_y, high_y)):
        level = 0
        along_x = axis == 0
        if facts.elements and not any(e.angle_deg % 90 for e in facts.elements):
            reach = facts.corners[:, :, axis]
            stops = _apart([low, float(reach.min()), float(reach.max()), high])
            if len(stops) > 2:
                chains.append(Chain(along_x=along_x, stops=stops, level=level))
                level += 1
        corners = _apart([corner[axis] for corner in facts.drawn.outline])
        if 2 < len(corners) <= _MOST_STOPS:
            chains.append(Chain(along_x=along_x, stops=corners, level=level))
            level += 1
        chains.append(Chain(along_x=along_x, stops=(low, high), level=level))
    return chains


def depth_of_chains(chains: Sequence[Chain]) -> float:
    """Give how much paper the chains along one axis need beside the room."""
    return FIRST + NEXT * (len(chains) - 1) + 5.0


def _apart(values: list[float]) -> tuple[float, ...]:
    stops: list[float] = []
    for value in sorted(values):
        if not stops or value - stops[-1] > 0.05:
            stops.append(value)
    return tuple(stops)


def draw_chains(scene: Scene, chains: list[Chain]) -> tuple[str, list[Patch], list[list[Point]]]:
    """Draw the chains; give also what their figures cover, and their lines."""
    drawn: list[str] = []
    lines: list[list[Point]] = []
    placed: list[Patch] = []
    for chain in chains:
        spots = _spots(scene, chain)
        base = _base(scene, chain)
        lines.append([_at(chain, base, spots[0]), _at(chain, base, spots[-1])])
        farther = [
            spot
            for other in chains
            if other.along_x == chain.along_x and other.level > chain.level
            for spot in _spots(scene, other)
        ]
        figures = _place_figures(chain, base, spots, farther, placed)
        placed += [patch for _, _, patch in figures]
        drawn.append(
            _draw_marks(chain, base, spots)
            + group(*(_draw_figure(chain, text, at) for text, at, _ in figures), fill=pens.INK)
        )
    return "".join(drawn), placed, lines


def _base(scene: Scene, chain: Chain) -> float:
    """Find where on paper a chain's line lies: beyond all that is drawn on its side."""
    x, y = scene.view.place(scene.extent[:2])
    away = FIRST + chain.level * NEXT
    return y + away if chain.along_x else x - away


def _spots(scene: Scene, chain: Chain) -> list[float]:
    if chain.along_x:
        return [scene.view.place((stop, 0.0))[0] for stop in chain.stops]
    return [scene.view.place((0.0, stop))[1] for stop in chain.stops]


def _at(chain: Chain, base: float, spot: float, off: float = 0.0) -> Point:
    return (spot, base + off) if chain.along_x else (base + off, spot)


def _draw_marks(chain: Chain, base: float, spots: list[float]) -> str:
    """Draw the line, the strokes on it, and the lines that lead to it from the room."""
    away = FIRST + chain.level * NEXT
    near = 4.0 - away if chain.along_x else away - 4.0
    far = 1.2 if chain.along_x else -1.2
    marks = [line([_at(chain, base, spots[0]), _at(chain, base, spots[-1])])]
    for spot in spots:
        x, y = _at(chain, base, spot)
        marks.append(line([_at(chain, base, spot, near), _at(chain, base, spot, far)]))
        marks.append(
            line([(x - _TICK, y + _TICK), (x + _TICK, y - _TICK)], stroke_width=pens.MIDDLE)
        )
    return group(*marks, stroke=pens.INK, stroke_width=pens.HAIR, class_="chain")


def _place_figures(
    chain: Chain, base: float, spots: list[float], farther: list[float], placed: list[Patch]
) -> list[tuple[str, Point, Patch]]:
    """Give each figure its middle; one that would cover another in every place is left out.

    At `farther` the lines that lead to other chains cross this one.
    """
    figures: list[tuple[str, Point, Patch]] = []
    taken = nothing_taken(placed)
    turn = 0.0 if chain.along_x else -90.0
    for place in range(len(spots) - 1):
        text = written_length(chain.stops[place + 1] - chain.stops[place])
        wide = width_of(text, SMALL)
        for spot, off in _figure_places(spots, place, wide, farther):
            at = _at(chain, base, spot, off)
            patch = turned_patch(at, wide + 0.8, SMALL * 1.05, turn)
            if is_free(taken, patch):
                take(taken, patch)
                figures.append((text, at, patch))
                break
    return figures


def _figure_places(
    spots: list[float], place: int, width: float, farther: Sequence[float]
) -> list[tuple[float, float]]:
    """List places for a figure: over its line, else over an end of the chain, else under."""
    start, end = spots[place], spots[place + 1]
    middle = (start + end) / 2
    above, below = -1.9, 2.2
    if abs(end - start) >= width + 1.2:
        return [(_beside_lines(start, end, width, farther), above), (middle, below)]
    way = 1 if end > start else -1
    places = []
    if place == 0:
        places.append((start - way * (width / 2 + 1.4), above))
    if place == len(spots) - 2:
        places.append((end + way * (width / 2 + 1.4), above))
    return [*places, (middle, below)]


def _beside_lines(start: float, end: float, width: float, lines: Sequence[float]) -> float:
    """Find the middle of a figure between two spots that no line runs through, if there is one."""
    middle, half = (start + end) / 2, width / 2 + _CLEAR
    tried = [middle, *(line + way * half for line in lines for way in (-1, 1))]
    low, high = sorted((start, end))
    fit = [
        spot
        for spot in tried
        if low + half <= spot <= high - half
        and all(abs(spot - line) >= half - 1e-9 for line in lines)
    ]
    return min(fit, key=lambda spot: abs(spot - middle), default=middle)


def _draw_figure(chain: Chain, text: str, at: Point) -> str:
    x, y = at
    drop = SMALL * 0.35
    if chain.along_x:
        return letters(text, (x, y + drop), SMALL, anchor="middle", class_="figure")
    return letters(text, (x + drop, y), SMALL, anchor="middle", turn=-90.0, class_="figure")
