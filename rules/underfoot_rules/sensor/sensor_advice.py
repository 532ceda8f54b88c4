"""Says where a floor sensor would lie well."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, Place, RoomFacts
from underfoot.api.physics import depth, heated, rectangles, shapes
from underfoot.api.rules import below, format_quantity, point_text
from underfoot_rules.advice import Advice
from underfoot_rules.in_the_way import MOVE_SENSOR, join_clauses, list_what_to_see_to
from underfoot_rules.sensor.under_strips import find_deepest
from underfoot_rules.trying import CONDUIT, MOST_STRIPS, PLACED, SENSOR, find_brought

# A place is looked for every so many millimetres, and at most so many places each way.
_GRID, _PLACES = 50.0, 60
# So many of them are looked at first, the nearest.
_FIRST = 64
# A place for a sensor is looked for well off the seams first, where one is to be had.
_OFF_SEAMS = 50.0


def place_sensor(
    facts: Facts, room: RoomFacts, below_only: Sequence[int] | None = None
) -> SensorPlace | None:
    """Find the nearest place to the sensor, else to the junction box, that meets every rule."""
    return facts.once(_place_sensor, room.id, below_only if below_only is None else (*below_only,))


def _place_sensor(
    facts: Facts, room_id: str, below_only: tuple[int, ...] | None
) -> SensorPlace | None:
    room, limits = facts.rooms[room_id], facts.limits
    sensor = room.drawn.sensor
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
    """Return half the width of the sensor's conduit, or what is taken where it is not given."""
    sensor = room.drawn.sensor
    conduit = sensor.conduit if sensor is not None else None
    if conduit is None or conduit.width is None:
        return facts.limits["sensor-seam"]["half_width"]
    return conduit.width / 2


def advise_place(facts: Facts, room: RoomFacts, verb: str = "Move it to") -> Advice:
    """Say where the sensor should be."""
    if not facts.is_advised:
        return Advice()
    place = place_sensor(facts, room)
    if place is None:
        return Advice(
            says="Plan strips where the sensor can lie below one, clear of heat sources and "
            "fixtures."
        )
    deep = format_quantity(place.depth, "mm")
    return say_place(
        facts,
        room,
        place,
        f"{verb} {point_text(place.x, place.y)}: below a strip, {deep} from the edge of the heated "
        "floor.",
        "Move it below a strip, well inside the heated floor",
    )


def say_place(facts: Facts, room: RoomFacts, place: SensorPlace, said: str, rough: str) -> Advice:
    """Say a place in figures where it brings nothing; else in words, and what is to be seen to."""
    sensor = room.drawn.sensor
    if not facts.is_advised:
        return Advice()
    offered = Advice(says=said, offer=shapely.Point(place.x, place.y))
    if sensor is None:
        return offered  # its way, too, is still to be drawn
    if len(room.elements) > MOST_STRIPS:
        return Advice(says=f"{rough}, and take its conduit there clear of every lead.")
    at = (round(place.x, 1), round(place.y, 1))
    drawn = replace(room.drawn, sensor=replace(sensor, at=at))
    names = [*SENSOR, *PLACED, *CONDUIT]
    minimum = facts.limits["sensor-depth"]["minimum"]
    if below(place.depth, minimum) and below(find_deepest(room).distance, minimum):
        names.remove("sensor-depth")  # no place here is as deep as that
    brought = find_brought(facts, room, drawn, names, anew={*SENSOR[:3], *PLACED})
    if not brought:
        return offered
    see_to = [said for said in list_what_to_see_to(brought) if said != MOVE_SENSOR]
    return Advice(says=f"{rough}; {join_clauses(see_to)}." if see_to else f"{rough}.")


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
    points, off = _grid(room), max(off_seam, _OFF_SEAMS)
    least = deep - rectangles.SAME
    widest = shapes.least_width(shapely.get_parts(floor)).max(initial=0.0)
    if near is not None and widest >= 2 * least:
        order = np.argsort(np.hypot(*(points - near).T), kind="stable")
        for some in _in_growing_parts(order):
            places = _list_places(room, points[some], floor, strips, from_heat, clear)
            well = (places.depth >= least) & (_count_near(room, places.dots, off) < 2)
            if well.any():
                return _place(places, int(np.argmax(well)))
    # The deepest point may do where none of the grid does; it is dear to find.
    found = depth.deepest_point(floor, floor.boundary) if below_only is not None else None
    found = found or find_deepest(room)
    x, y, deepest = found.x, found.y, found.distance
    # It may lie in a gap between two strips: then the nearest below one.
    strip = room.strips[room.tree.nearest(shapely.Point(x, y))]
    below = shapely.get_coordinates(shapely.shortest_line(strip, shapely.Point(x, y)))[:1]
    points = np.concatenate((((x, y), (round(x), round(y))), below, points))
    places = _list_places(room, points, floor, strips, from_heat, clear)
    least = min(deep, deepest) - rectangles.SAME
    if not len(places.points):
        return None
    deep_enough = np.flatnonzero(places.depth >= least)
    if near is None or not len(deep_enough):
        return _place(places, int(np.argmax(places.depth)))
    for apart in (off, off_seam):
        clear_of_seams = deep_enough[_count_near(room, places.dots[deep_enough], apart) < 2]
        if len(clear_of_seams):
            deep_enough = clear_of_seams
            break
    away = np.hypot(*(places.points[deep_enough] - near).T)
    return _place(places, int(deep_enough[np.argmin(away)]))


def _in_growing_parts(order: np.ndarray) -> Iterator[np.ndarray]:
    """Divide an order of places to look at: mostly one of the first will do."""
    start, size = 0, _FIRST
    while start < len(order):
        yield order[start : start + size]
        start, size = start + size, 4 * size


def _place(places: _Places, which: int) -> SensorPlace:
    (x, y), deep = places.points[which].tolist(), float(places.depth[which])
    return SensorPlace(x=x, y=y, depth=deep)


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
