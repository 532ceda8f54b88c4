"""Rows wired: how strips are divided over circuits, where the box is, which way the leads go."""

from __future__ import annotations

import itertools
import math
import string
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.facts.room import RoomFacts
from underfoot.laying.frame import Frame, Point
from underfoot.laying.leads import End, Route, Way, list_ends, list_ways, order_ends, route_lead
from underfoot.laying.places import heated_floor, list_boxes, list_sensors
from underfoot.laying.rows import LaidRow
from underfoot.laying.wishes import Wishes
from underfoot.plan import Film

# First guesses at what a circuit carries; the check decides.
_MOST_A, _MOST_M = 10.0, 30.0
_MOST_CIRCUITS = 6
# What a floor left wholly cold would cost, in metres of lead.
_COLD = 200.0


class Floor(Struct, frozen=True, kw_only=True):
    """Rows laid in one direction; `chosen` is the length of all strips that were meant, mm."""

    frame: Frame
    rows: tuple[LaidRow, ...]
    chosen: float

    @property
    def heated(self) -> float:
        """The length of all strips, mm."""
        return sum(row.heated for row in self.rows)


class Draft(Struct, frozen=True, kw_only=True):
    """Rows with their names, a place for the box, and each circuit's strips and lead.

    `cost` is what is the less the better: metres of lead, bends, circuits, rows, floor left cold.
    """

    floor: Floor
    rows: list[tuple[str, LaidRow]]
    box: Point
    routes: list[tuple[list[str], Route]]
    cost: float


def draft_wiring(
    facts: Facts, room: RoomFacts, film: Film, floor: Floor, wishes: Wishes, most: float
) -> list[Draft]:
    """List the ways to wire rows with as few circuits as can be: places of the box, ways round."""
    rows = list(zip(_row_names(facts, len(floor.rows)), floor.rows, strict=True))
    strips = {
        f"{name}{number}": strip
        for name, row in rows
        for number, strip in enumerate(row.strips, 1)
        if strip is not None
    }
    amps = _amps(facts, film)
    longest = (film.longest_circuit or _MOST_M * 1000) / 1000
    metres = floor.heated / 1000
    least = max(1, math.ceil(1000 * metres * amps / _MOST_A - 1e-9), math.ceil(metres / longest))
    lost = 1.0 - floor.heated / most
    for count in range(least, min(least + 2, _MOST_CIRCUITS, len(strips)) + 1):
        ways = list_ways(room.outline, room.fixtures, room.outline.representative_point(), count)
        listed = [list_ends(rows, floor.frame, film.width, way) for way in ways]
        all_ends = [ends for ends in listed if ends is not None]
        if not ways or len(all_ends) < len(listed):
            continue
        drafts = []
        for box, sign in itertools.product(_boxes(room, wishes), (1, -1)):
            routes = _route(box, sign, ways, all_ends, strips, count, amps, longest)
            if routes is not None:
                cost = (
                    sum(route.length / 1000 + 0.3 * len(route.stops) for _, route in routes)
                    + 5.0 * count
                    + 2.0 * len(rows)
                    + _COLD * lost
                )
                drafts.append(Draft(floor=floor, rows=rows, box=box, routes=routes, cost=cost))
        if drafts:
            return drafts
    return []


def choose_drafts(
    drafts: Sequence[Draft], room: RoomFacts, film: Film
) -> Iterator[tuple[Draft, Point]]:
    """Give the drafts, the best first, whose leads lie clear, with a place for the sensor."""
    known: dict[tuple[str, tuple[LaidRow, ...]], tuple[Any, np.ndarray]] = {}
    inside = room.outline.buffer(0.5)
    shapely.prepare(inside)
    for draft in drafts:
        floor = draft.floor
        key = floor.frame.along, floor.rows
        if key not in known:
            warm = heated_floor(floor.rows, floor.frame, film.width)
            heart = warm.buffer(-1.0)
            shapely.prepare(heart)
            known[key] = (
                heart,
                list_sensors(floor.rows, floor.frame, film.width, warm, room.fixtures),
            )
        heart, sensors = known[key]
        lines = [shapely.LineString(route.points) for _, route in draft.routes]
        if any(
            not inside.covers(line)
            or (heart.intersects(line) and line.intersection(heart).length > 1.0)
            for line in lines
        ):
            continue
        sensor = _choose_sensor(draft.box, sensors, lines, room)
        if sensor is not None:
            yield draft, sensor


