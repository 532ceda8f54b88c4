"""Says where a floor sensor would lie well."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, Place, RoomFacts
from underfoot.api.physics import depth, heated, rectangles
from underfoot.api.rules import below, format_quantity, point_text
from underfoot_rules.in_the_way import MOVE_SENSOR, join_clauses, list_what_to_see_to
from underfoot_rules.sensor.under_strips import find_deepest
from underfoot_rules.trying import CONDUIT, MOST_STRIPS, PLACED, SENSOR, find_brought

# A place is looked for every so many millimetres, and at most so many places each way.
_GRID, _PLACES = 50.0, 60
# A place for a sensor is looked for well off the seams first, where one is to be had.
_OFF_SEAMS = 50.0


def place_sensor(
    facts: Facts, room: RoomFacts, below_only: Sequence[int] | None = None
) -> SensorPlace | None:
    """Find the nearest place to the sensor, else to the junction box, that meets every rule."""
    sensor = room.drawn.sensor
    limits = facts.limits
    return find_sensor_place(
        room,
        limits["sensor-depth"]["minimum"],
        limits["sensor-near-heat"]["apart"],
        limits["covered-floor"]["clear"],
        room.box if sensor is None else sensor.at,
        half_of_conduit(facts, room),
        below_only,
    )


def half_of_conduit(facts: Facts, room: RoomFacts) -> float:
    """Give half the width of the sensor's conduit, or what is taken where it is not given."""
    sensor = room.drawn.sensor
    conduit = sensor.conduit if sensor is not None else None
    if conduit is None or conduit.width is None:
        return facts.limits["sensor-seam"]["half_width"]
    return conduit.width / 2


def advise_place(facts: Facts, room: RoomFacts, verb: str = "Move it to") -> str:
    """Say where the sensor should be."""
    if facts.is_trial:
        return ""
    place = place_sensor(facts, room)
    if place is None:
        return "Plan strips where the sensor can lie below one, clear of heat sources and fixtures."
    deep = format_quantity(place.depth, "mm")
    return say_place(
        facts,
        room,
        place,
        f"{verb} {point_text(place.x, place.y)}: below a strip, {deep} from the edge of the heated "
        "floor.",
        "Move it below a strip, well inside the heated floor",
    )


def say_place(facts: Facts, room: RoomFacts, place: SensorPlace, said: str, rough: str) -> str:
    """Say a place in figures where it brings nothing; else in words, and what is to be seen to."""
    sensor = room.drawn.sensor
    if facts.is_trial:
        return ""
    if sensor is None:
        return said  # its way, too, is still to be drawn
    if len(room.elements) > MOST_STRIPS:
        return f"{rough}, and take its conduit there clear of every lead."
    at = (round(place.x, 1), round(place.y, 1))
    drawn = replace(room.drawn, sensor=replace(sensor, at=at))
    names = [*SENSOR, *PLACED, *CONDUIT]
    minimum = facts.limits["sensor-depth"]["minimum"]
    if below(place.depth, minimum) and below(room.once(find_deepest).distance, minimum):
        names.remove("sensor-depth")  # no place here is as deep as that
    brought = find_brought(facts, room, drawn, names, anew={*SENSOR[:3], *PLACED})
    if not brought:
        return said
    see_to = [said for said in list_what_to_see_to(brought) if said != MOVE_SENSOR]
    return f"{rough}; {join_clauses(see_to)}." if see_to else f"{rough}."


class SensorPlace(Struct, frozen=True, kw_only=True):
    """A place for the sensor and its distance from the edge of the heated floor."""

    x: float
    y: float
    depth: float


