"""Dimensions below and left of the room: where the strips lie, the outline's corners, overall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underfoot.checking.facts import RoomFacts
from underfoot.reporting.drawing import inks
from underfoot.reporting.drawing.lettering import SMALL, width_of
from underfoot.reporting.drawing.marks import Point, group, letters, line
from underfoot.reporting.drawing.scene import Scene
from underfoot.reporting.drawing.strips import written_length
from underfoot.reporting.drawing.taken import Patch, turned_patch

# From the lowest or leftmost thing drawn to the first chain, and from chain to chain.
FIRST = 11.0
NEXT = 7.0
# More corners than this are not strung together: the drawing would hold nothing but figures.
_MOST_STOPS = 14
_TICK = 1.0


@dataclass(frozen=True, slots=True)
class Chain:
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
                chains.append(Chain(along_x, stops, level))
                level += 1
        corners = _apart([corner[axis] for corner in facts.room.outline])
        if 2 < len(corners) <= _MOST_STOPS:
            chains.append(Chain(along_x, corners, level))
            level += 1
        chains.append(Chain(along_x, (low, high), level))
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
    patches: list[Patch] = []
    lines: list[list[Point]] = []
    for chain in chains:
        marks, covered, way = _draw_chain(scene, chain)
        drawn.append(marks)
        patches += covered
        lines.append(way)
    return "".join(drawn), patches, lines


def _draw_chain(scene: Scene, chain: Chain) -> tuple[str, list[Patch], list[Point]]:
    extent = scene.facts.outline.bounds
    corner = scene.view.place(extent[:2])
    away = FIRST + chain.level * NEXT
    base = corner[1] + away if chain.along_x else corner[0] - away
    spots = [
        scene.view.place((stop, 0.0))[0] if chain.along_x else scene.view.place((0.0, stop))[1]
        for stop in chain.stops
    ]

    def at(spot: float, off: float = 0.0) -> Point:
        return (spot, base + off) if chain.along_x else (base + off, spot)

    marks = [line([at(spots[0]), at(spots[-1])])]
    # Extension lines start a little off the room and end a little past the chain.
    near = -away + 4.0 if chain.along_x else away - 4.0
    far = 1.2 if chain.along_x else -1.2
    for spot in spots:
        x, y = at(spot)
        marks.append(line([at(spot, near), at(spot, far)]))
        marks.append(
            line([(x - _TICK, y + _TICK), (x + _TICK, y - _TICK)], stroke_width=inks.MIDDLE)
        )
    figures: list[str] = []
    patches: list[Patch] = []
    for place in range(len(spots) - 1):
        length = chain.stops[place + 1] - chain.stops[place]
        text = written_length(length)
        middle = _figure_place(spots, place, width_of(text, SMALL))
        spot, off = middle
        x, y = at(spot, off)
        turn = 0.0 if chain.along_x else -90.0
        patch = turned_patch((x, y), width_of(text, SMALL) + 0.8, SMALL * 1.05, turn)
        patches.append(patch)
        drop = SMALL * 0.35
        baseline = (x, y + drop) if chain.along_x else (x + drop, y)
        figures.append(
            letters(text, baseline, SMALL, anchor="middle", turn=turn, class_="figure")
        )
    return (
        group(
            group(*marks, stroke=inks.INK, stroke_width=inks.HAIR, class_="chain"),
            group(*figures, fill=inks.INK),
        ),
        patches,
        [at(spots[0]), at(spots[-1])],
    )


def _figure_place(spots: list[float], place: int, width: float) -> tuple[float, float]:
    """Find where along and beside the chain a figure stands; above its line, if it fits."""
    start, end = spots[place], spots[place + 1]
    middle = (start + end) / 2
    above = -1.9
    if abs(end - start) >= width + 1.2:
        return (middle, above)
    way = 1 if end > start else -1
    if place == 0:
        return (start - way * (width / 2 + 1.4), above)
    if place == len(spots) - 2:
        return (end + way * (width / 2 + 1.4), above)
    return (middle, 2.2)

