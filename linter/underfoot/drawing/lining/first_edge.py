"""Where to begin with boards or sheets in a turned room: an edge that the walls themselves give."""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.lining import CLOSE
from underfoot.drawing.chains import wall_at
from underfoot.drawing.tape import NEAR, Measure, Wanted

# Of more boards than these none lies along a longer edge worth looking for.
_MOST = 400


def set_out_first_edge(facts: RoomFacts, corners: Any, layer: str, what: str) -> Iterator[Wanted]:
    """Measure, along the walls, where the longest long edge of boards or sheets meets them.

    Where the first board along it begins is measured from there.
    """
    edge = _longest_edge(facts, corners)
    if edge is None:
        return
    ways = []
    for at in edge.coords:
        wall = wall_at(facts, at)
        if wall is not None:
            ways.append((min(wall, key=lambda end: math.dist(end, at)), at))
    begun, starts = edge.coords[0], corners[:, 0]
    on_it = starts[shapely.distance(edge, shapely.points(starts)) < NEAR].tolist()
    away = [(math.dist(begun, at), at) for at in on_it if math.dist(begun, at) > NEAR]
    ways += [(begun, min(away)[1])] if away else []
    for number, ((x, y), (u, v)) in enumerate(ways, 1):
        way = Measure(start=(x, y), end=(u, v), may_shift=False)
        if way.length > NEAR:
            yield Wanted(layer=layer, item=what, what=f"{what}, {number}", ways=(way,))


def _longest_edge(facts: RoomFacts, corners: Any) -> Any:
    """Find the first of the longest lines over the floor that a long edge lies on."""
    low, high = np.array(facts.outline.bounds[:2]), np.array(facts.outline.bounds[2:])
    best = None
    for ring in corners[:_MOST]:
        long = ring[1] - ring[0]
        reach = long / np.hypot(*long) * 2 * np.hypot(*(high - low))
        line = shapely.LineString([ring[0] - reach, ring[0] + reach])
        across = shapely.intersection(facts.outline, line)
        for part in getattr(across, "geoms", [across]):
            if part.geom_type == "LineString" and (
                best is None or part.length > best.length + CLOSE
            ):
                best = part
    return best
