"""The facts of laying: gaps between strips, what lies over them, and whether a place would do."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely

from underfoot.checking.facts.room import OpenFloor, RoomFacts
from underfoot.physics import lines, neighbours, rectangles, shapes
from underfoot.physics.rectangles import EDGE, GRID, SAME

Floats = np.ndarray


class StripGap(NamedTuple):
    """A gap between two strips, by their places: its width, its length and its shape."""

    first: int
    second: int
    width: float
    facing: float
    shape: Any


class Coverage(NamedTuple):
    """How much of the floor that could be heated is: `share` in percent."""

    share: float
    reachable_m2: float
    floor: OpenFloor

    @property
    def cold(self) -> Any:
        """What stays cold."""
        return self.floor.cold


def find_strip_gaps(
    room: RoomFacts, tolerance: float, up_to: float, facing: float, legs: float
) -> tuple[StripGap, ...]:
    """Find the gaps wider than `tolerance` and narrower than `up_to` between long sides.

    The sides face each other over at least `facing`. A gap with a third strip, a joint, a standing
    fixture, one on legs lower than `legs` or a wall in it has a reason, and is none.
    """
    found = neighbours.gaps_between(room.corners, up_to, tolerance + SAME)
    held = (found.gap < up_to - SAME) & (found.facing >= facing - SAME)
    if not held.any():
        return ()
    corners = found.corners
    things = [
        room.strips,
        np.array([line for _, line in room.joints], dtype=object),
        np.array(
            [polygon for _, polygon in (*room.standing, *room.low_fixtures(legs))], dtype=object
        ),
    ]
    places = np.flatnonzero(held)
    for kind in things:
        met = neighbours.met_by(corners[places], kind)
        places = np.delete(places, np.unique(met[:, 0]))
    areas = rectangles.polygons(corners[places])
    open_floor = shapes.inside(areas, room.outline)
    return tuple(
        StripGap(
            int(found.pairs[place, 0]),
            int(found.pairs[place, 1]),
            float(found.gap[place]),
            float(found.facing[place]),
            area,
        )
        for place, area, is_open in zip(places, areas, open_floor, strict=True)
        if is_open
    )


def find_joints_under(room: RoomFacts) -> tuple[tuple[int, int, float], ...]:
    """Find the movement joints that cross strips: strip, joint, length of joint under it."""
    if not room.joints or not room.elements:
        return ()
    joints = np.array([line for _, line in room.joints], dtype=object)
    pairs, lengths = lines.lengths_under(joints, room.corners)
    return tuple(
        (int(strip), int(joint), float(length))
        for (joint, strip), length in zip(pairs, lengths, strict=True)
    )


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


def measure_coverage(
    room: RoomFacts, from_wall: float, from_fixture: float, legs: float
) -> Coverage:
    """Measure the heated share of the floor that lies so far from walls and standing fixtures.

    What lies under a fixture on legs lower than `legs` does not count.
    """
    floor = room.open_floor(from_wall, from_fixture, legs)
    if floor.area <= EDGE:
        return Coverage(0.0, 0.0, floor)
    return Coverage(100.0 * (1.0 - floor.cold_area / floor.area), floor.area / 1e6, floor)


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
    good &= shapes.edge_distances(areas, room.outline) >= from_wall - SAME
    for fixture, polygon in room.fixtures:
        if fixture.keeps_strips_off:
            least = fixture.keep_free(from_fixture)
            good &= shapely.distance(areas, polygon) >= least - SAME
    if not good.any():
        return good
    near, strips = room.tree.query(areas, predicate="intersects")
    others = ~np.isin(strips, list(apart_from)) & good[near]
    near, strips = near[others], strips[others]
    if len(near):
        shared = shapely.intersection(areas[near], room.strips[strips], grid_size=GRID)
        good[near[shapes.least_width(shared) > EDGE]] = False
    if len(low):
        pairs, _ = shapes.lying_on(areas, np.array(low, dtype=object))
        good[pairs[:, 0]] = False
    if room.joints:
        joints = np.array([line for _, line in room.joints], dtype=object)
        pairs, lengths = lines.lengths_under(joints, corners)
        good[pairs[lengths > EDGE, 1]] = False
    return good
