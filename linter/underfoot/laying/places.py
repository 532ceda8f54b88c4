"""Where the junction box and the floor sensor may be."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from underfoot.checking.facts.doorways import floor_behind, list_leaves
from underfoot.checking.facts.room import RoomFacts
from underfoot.laying.frame import Point
from underfoot.laying.strips import LaidStrip
from underfoot.physics import heated
from underfoot.plan import BATHS, Fixture

# Places for the box are tried so far apart along the walls, and so far from corners, mm.
_EVERY, _FROM_CORNER, _TAPE = 250.0, 250.0, 10.0
# How far it keeps from the frame of a door or window, and from where the plan wants none, mm.
_FROM_OPENING, _ON_THE_WALL, _BEHIND = 150.0, 5.0, 10.0
# How far the box keeps from what stands before it, from stoves, and from baths; the check
# decides, mm.
_FREE, _FROM_HEAT, _FROM_BATH = 370.0, 520.0, 700.0
# How deep within the heated floor a sensor lies, and how far from stoves, mm.
_DEEP, _SENSOR_FROM_HEAT = 515.0, 310.0
_STEP, _LITTLE = 50.0, 1e-6
# Places of which none is deep enough count as equally deep within this, mm.
_AS_DEEP = 0.5


def list_boxes(room: RoomFacts) -> list[Point]:
    """List places on the walls where a junction box stays cool, dry and within reach.

    None is in a door, a window or a passage, or where the plan wants none; nor behind the open leaf
    of a door, if there are others: the thermostat hangs above it.
    """
    corners = shapely.get_coordinates(room.outline.exterior)
    found = []
    for a, b in pairwise(corners):
        length = float(np.hypot(*(b - a)))
        off = min(_FROM_CORNER, length / 2)
        count = max(1, int((length - 2 * off) // _EVERY) + 1)
        for along in np.linspace(off, length - off, count) if count > 1 else [length / 2]:
            # In whole centimetres, as with a tape.
            along = round(along / _TAPE) * _TAPE
            point = a + (b - a) * (along / length)
            found.append((float(round(point[0], 1)), float(round(point[1], 1))))
    points = shapely.points(np.array(found))
    good = np.ones(len(found), dtype=bool)
    for line, least in _list_barred(room):
        good &= shapely.distance(points, shapely.LineString(line)) > least
    for fixture, polygon in room.fixtures:
        least = _FREE if fixture.is_standing else 0.0
        if fixture.kind == "heat source":
            least = _FROM_HEAT
        elif fixture.kind in BATHS:
            least = 1250.0 if fixture.kind == "open shower" else _FROM_BATH
        good &= shapely.distance(points, polygon) >= least
    behind = [
        floor_behind(room, *leaf, _BEHIND)
        for opening in room.drawn.openings.values()
        for leaf in list_leaves(opening)
    ]
    if behind:
        seen = good & ~shapely.intersects(shapely.union_all(behind), points)
        # Where all else is barred, the box is still within reach once the door is shut.
        good = seen if seen.any() else good
    return [place for place, is_good in zip(found, good.tolist(), strict=True) if is_good]


def _list_barred(room: RoomFacts) -> Iterator[tuple[Sequence[Point], float]]:
    """List stretches of wall where no box is put, and how far it keeps from them."""
    for opening in room.drawn.openings.values():
        yield opening.line, _FROM_OPENING
    if room.drawn.laying is not None:
        for line in room.drawn.laying.no_box:
            yield line, _ON_THE_WALL


def measure_from_door(place: Point, room: RoomFacts) -> float:
    """Measure how far a place is from the nearest door or passage, mm: from where its leaf closes.

    0 in a room of which no door is drawn.
    """
    found = []
    for opening in room.drawn.openings.values():
        if opening.is_walked_through:
            start, end = opening.line
            closes = {"from": (end,), "to": (start,)}.get(opening.hinge or "", (start, end))
            found += [math.dist(place, each) for each in closes]
    return min(found, default=0.0)


def heated_floor(pieces: Sequence[LaidStrip]) -> Any:
    """Unite the strips; they butt."""
    return heated.heated_floor(np.array([piece.corners for piece in pieces]))


def list_sensors(
    pieces: Sequence[LaidStrip],
    warm: Any,
    fixtures: Sequence[tuple[Fixture, Any]],
) -> np.ndarray:
    """List places for a sensor, (n, 2): below a strip, deep in the heated floor, off seams.

    Where no place is deep enough, the deepest there are, on seams too.
    """
    off_seams = _list_below(pieces, (0.5, 0.35, 0.65))
    deep = _depth(off_seams, warm, fixtures)
    if (deep >= _DEEP).any():
        return off_seams[deep >= _DEEP]
    anywhere: np.ndarray = np.concatenate(
        (off_seams, _list_below(pieces, (0.0, 0.1, 0.2, 0.8, 0.9, 1.0)))
    )
    deep = _depth(anywhere, warm, fixtures)
    if not (deep > 0).any():
        return np.empty((0, 2))
    found: np.ndarray = anywhere[deep >= deep.max() - _AS_DEEP]
    return found


def _list_below(pieces: Sequence[LaidStrip], across: Sequence[float]) -> np.ndarray:
    """List places below strips, (n, 2), so far across each of them."""
    places = [
        piece.place(float(along), part)
        for piece in pieces
        for part in across
        for along in np.arange(_STEP, piece.length - _LITTLE, _STEP)
    ]
    return np.round(np.array(places).reshape(-1, 2))


def _depth(places: np.ndarray, warm: Any, fixtures: Sequence[tuple[Fixture, Any]]) -> np.ndarray:
    """Measure how deep places lie within the heated floor; 0 where a sensor must not lie."""
    points = shapely.points(places)
    depth: np.ndarray = shapely.distance(warm.boundary, points)
    for fixture, polygon in fixtures:
        least = _SENSOR_FROM_HEAT if fixture.kind == "heat source" else 10.0
        depth[shapely.distance(points, polygon) < least] = 0.0
    return depth
