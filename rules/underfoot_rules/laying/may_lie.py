"""Whether strips may lie at a place, and what stands over those that do."""

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
    good = _within_bounds(room, corners, from_wall)
    left = np.flatnonzero(good)
    if len(left):
        good[left] = _may_lie_inside(room, corners[left], from_wall, from_fixture, apart_from, low)
    return good


def _within_bounds(room: RoomFacts, corners: Floats, from_wall: float) -> np.ndarray:
    """Tell which rectangles do not surely come too near to a wall; the least look there is."""
    least = from_wall - 2 * rectangles.EDGE
    left, low, right, high = room.outline.bounds
    first, last = corners.min(axis=1), corners.max(axis=1)
    within: np.ndarray = (first >= (left + least, low + least)).all(axis=1)
    within &= (last <= (right - least, high - least)).all(axis=1)
    return within


def _may_lie_inside(
    room: RoomFacts,
    corners: Floats,
    from_wall: float,
    from_fixture: float,
    apart_from: Collection[int],
    low: Sequence[Any],
) -> np.ndarray:
    areas = rectangles.polygons(corners)
    good: np.ndarray = shapes.edge_distances(areas, room.outline) >= from_wall - rectangles.SAME
    for fixture, polygon in room.fixtures:
        if fixture.keeps_strips_off:
            least = fixture.keep_free(from_fixture)
            good &= shapely.distance(areas, polygon) >= least - rectangles.SAME
    left = np.flatnonzero(good)
    if len(left):
        good[left] = shapes.inside(areas[left], room.outline)
    if not good.any():
        return good
    near, strips = room.tree.query(areas, predicate="intersects")
    others = ~np.isin(strips, list(apart_from)) & good[near]
    near, strips = near[others], strips[others]
    if len(near):
        good[near[_share_floor(room, areas, near, strips)]] = False
    if len(low):
        pairs, _ = shapes.lying_on(areas, np.array(low, dtype=object))
        good[pairs[:, 0]] = False
    if room.joints:
        joints = np.array([line for _, line in room.joints], dtype=object)
        pairs, lengths = lines.lengths_under(joints, corners)
        good[pairs[lengths > rectangles.EDGE, 1]] = False
    return good


def _share_floor(
    room: RoomFacts, areas: np.ndarray, near: np.ndarray, strips: np.ndarray
) -> np.ndarray:
    """Tell which areas share floor with strips of the room, wider than an edge; pairs (m,) each.

    What boxes round the two hardly share, they do not share either; upright they are boxes.
    """
    one, other = shapely.bounds(areas[near]), shapely.bounds(room.strips[strips])
    shared = (np.minimum(one[:, 2:], other[:, 2:]) - np.maximum(one[:, :2], other[:, :2])).min(1)
    sharing: np.ndarray = shared > rectangles.EDGE - rectangles.SAME
    unsure = sharing
    if room.is_upright:
        is_box = shapely.area(shapely.envelope(areas)) - shapely.area(areas) < rectangles.EDGE**2
        unsure = sharing & ~(is_box[near] & (shared > rectangles.EDGE + rectangles.SAME))
    which = np.flatnonzero(unsure)
    if len(which):
        cut = shapely.intersection(
            areas[near[which]], room.strips[strips[which]], grid_size=rectangles.GRID
        )
        sharing[which] = shapes.least_width(cut) > rectangles.EDGE
    return sharing
