"""How long the walls askew are, beside them: the rows of dimensions along x and y do not say it."""

import math
from itertools import pairwise

from underfoot.drawing.labels import Label, size_of
from underfoot.drawing.outline import WALL
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import whole_length
from underfoot.physics.shapes import way_inside

# Shorter stretches are the facets of a curve, or read off the rows; a room of more walls askew than
# this is one (mm, and how many).
_SHORTEST, _MOST = 200.0, 24
_SQUARE = 1.0


def label_walls(scene: Scene) -> list[Label]:
    """Write along each wall askew how long it is from corner to corner, as a tape reads it."""
    outline = scene.facts.outline
    askew = [
        (start, end)
        for start, end in pairwise(outline.exterior.coords)
        if min(abs(end[0] - start[0]), abs(end[1] - start[1])) > _SQUARE
        and math.dist(start, end) >= _SHORTEST
    ]
    labels = []
    for start, end in askew if len(askew) <= _MOST else ():
        lines = (f"wall {math.dist(start, end):.0f}",)
        _, height = size_of(lines, bold_first=False)
        (x, y), (u, v) = scene.view.places((start, end))
        into = way_inside(outline, start, end)
        turn = math.degrees(math.atan2(v - y, u - x))
        middles = [
            (x + share * (u - x) + off * into[0], y + share * (v - y) - off * into[1])
            for off in (-WALL - height / 2 - 0.3, -WALL - height / 2 - 3.5, height / 2 + 0.6)
            for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
        ]
        ends = " to ".join(f"[{whole_length(a)}, {whole_length(b)}]" for a, b in (start, end))
        labels.append(
            Label(
                layer="dimensions",
                item=f"wall from {ends}",
                versions=(lines,),
                middles=tuple(middles),
                turn_deg=turn - 180.0 * round(turn / 180.0),
                bold_first=False,
                words=f"{math.dist(start, end):.0f} long",
            )
        )
    return labels
