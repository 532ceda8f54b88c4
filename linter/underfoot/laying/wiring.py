"""Rows wired: how strips are divided over circuits, where the box is, which way the leads go."""

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
from underfoot.laying.doors import Doors
from underfoot.laying.frame import Frame, Point
from underfoot.laying.leads import (
    End,
    LeadRing,
    Route,
    list_ends,
    list_ways,
    order_ends,
    route_lead,
)
from underfoot.laying.places import (
    heated_floor,
    list_boxes,
    list_sensors,
    measure_from_door,
)
from underfoot.laying.rows import LaidRow
from underfoot.laying.strips import LaidStrip, lay_pieces
from underfoot.laying.wishes import Wishes
from underfoot.plan import Film

# First guesses at what a circuit carries; the check decides.
MOST_A, _MOST_M = 10.0, 30.0
_MOST_CIRCUITS = 6
# What a floor left wholly cold would cost, in metres of lead.
_COLD = 200.0
# What a metre between box and door costs, in metres of lead: the thermostat hangs above the box.
_FROM_DOOR = 5.0
# A new lead that runs so near to one that is drawn lies on it, mm; what a millimetre of that costs.
_ON_LEAD, _ON_LEAD_COSTS = 6.0, 0.1


class Floor(Struct, frozen=True, kw_only=True):
    """Rows laid in one direction; `chosen` is the length of all strips that were meant, mm.

    `drawn` are the strips that the room has already.
    """

    frame: Frame
    rows: tuple[LaidRow, ...]
    chosen: float
    drawn: tuple[LaidStrip, ...] = ()

    @property
    def heated(self) -> float:
        """The length of all new strips, mm."""
        return sum(row.heated for row in self.rows)


class Group(Struct, frozen=True, kw_only=True):
    """Strips on one lead: of a circuit that the plan has, or of a new one (None)."""

    circuit: str | None
    strips: tuple[str, ...]
    route: Route


class Draft(Struct, frozen=True, kw_only=True):
    """Rows with their names, all strips, a place for the box, and each new lead.

    `cost` is what is the less the better: metres of lead, bends, circuits, rows, floor left cold.
    """

    floor: Floor
    rows: list[tuple[str, LaidRow]]
    pieces: tuple[LaidStrip, ...]
    box: Point
    groups: list[Group]
    cost: float


class _Wanted(Struct, frozen=True, kw_only=True):
    """What is to be led: strips of circuits that are fixed, and those free to be divided."""

    fixed: Mapping[str, tuple[LaidStrip, ...]]
    free: tuple[LaidStrip, ...]
    longest_m: float

    @property
    def least(self) -> int:
        """How many new circuits the free strips need at the least."""
        amps = sum(piece.amps for piece in self.free)
        metres = sum(piece.length for piece in self.free) / 1000
        return max(math.ceil(amps / MOST_A - 1e-9), math.ceil(metres / self.longest_m))


def draft_wiring(
    facts: Facts,
    room: RoomFacts,
    film: Film,
    floor: Floor,
    wishes: Wishes,
    most: float,
    doors: Doors,
) -> list[Draft]:
    """List the ways to wire rows with as few circuits as can be: places of the box, ways round."""
    rows = list(zip(_row_names(facts, len(floor.rows)), floor.rows, strict=True))
    new = lay_pieces(rows, floor.frame, film.width, amps_of_mm(facts, film))
    pieces = (*floor.drawn, *new)
    wanted = _find_wanted(facts, room, film, floor.drawn, new)
    drawn = [laid.line for laid in room.leads if laid.line is not None]
    lost = 1.0 - floor.heated / most if most else 0.0
    fixed = find_fixed_box(room, wishes)
    boxes = list_boxes(room) if fixed is None else [fixed]
    least = wanted.least
    for count in range(least, min(least + 2, _MOST_CIRCUITS, len(wanted.free)) + 1):
        leads = count + len(wanted.fixed)
        led = [*wanted.free, *itertools.chain(*wanted.fixed.values())]
        inner = room.outline.representative_point()
        ways = list_ways(room.outline, room.fixtures, inner, leads, drawn, doors)
        listed = [list_ends(led, way) for way in ways]
        all_ends = [ends for ends in listed if ends is not None]
        if len(ways) < leads or len(all_ends) < len(listed):
            continue
        drafts = []
        for box, sign in itertools.product(boxes, (1, -1) if leads else (1,)):
            groups = _route(box, sign, ways, all_ends, wanted, count) if leads else []
            if groups is not None:
                cost = (
                    sum(each.route.length / 1000 + 0.3 * len(each.route.stops) for each in groups)
                    + 5.0 * leads
                    + 2.0 * len(rows)
                    + _COLD * lost
                    + _cross(groups, drawn)
                    + _FROM_DOOR * measure_from_door(box, room) / 1000
                )
                drafts.append(
                    Draft(floor=floor, rows=rows, pieces=pieces, box=box, groups=groups, cost=cost)
                )
        if drafts:
            return drafts
    return []