def find_sensor_place(
    room: RoomFacts,
    deep: float,
    from_heat: float,
    clear: float,
    near: Place | None,
    off_seam: float = 0.0,
    below_only: Sequence[int] | None = None,
) -> SensorPlace | None:
    """Find a place for the sensor, the nearest to a point that will do.

    It lies below a strip, `deep` inside the heated floor, `from_heat` away from heat sources and
    under nothing that keeps the heat in (`clear` is the least open height); well off the seams of
    strips where it may, else by `off_seam` where it may. `below_only` narrows it to the floor that
    certain strips of the room heat. Where no place is as deep, the deepest of them is given; None
    where there is none at all.
    """
    strips = range(len(room.elements)) if below_only is None else below_only
    floor = room.heated if below_only is None else heated.heated_floor(room.corners[list(strips)])
    places = _list_places(room, _grid(room), floor, strips, from_heat, clear)
    least = deep - rectangles.SAME
    well = (places.depth >= least) & (_count_near(room, places.dots, max(off_seam, _OFF_SEAMS)) < 2)
    if near is None or not well.any():
        # The deepest point may do where none of the grid does; it is dear to find.
        found = depth.deepest_point(floor, floor.boundary) if below_only is not None else None
        found = found or room.once(find_deepest)
        x, y, deepest = found.x, found.y, found.distance
        # It may lie in a gap between two strips: then the nearest below one.
        strip = room.strips[room.tree.nearest(shapely.Point(x, y))]
        below = shapely.get_coordinates(shapely.shortest_line(strip, shapely.Point(x, y)))[:1]
        points = np.concatenate((((x, y), (round(x), round(y))), below, _grid(room)))
        places = _list_places(room, points, floor, strips, from_heat, clear)
        least = min(deep, deepest) - rectangles.SAME
    points, dots, depths = places.points, places.dots, places.depth
    if not len(points):
        return None
    deep_enough = depths >= least
    for off in (max(off_seam, _OFF_SEAMS), off_seam):
        clear_of_seams = deep_enough & (_count_near(room, dots, off) < 2)
        if clear_of_seams.any():
            deep_enough = clear_of_seams
            break
    if near is None or not deep_enough.any():
        best = int(np.argmax(depths))
    else:
        away = np.hypot(*(points - near).T)
        away[~deep_enough] = np.inf
        best = int(np.argmin(away))
    return SensorPlace(
        x=float(points[best, 0]), y=float(points[best, 1]), depth=float(depths[best])
    )


class _Places(Struct, frozen=True, kw_only=True):
    """Places for a sensor, in the order given: coordinates (n, 2), points, depths in mm."""

    points: np.ndarray
    dots: np.ndarray
    depth: np.ndarray


def _list_places(
    room: RoomFacts,
    points: np.ndarray,
    floor: Any,
    strips: Collection[int],
    from_heat: float,
    clear: float,
) -> _Places:
    """List the points below certain strips, off heat sources and under nothing too low."""
    dots = shapely.points(points)
    good = np.zeros(len(points), dtype=bool)
    which, over = room.tree.query(dots, predicate="intersects")
    good[which if len(strips) == len(room.elements) else which[np.isin(over, list(strips))]] = True
    for fixture, polygon in room.fixtures:
        if fixture.kind == "heat source":
            good &= shapely.distance(dots, polygon) >= from_heat
        if fixture.is_standing or (fixture.clear is not None and fixture.clear < clear):
            good &= shapely.distance(dots, polygon) > rectangles.EDGE
    points, dots = points[good], dots[good]
    return _Places(points=points, dots=dots, depth=shapely.distance(dots, floor.boundary))


def _count_near(room: RoomFacts, dots: np.ndarray, reach: float) -> np.ndarray:
    """Count the strips within reach of each point."""
    near, _ = room.tree.query(dots, predicate="dwithin", distance=reach)
    return np.bincount(near, minlength=len(dots))


def _grid(room: RoomFacts) -> np.ndarray:
    low, high = np.reshape(shapely.bounds(room.heated), (2, 2))
    step = max(_GRID, float(np.ceil((high - low).max() / _PLACES / _GRID) * _GRID))
    first = np.ceil(low / step)
    last = np.floor(high / step)
    across, up = (np.arange(start, end + 1) * step for start, end in zip(first, last, strict=True))
    grid: np.ndarray = np.stack([axis.ravel() for axis in np.meshgrid(across, up)], axis=1)
    return grid
