"""The facts of a floor sensor: what its cable runs along, and where it would lie well."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely import LineString

from underfoot.checking.facts.at_a_glance import is_near_two
from underfoot.checking.facts.heated_parts import list_board_regions
from underfoot.checking.facts.room import Place, RoomFacts
from underfoot.checking.finding import CannotTell
from underfoot.physics import lines
from underfoot.physics.crossings import find_crossings
from underfoot.physics.depth import deepest_point
from underfoot.physics.heat import resist_air_layer
from underfoot.physics.heated import BUTTED, heated_floor
from underfoot.physics.rectangles import EDGE, SAME
from underfoot.plan import Sensor

# At the junction box leads and sensor cable cannot but run together.
AT_THE_BOX = 300.0
# A place is looked for every so many millimetres, and at most so many places each way.
_GRID, _PLACES = 50.0, 60
# A place for a sensor is looked for well off the seams first, where one is to be had.
_OFF_SEAMS = 50.0


class NearLead(NamedTuple):
    """A lead that the sensor's route comes too near: its place in the room's leads, the length
    of route nearer than allowed, and where the two cross (None where they do not)."""

    which: int
    length: float
    crossing: Place | None


class SensorPlace(NamedTuple):
    """A place for the sensor and its distance from the edge of the heated floor."""

    x: float
    y: float
    depth: float


class Seam(NamedTuple):
    """The seam of two strips, by their places, and how far from it a place lies."""

    first: int
    second: int
    distance: float


def find_seam(room: RoomFacts, place: Place, reach: float) -> Seam | None:
    """Find the nearest seam of butted strips less than `reach` from a place below one of them."""
    if not is_near_two(room, place, reach + BUTTED):
        return None
    point = shapely.Point(place)
    near = room.tree.query(point, predicate="dwithin", distance=reach + BUTTED)
    if len(near) < 2:
        return None
    near = np.sort(near)
    away = shapely.distance(room.strips[near], point)
    own = int(np.argmin(away))
    if away[own] > EDGE:
        return None
    gaps = shapely.distance(room.strips[near], room.strips[near[own]])
    off = np.maximum(away - gaps, 0.0)
    off[(gaps > BUTTED + SAME) | (np.arange(len(near)) == own)] = np.inf
    other = int(np.argmin(off))
    if off[other] >= reach:
        return None
    first, second = sorted((int(near[own]), int(near[other])))
    return Seam(first, second, float(off[other]))


class ToSensor(NamedTuple):
    """What resists between film and sensor, m2 K/W: at the least, and most likely."""

    least_m2k_w: float
    likely_m2k_w: float


def resist_to_sensor(sensor: Sensor) -> ToSensor:
    """Give what resists between the film and a sensor in a channel below it.

    The conduit lies on the channel's ground. At the least there is the air over it, which is none
    where it lies flush; most likely the air down to the conduit's middle. A layer of closed air by
    ISO 6946, heat flowing down. Where the plan gives no depths the sensor touches the film.
    """
    depth = sensor.channel.depth if sensor.channel is not None else None
    conduit = sensor.conduit.depth if sensor.conduit is not None else None
    if depth is None:
        return ToSensor(0.0, 0.0)
    over = max(0.0, depth - (depth if conduit is None else conduit))
    return ToSensor(
        resist_air_layer(over, "down"), resist_air_layer(over + (conduit or depth) / 2, "down")
    )


def find_near_leads(room: RoomFacts, way: tuple[Place, ...], apart: float) -> tuple[NearLead, ...]:
    """Find the leads that a way over the floor crosses or comes nearer than `apart`.

    The first 300 mm from the junction box do not count.
    """
    drawn = [which for which, lead in enumerate(room.leads) if lead.line is not None]
    if not drawn or len(way) < 2:
        return ()
    if room.box is not None and way[0] == room.box:
        way = _after(way, AT_THE_BOX)
        if len(way) < 2:
            return ()
    route = LineString(way)
    leads = np.array([room.leads[which].line for which in drawn], dtype=object)
    near = np.flatnonzero(shapely.distance(route, leads) < apart)
    if not len(near):
        return ()
    drawn, leads = [drawn[at] for at in near], leads[near]
    lengths = lines.lengths_near(route, leads, apart)
    return tuple(
        NearLead(which, float(length), _crossing(route, lead))
        for which, length, lead in zip(drawn, lengths, leads, strict=True)
    )


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
    floor = room.heated if below_only is None else heated_floor(room.corners[list(strips)])
    places = _list_places(room, _grid(room), floor, strips, from_heat, clear)
    least = deep - SAME
    well = (places.depth >= least) & (_count_near(room, places.dots, max(off_seam, _OFF_SEAMS)) < 2)
    if near is None or not well.any():
        # The deepest point may do where none of the grid does; it is dear to find.
        found = deepest_point(floor, floor.boundary) if below_only is not None else None
        x, y, deepest = room.deepest if found is None else found[:3]
        # It may lie in a gap between two strips: then the nearest below one.
        strip = room.strips[room.tree.nearest(shapely.Point(x, y))]
        below = shapely.get_coordinates(shapely.shortest_line(strip, shapely.Point(x, y)))[:1]
        points = np.concatenate((((x, y), (round(x), round(y))), below, _grid(room)))
        places = _list_places(room, points, floor, strips, from_heat, clear)
        least = min(deep, deepest) - SAME
    points, dots, depths = places
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
    return SensorPlace(float(points[best, 0]), float(points[best, 1]), float(depths[best]))


class _Places(NamedTuple):
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
            good &= shapely.distance(dots, polygon) > EDGE
    points, dots = points[good], dots[good]
    return _Places(points, dots, shapely.distance(dots, floor.boundary))


def _count_near(room: RoomFacts, dots: np.ndarray, reach: float) -> np.ndarray:
    """Count the strips within reach of each point."""
    near, _ = room.tree.query(dots, predicate="dwithin", distance=reach)
    return np.bincount(near, minlength=len(dots))


def is_below_strip(room: RoomFacts, place: Place) -> bool:
    """Tell whether a place lies below a strip, its edge included."""
    return bool(find_strips_over(room, place))


def find_strips_over(room: RoomFacts, place: Place) -> list[int]:
    """Find the strips that lie over a place, their edges included, in the room's order."""
    found = room.tree.query(shapely.Point(place), predicate="dwithin", distance=EDGE)
    return sorted(int(each) for each in found)


