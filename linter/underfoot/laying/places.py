"""Where the junction box and the floor sensor may be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from underfoot.laying.frame import Frame, Point
from underfoot.laying.rows import LaidRow
from underfoot.physics import heated
from underfoot.plan import BATHS, Fixture

# Places for the box are tried so far apart along the walls, and so far from corners, mm.
_EVERY, _FROM_CORNER = 250.0, 250.0
# How far the box keeps from what stands before it, from stoves, and from baths; the check
# decides, mm.
_FREE, _FROM_HEAT, _FROM_BATH = 370.0, 520.0, 700.0
# How deep under the heated floor a sensor lies at least, and at best not much deeper; how far from
# stoves, and from the long sides of its strip, mm.
_DEEP, _SENSOR_FROM_HEAT, _OFF_SEAM = 515.0, 310.0, 60.0
_STEP = 50.0


def list_boxes(outline: Any, fixtures: Sequence[tuple[Fixture, Any]]) -> list[Point]:
    """List places on the walls where a junction box stays cool, dry and within reach."""
    corners = shapely.get_coordinates(outline.exterior)
    found = []
    for a, b in zip(corners[:-1], corners[1:], strict=True):
        length = float(np.hypot(*(b - a)))
        off = min(_FROM_CORNER, length / 2)
        count = max(1, int((length - 2 * off) // _EVERY) + 1)
        for along in np.linspace(off, length - off, count) if count > 1 else [length / 2]:
            point = a + (b - a) * (along / length)
            found.append((float(round(point[0], 1)), float(round(point[1], 1))))
    points = shapely.points(np.array(found))
    good = np.ones(len(found), dtype=bool)
    for fixture, polygon in fixtures:
        least = _FREE if fixture.is_standing else 0.0
        if fixture.kind == "heat source":
            least = _FROM_HEAT
        elif fixture.kind in BATHS:
            least = 1250.0 if fixture.kind == "open shower" else _FROM_BATH
        good &= shapely.distance(points, polygon) >= least
    return [place for place, is_good in zip(found, good.tolist(), strict=True) if is_good]


def heated_floor(rows: Sequence[LaidRow], frame: Frame, width: float) -> Any:
    """Unite the strips; they butt."""
    corners = [
        [
            frame.place(strip.u + across, strip.start + along)
            for across, along in ((0, 0), (0, strip.length), (width, strip.length), (width, 0))
        ]
        for row in rows
        for strip in row.laid
    ]
    return heated.heated_floor(np.array(corners))


def list_sensors(
    rows: Sequence[LaidRow],
    frame: Frame,
    width: float,
    warm: Any,
    fixtures: Sequence[tuple[Fixture, Any]],
) -> np.ndarray:
    """List places for a sensor, (n, 2): below a strip, deep in the heated floor, off seams."""
    places = []
    for row in rows:
        for strip in row.laid:
            for across in (0.5, 0.35, 0.65):
                u = strip.u + across * width
                for v in np.arange(strip.start + _STEP, strip.start + strip.length, _STEP):
                    places.append(frame.place(u, float(v)))
    if not places:
        return np.empty((0, 2))
    found = np.round(np.array(places))
    points = shapely.points(found)
    depth = shapely.distance(warm.boundary, points)
    good = np.ones(len(found), dtype=bool)
    for fixture, polygon in fixtures:
        least = _SENSOR_FROM_HEAT if fixture.kind == "heat source" else 10.0
        good &= shapely.distance(points, polygon) >= least
    deep = good & (depth >= _DEEP)
    if not deep.any() and good.any():
        # No place is deep enough: the deepest there is.
        deep = good & (depth >= depth[good].max() - 1.0)
    return found[deep]