def _find_wanted(
    facts: Facts, room: RoomFacts, film: Film, drawn: Sequence[LaidStrip], new: Sequence[LaidStrip]
) -> _Wanted:
    """Find which strips need a lead; free ones go on a circuit that is there, if one bears them."""
    longest_m = (film.longest_circuit or _MOST_M * 1000) / 1000
    led = {stop.element for laid in room.leads for stop in laid.lead.route}
    fixed: dict[str, tuple[LaidStrip, ...]] = {}
    for piece in drawn:
        if piece.id not in led and piece.circuit is not None:
            fixed[piece.circuit] = (*fixed.get(piece.circuit, ()), piece)
    free = (*(each for each in drawn if each.id not in led and each.circuit is None), *new)
    for circuit in dict.fromkeys(piece.circuit for piece in drawn if piece.circuit is not None):
        on_it = [each for each in drawn if each.circuit == circuit]
        all_of_it = [*on_it, *free]
        there = facts.circuits.get(circuit)
        elsewhere = there is not None and set(there.rooms) != {room.id}
        amps = sum(each.amps for each in all_of_it)
        metres = sum(each.length for each in all_of_it) / 1000
        if not elsewhere and amps <= MOST_A + 1e-9 and metres <= longest_m + 1e-9 and free:
            fixed[circuit] = (*fixed.get(circuit, ()), *free)
            free = ()
    return _Wanted(fixed=fixed, free=free, longest_m=longest_m)


def _cross(groups: Sequence[Group], drawn: Sequence[Any]) -> float:
    """Weigh where new leads lie on those that are drawn."""
    if not drawn or not groups:
        return 0.0
    lines = shapely.multilinestrings([shapely.LineString(each.route.points) for each in groups])
    near = shapely.union_all(drawn).buffer(_ON_LEAD)
    return _ON_LEAD_COSTS * float(lines.intersection(near).length)


def choose_drafts(
    drafts: Sequence[Draft], room: RoomFacts, doors: Doors
) -> Iterator[tuple[Draft, Point]]:
    """Yield the drafts, the best first, whose leads lie clear, with a place for the sensor."""
    known: dict[tuple[str, tuple[LaidRow, ...]], tuple[Any, np.ndarray]] = {}
    drawn = [laid.line for laid in room.leads if laid.line is not None]
    inside = room.outline.buffer(0.5)
    shapely.prepare(inside)
    for draft in drafts:
        floor = draft.floor
        key = floor.frame.along, floor.rows
        if key not in known:
            warm = heated_floor(draft.pieces)
            heart = warm.buffer(-1.0)
            shapely.prepare(heart)
            known[key] = heart, _list_sensors(draft.pieces, warm, room)
        heart, sensors = known[key]
        lines = [shapely.LineString(each.route.points) for each in draft.groups]
        if any(
            not inside.covers(line)
            or (heart.intersects(line) and line.intersection(heart).length > 1.0)
            for line in lines
        ):
            continue
        sensor = _choose_sensor(draft.box, sensors, [*lines, *drawn], room, doors)
        if sensor is None and room.drawn.sensor is not None:
            # It stays where it is drawn, whatever its cable meets.
            sensor = room.drawn.sensor.at
        if sensor is not None:
            yield draft, sensor