def _amps(facts: Facts, film: Film) -> float:
    """Give the current of one millimetre of strip at the supply's voltage."""
    volts = facts.plan.supply.voltage_v
    return film.rated_w_m / 1000 * (volts / film.voltage_v) ** 2 / volts


def _boxes(room: RoomFacts, wishes: Wishes) -> list[Point]:
    if wishes.box is not None:
        return [wishes.box]
    if room.box is not None:
        return [room.box]
    return list_boxes(room.outline, room.fixtures)


def _route(
    box: Point,
    sign: int,
    ways: Sequence[Way],
    all_ends: Sequence[Sequence[End]],
    strips: Mapping[str, Any],
    count: int,
    amps: float,
    longest_m: float,
) -> list[tuple[list[str], Route]] | None:
    """Divide strips over circuits in the order of the way, and route each; the farthest first."""
    start = ways[0].place(box)
    order = [end.strip for end in order_ends(all_ends[0], ways[0], start, sign)]
    groups = divide(order, [strips[name].length for name in order], count)
    for group in groups:
        length = sum(strips[name].length for name in group)
        if length * amps > _MOST_A + 1e-9 or length / 1000 > longest_m + 1e-9:
            return None
    routes = []
    for place, group in enumerate(reversed(groups)):
        by_name = {end.strip: end for end in all_ends[place]}
        routes.append(
            (group, route_lead(box, [by_name[name] for name in group], ways[place], sign))
        )
    return routes[::-1]


def divide(names: Sequence[str], lengths: Sequence[float], count: int) -> list[list[str]]:
    """Divide strips in their order over so many circuits, as evenly as that goes."""
    reached = np.cumsum(lengths)
    total = float(reached[-1])
    groups: list[list[str]] = [[] for _ in range(count)]
    for name, length, up_to in zip(names, lengths, reached.tolist(), strict=True):
        middle = up_to - length / 2
        groups[min(count - 1, int(middle * count / total))].append(name)
    return [group for group in groups if group]


def _choose_sensor(
    box: Point, sensors: np.ndarray, lines: Sequence[Any], room: RoomFacts
) -> Point | None:
    """Choose the nearest place whose straight way from the box meets no lead and no obstacle."""
    if not len(sensors):
        return None
    near = np.argsort(np.hypot(*(sensors - np.array(box)).T), kind="stable")[:40]
    off_box = shapely.Point(box).buffer(60.0)
    leads = shapely.union_all([line.difference(off_box) for line in lines])
    inside = room.outline.buffer(1.0)
    bars = [
        polygon
        for fixture, polygon in room.fixtures
        if fixture.kind in ("fixings", "heat source") or fixture.stops_floor
    ]
    for each in near.tolist():
        place = (float(sensors[each, 0]), float(sensors[each, 1]))
        line = shapely.LineString([box, place])
        if not inside.covers(line) or line.difference(off_box).distance(leads) < 55.0:
            continue
        if any(line.distance(polygon) < 60.0 for polygon in bars):
            continue
        return place
    return None


def _row_names(facts: Facts, count: int) -> list[str]:
    taken = set(facts.ids)
    letters = (
        name
        for size in (1, 2)
        for name in map("".join, itertools.product(string.ascii_uppercase, repeat=size))
        if name[0] not in "CW" and not any(each.startswith(name) for each in taken)
    )
    return list(itertools.islice(letters, count))