def is_under(room: RoomFacts, place: Place, which: int) -> bool:
    """Tell whether a place lies under a fixture of the room, its edge aside."""
    polygon = room.fixtures[which][1]
    point = shapely.Point(place)
    return bool(polygon.contains(point)) and polygon.exterior.distance(point) > EDGE


def _grid(room: RoomFacts) -> np.ndarray:
    low, high = np.reshape(shapely.bounds(room.heated), (2, 2))
    step = max(_GRID, float(np.ceil((high - low).max() / _PLACES / _GRID) * _GRID))
    first = np.ceil(low / step)
    last = np.floor(high / step)
    across, up = (np.arange(start, end + 1) * step for start, end in zip(first, last, strict=True))
    grid: np.ndarray = np.stack([axis.ravel() for axis in np.meshgrid(across, up)], axis=1)
    return grid


def _after(way: tuple[Place, ...], distance: float) -> tuple[Place, ...]:
    """Give what is left of a way after its first `distance`."""
    for at, ((x, y), (to_x, to_y)) in enumerate(pairwise(way)):
        step = math.hypot(to_x - x, to_y - y)
        if step > distance:
            share = distance / step
            return ((x + share * (to_x - x), y + share * (to_y - y)), *way[at + 1 :])
        distance -= step
    return ()


def _crossing(route: LineString, lead: Any) -> Place | None:
    """Give the first place where a route crosses a lead, which may be in parts."""
    places = [
        (float(x), float(y))
        for part in shapely.get_parts(lead)
        for x, y in find_crossings(route, part)
    ]
    return min(places, key=lambda place: route.project(shapely.Point(place)), default=None)


def count_layers_below(room: RoomFacts, way: tuple[Place, ...]) -> int:
    """Count the layers of insulation that the whole of a way in the room lies over."""
    regions = list_board_regions(room)
    partial = [region for region in regions if region is not None]
    if not partial:
        return len(regions)
    drawn = LineString(way) if len(way) > 1 else shapely.Point(way[0])
    within = shapely.intersection(drawn, room.outline)
    # Boards may leave the hair's breadth of a joint open.
    grown = shapely.buffer(partial, 1.0)
    return len(regions) - len(partial) + int(shapely.covers(grown, within).sum())


def find_insulation_below(room: RoomFacts, way: tuple[Place, ...]) -> float | CannotTell:
    """Find how thick the insulation is under the whole of a way in the room, in mm.

    One layer at least: what no board covers is told elsewhere.
    """
    insulation = room.room.insulation
    if insulation is None:
        return CannotTell("there is no insulation", "Draw the room's `insulation`.", "note")
    if insulation.board is None or insulation.board.thickness is None:
        return CannotTell(
            "the thickness of the insulation is not given", "Write the board's `thickness`."
        )
    layers = count_layers_below(room, way) if len(insulation.layers) > 1 else 1
    return max(1, layers) * insulation.board.thickness


def find_conduit_width(room: RoomFacts) -> float:
    """Find how wide the sensor's conduit and channel lie in the floor; 0 where neither says."""
    sensor = room.room.sensor
    sections = () if sensor is None else (sensor.channel, sensor.conduit)
    return max((s.width for s in sections if s is not None and s.width is not None), default=0.0)