def _list_sensors(pieces: Sequence[LaidStrip], warm: Any, room: RoomFacts) -> np.ndarray:
    if room.drawn.sensor is not None:
        return np.array([room.drawn.sensor.at])
    return list_sensors(pieces, warm, room.fixtures)


def amps_of_mm(facts: Facts, film: Film) -> float:
    """Return the current of one millimetre of strip at the supply's voltage."""
    volts = facts.plan.supply.voltage_v
    return film.rated_w_m / 1000 * (volts / film.voltage_v) ** 2 / volts


def find_fixed_box(room: RoomFacts, wishes: Wishes) -> Point | None:
    """Find where the junction box must be: as wished, as drawn, or below the thermostat."""
    if wishes.box is not None or room.box is not None:
        return wishes.box or room.box
    there = room.drawn.thermostat
    return None if there is None or there.room is not None else there.at


def _route(
    box: Point,
    sign: int,
    ways: Sequence[LeadRing],
    all_ends: Sequence[Sequence[End]],
    wanted: _Wanted,
    count: int,
) -> list[Group] | None:
    """Divide strips over circuits in the order of the way, and route each; the farthest first."""
    order = order_ends(all_ends[0], ways[0], ways[0].place(box), sign)
    turn = {end.strip: number for number, end in enumerate(order)}
    free = sorted(wanted.free, key=lambda each: turn[each.id])
    divided = divide(free, count) if free else []
    for group in divided:
        metres = sum(piece.length for piece in group) / 1000
        if sum(piece.amps for piece in group) > MOST_A + 1e-9 or metres > wanted.longest_m + 1e-9:
            return None
    groups: list[tuple[str | None, list[str]]] = [
        (circuit, sorted((piece.id for piece in group), key=turn.__getitem__))
        for circuit, group in (*wanted.fixed.items(), *((None, group) for group in divided))
    ]
    groups.sort(key=lambda each: turn[each[1][-1]])
    ahead = [(sign * (end.at - ways[0].place(box))) % ways[0].length for end in order]
    back = _count_back([(ahead[turn[names[0]]], ahead[turn[names[-1]]]) for _, names in groups],
                       ways[0].length)  # fmt: skip
    onwards, backwards = groups[: len(groups) - back], groups[len(groups) - back :]
    # The lead that goes farthest lies nearest to the wall, and crosses none.
    led = [
        (circuit, names, place, sign) for place, (circuit, names) in enumerate(reversed(onwards))
    ][::-1]
    led += [
        (circuit, names[::-1], place, -sign) for place, (circuit, names) in enumerate(backwards)
    ]
    routed = []
    for circuit, names, place, way_round in led:
        by_name = {end.strip: end for end in all_ends[place]}
        route = route_lead(box, [by_name[name] for name in names], ways[place], way_round)
        routed.append(Group(circuit=circuit, strips=tuple(names), route=route))
    return routed


def _count_back(reaches: Sequence[tuple[float, float]], length: float) -> int:
    """Count how many of the last groups are nearer the other way round; never all of them.

    `reaches` are how far ahead each group's first and last strip is, of a way of that length.
    """

    def total(back: int) -> float:
        onwards, backwards = reaches[: len(reaches) - back], reaches[len(reaches) - back :]
        return sum(last for _, last in onwards) + sum(length - first for first, _ in backwards)

    return min(range(max(1, len(reaches))), key=total)


def divide(pieces: Sequence[LaidStrip], count: int) -> list[list[LaidStrip]]:
    """Divide strips in their order over so many circuits, as evenly as that goes."""
    reached = np.cumsum([piece.amps for piece in pieces])
    total = float(reached[-1])
    groups: list[list[LaidStrip]] = [[] for _ in range(count)]
    for piece, up_to in zip(pieces, reached.tolist(), strict=True):
        middle = up_to - piece.amps / 2
        groups[min(count - 1, int(middle * count / total))].append(piece)
    return [group for group in groups if group]


def _choose_sensor(
    box: Point, sensors: np.ndarray, lines: Sequence[Any], room: RoomFacts, doors: Doors
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
    bars += doors.screwed
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
