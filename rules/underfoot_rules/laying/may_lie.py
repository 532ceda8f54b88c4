"""Whether strips may lie at a place, and what stands over those that do."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import RoomFacts
from underfoot.api.physics import lines, rectangles, shapes

Floats = np.ndarray


def find_fixtures_over(room: RoomFacts, clear: float) -> tuple[tuple[int, int], ...]:
    """Find the strips under fixtures on legs: strip, place in the room's fixtures.

    Fixtures that are known to leave `clear` or more open below them are passed over.
    """
    low = [
        place
        for place, (fixture, _) in enumerate(room.fixtures)
        if not fixture.is_standing and (fixture.clear is None or fixture.clear < clear)
    ]
    if not low or not room.elements:
        return ()
    over = np.array([room.fixtures[place][1] for place in low], dtype=object)
    pairs, _ = shapes.lying_on(room.strips, over)
    return tuple((int(strip), low[int(which)]) for strip, which in pairs)


def may_lie(
    room: RoomFacts,
    corners: Floats,
    from_wall: float,
    from_fixture: float,
    apart_from: Collection[int] = (),
    low: Sequence[Any] = (),
) -> np.ndarray:
    """Tell which rectangles (k, 4, 2) strips could take: clear of walls, fixtures, strips, joints.

    `apart_from` are the places of strips that would no longer lie where they do, `low` further
    areas that nothing may lie under.
    """
    areas = rectangles.polygons(corners)
    good: np.ndarray = shapes.inside(areas, room.outline)
    good &= shapes.edge_distances(areas, room.outline) >= from_wall - rectangles.SAME
    for fixture, polygon in room.fixtures:
        if fixture.keeps_strips_off:
            least = fixture.keep_free(from_fixture)
            good &= shapely.distance(areas, polygon) >= least - rectangles.SAME
    if not good.any():
        return good
    near, strips = room.tree.query(areas, predicate="intersects")
    others = ~np.isin(strips, list(apart_from)) & good[near]
    near, strips = near[others], strips[others]
    if len(near):
        shared = shapely.intersection(areas[near], room.strips[strips], grid_size=rectangles.GRID)
        good[near[shapes.least_width(shared) > rectangles.EDGE]] = False
    if len(low):
        pairs, _ = shapes.lying_on(areas, np.array(low, dtype=object))
        good[pairs[:, 0]] = False
    if room.joints:
        joints = np.array([line for _, line in room.joints], dtype=object)
        pairs, lengths = lines.lengths_under(joints, corners)
        good[pairs[lengths > rectangles.EDGE, 1]] = False
    return good
