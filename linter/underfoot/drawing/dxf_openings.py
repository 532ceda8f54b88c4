"""Doors, windows and passages, and the arrow to the north, in DXF."""

import math
from typing import Any

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.dxf_marks import LETTERS, SMALL_LETTERS, draw_line, draw_ring, write
from underfoot.drawing.openings import find_leaves
from underfoot.drawing.strips import written_length
from underfoot.physics.shapes import way_inside

_LAYER = "openings"
# How deep a wall is drawn; how long the arrow is, and how far it stands off the room.
_DEEP = 100.0
_ARROW = 400.0


def draw_openings(space: Any, facts: RoomFacts) -> None:
    """Draw each as its gap in the wall, a door with its leaves and their arcs."""
    for opening in facts.drawn.openings.values():
        (x, y), (u, v) = opening.line
        into = way_inside(facts.outline, *opening.line)
        back = (-into[0] * _DEEP, -into[1] * _DEEP)
        name = f"{opening.kind} {opening.id}"
        corners = [(x, y), (u, v), (u + back[0], v + back[1]), (x + back[0], y + back[1])]
        draw_ring(space, corners, _LAYER, name)
        if opening.kind == "window":
            for share in (0.35, 0.65):
                pane = [(px + share * back[0], py + share * back[1]) for px, py in opening.line]
                draw_line(space, pane, _LAYER, name)
        for leaf in find_leaves(facts.outline, opening, math.inf):
            draw_line(space, [leaf.hinge, leaf.edge], _LAYER, f"leaf of {opening.id}")
            draw_line(space, leaf.arc, _LAYER, f"swing of {opening.id}")
        words = f"{opening.id} {written_length(opening.width)}"
        at = ((x + u) / 2 + 1.5 * back[0], (y + v) / 2 + 1.5 * back[1])
        write(space, words, at, _LAYER, SMALL_LETTERS)


def draw_north(space: Any, facts: RoomFacts, north: float | None) -> None:
    """Draw an arrow to the north above the room's right corner; nothing where it is not given."""
    if north is None:
        return
    angle = math.radians(north)
    ahead = (math.cos(angle), math.sin(angle))
    _, _, most_x, most_y = facts.outline.bounds
    x, y = most_x + 2 * _ARROW, most_y + _ARROW

    def at(forth: float, aside: float = 0.0) -> tuple[float, float]:
        return (
            x + _ARROW * (forth * ahead[0] - aside * ahead[1]),
            y + _ARROW * (forth * ahead[1] + aside * ahead[0]),
        )

    draw_line(space, [at(-0.5), at(0.5)], _LAYER, "north")
    draw_line(space, [at(0.2, 0.12), at(0.5), at(0.2, -0.12)], _LAYER, "north")
    write(space, "N", at(0.75), _LAYER, LETTERS)
