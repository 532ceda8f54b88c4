"""Lays one room: tries directions, sides, boxes and sensors, the best first, until one passes."""

from __future__ import annotations

import itertools
import math
import string
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.facts.coverage import open_floor
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.mend import Edit
from underfoot.checking.settings import Settings
from underfoot.laying.frame import Frame, Point, list_frames, make_frame
from underfoot.laying.lanes import Choice, Cuts, choose_lanes, list_lanes
from underfoot.laying.leads import (
    End,
    Route,
    Way,
    find_end,
    list_ends,
    list_ways,
    order_ends,
    route_lead,
    write_stops,
)
from underfoot.laying.places import heated_floor, list_boxes, list_sensors
from underfoot.laying.rows import Laid, LaidRow, make_rows, write_row
from underfoot.plan import Film

# What keeps a little more than the least asked for is still right once it is written in whole
# millimetres.
_SPARE = 2.0
# A strip is worth its two connections from here on, mm.
_SHORTEST = 500.0
# Strips keep so far from a movement joint, mm.
_FROM_JOINT = 20.0
# Where a film has no cut lines, strips are cut to so much, mm.
_CUT = 10.0
_LONGEST = 9000.0
# Strips leave no gap narrower than this between them, mm; the check decides.
_GAP = 1000.0
# First guesses at what a circuit carries; the check decides.
_MOST_A, _MOST_M = 10.0, 30.0
_MOST_CIRCUITS = 6
# What a new circuit's cable is taken as until somebody has measured it.
CABLE = {"size": "2.5 mm2", "length": "15 m", "method": "C", "ambient": "30 degC"}
# So many ways of laying are put to the check.
_MOST_CHECKED = 24
# Directions that heat less than this share of the best are not tried; what a floor left wholly
# cold would cost, in metres of lead.
_NEARLY, _COLD = 0.9, 200.0


class Wishes(Struct, frozen=True, kw_only=True):
    """What is wanted: a film, a direction, places that are fixed; None leaves it open."""

    film: str | None = None
    along: str | None = None
    box: Point | None = None


class Laying(Struct, frozen=True, kw_only=True):
    """One way to lay a room, as edits.

    It heats `heated_m2` of the `open_m2` that strips may reach; no parallel strips of the film heat
    more than `bound_m2`. `cables_taken` says that cables stand in it which nobody has measured,
    `less` why it heats less than that.
    """

    edits: tuple[Edit, ...]
    heated_m2: float
    bound_m2: float
    strips: int
    rows: int
    circuits: tuple[str, ...]
    film: str
    open_m2: float
    cables_taken: bool = False
    less: tuple[str, ...] = ()


class CannotLayError(Exception):
    """The room cannot be laid; says why in words."""


class _Floor(Struct, frozen=True, kw_only=True):
    """Rows laid in one direction; `chosen` is the length of all strips that were meant, mm."""

    frame: Frame
    rows: tuple[LaidRow, ...]
    chosen: float

    @property
    def heated(self) -> float:
        """The length of all strips, mm."""
        return sum(row.heated for row in self.rows)


class _Draft(Struct, frozen=True, kw_only=True):
    """Rows with their names, a place for the box, and each circuit's strips and lead.

    `cost` is what is the less the better: metres of lead, bends, circuits, rows, floor left cold.
    """

    floor: _Floor
    rows: list[tuple[str, LaidRow]]
    box: Point
    routes: list[tuple[list[str], Route]]
    cost: float


def list_layings(
    facts: Facts,
    room_id: str,
    settings: Settings,
    data: Mapping[str, Any],
    film: Film,
    wishes: Wishes,
) -> Iterator[Laying]:
    """List ways to lay a room with a film, the best first.

    CannotLayError where there is none: not one strip fits, or no lead reaches the strips.
    """
    room = facts.rooms[room_id]
    cuts = Cuts(
        width=film.width,
        step=film.cut_every or _CUT,
        shortest=max(_SHORTEST, film.cut_every or _CUT),
        longest=film.longest_strip or _LONGEST,
    )
    floor = _free_floor(room, settings)
    open_m2 = float(floor.area) / 1e6
    frames = [make_frame(wishes.along)] if wishes.along else list_frames(room.outline)
    choices = []
    for frame in frames:
        choice = choose_lanes(list_lanes(frame.seen(floor), cuts), cuts, _GAP)
        if choice.heated:
            choices.append((frame, choice))
    if not choices:
        raise CannotLayError(
            f"no strip of {film.id}, {film.width:g} mm wide and {cuts.shortest:g} mm long or "
            "more, fits on the floor that is left open"
        )
    bound = max(choice.bound for _, choice in choices) * film.width / 1e6
    most = max(choice.heated for _, choice in choices)
    # Directions that heat almost as much are tried, too: the leads may lie better there.
    choices = [each for each in choices if each[1].heated >= _NEARLY * most]
    drafts = []
    for frame, choice in choices:
        for at_end in (False, True):
            rows = join_rows(room, frame, choice, cuts, at_end=at_end)
            if rows:
                drafts += _draft(
                    facts,
                    room,
                    film,
                    _Floor(frame=frame, rows=rows, chosen=choice.heated),
                    wishes,
                    most,
                )
    drafts.sort(key=lambda draft: draft.cost)
    some = False
    for each in islice(_wire(drafts, room, film), _MOST_CHECKED):
        some = True
        draft, sensor = each
        yield _write(facts, room, data, film, draft, sensor, bound, open_m2)
    if not some:
        raise CannotLayError(
            "strips fit, but no place for the junction box was found from which leads reach them "
            "along the walls, and the sensor's conduit reaches deep enough below them"
        )


def join_rows(
    room: RoomFacts, frame: Frame, choice: Choice, cuts: Cuts, *, at_end: bool
) -> tuple[LaidRow, ...]:
    """Make rows of chosen lanes, each joined at the side that the way along the walls passes.

    `at_end` counts where both do. A strip that no way passes at either end is left out.
    """
    sides = {each: make_rows(choice.lanes, cuts, at_end=each) for each in (False, True)}
    ways = list_ways(room.outline, room.fixtures, room.outline.representative_point(), 1)
    if not ways:
        return ()
    rows = []
    for at_start, at_far in zip(sides[False], sides[True], strict=True):
        both = {False: at_start, True: at_far}
        reached = {
            side: sum(
                find_end("", strip, frame, cuts.width, ways[0]) is not None for strip in row.laid
            )
            for side, row in both.items()
        }
        side = at_end if reached[at_end] >= reached[not at_end] else not at_end
        strips = [_join(strip, frame, cuts.width, ways[0]) for strip in both[side].laid]
        while strips and strips[-1] is None:
            strips.pop()
        while strips and strips[0] is None:
            del strips[0]
        if strips:
            rows.append(LaidRow(strips=tuple(strips), at_end=side))
    return tuple(rows)


def _join(strip: Laid, frame: Frame, width: float, way: Way) -> Laid | None:
    """Join a strip at its end, or else at the other one."""
    for each in (strip, replace(strip, at_end=not strip.at_end)):
        if find_end("", each, frame, width, way) is not None:
            return each
    return None


def list_films(facts: Facts, room_id: str, wishes: Wishes) -> list[Film]:
    """List the films worth trying in a room: the one wished for, else those that suit it.

    The weakest comes first: no more is laid than is needed. CannotLayError where there is none.
    """
    films = facts.plan.materials.films
    if wishes.film is not None:
        if wishes.film not in films:
            raise CannotLayError(f"the plan and its catalogue have no film {wishes.film}")
        return [films[wishes.film]]
    if not films:
        raise CannotLayError("the plan has no film: write one under `materials`, or a catalogue")
    room = facts.rooms[room_id]
    fit = [film for film in films.values() if _suits(facts, room, film)]
    return sorted(fit or films.values(), key=lambda film: (film.rated_w_m2, film.id))


def _suits(facts: Facts, room: RoomFacts, film: Film) -> bool:
    """Tell whether a film is made for what lies over it, and for the supply's voltage."""
    kinds = {area.covering.kind for area in room.drawn.coverings if area.covering.kind}
    if film.suits is not None and not kinds <= set(film.suits):
        return False
    return abs(film.voltage_v - facts.plan.supply.voltage_v) <= 0.1 * film.voltage_v


def _free_floor(room: RoomFacts, settings: Settings) -> Any:
    def served(use: Any, otherwise: float) -> float:
        found = settings.served(use)
        return otherwise if found is None else found.value

    from_wall = max(served("planned wall clearance", 58.0), served("wall clearance", 50.0))
    from_fixture = served("fixture clearance", 50.0)
    clear = served("clear height", 60.0)
    floor = open_floor(room, from_wall + _SPARE, from_fixture + _SPARE, clear).floor
    for _, line in room.joints:
        floor = floor.difference(line.buffer(_FROM_JOINT, cap_style="square"))
    return floor


def _draft(
    facts: Facts, room: RoomFacts, film: Film, floor: _Floor, wishes: Wishes, most: float
) -> list[_Draft]:
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
                drafts.append(_Draft(floor=floor, rows=rows, box=box, routes=routes, cost=cost))
        if drafts:
            return drafts
    return []


def _wire(drafts: Sequence[_Draft], room: RoomFacts, film: Film) -> Iterator[tuple[_Draft, Point]]:
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
    start = float(ways[0].ring.project(shapely.Point(box)))
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
    return list(islice(letters, count))


def _next_names(
    letter: str, taken: Iterator[str] | Sequence[str] | set[str], count: int
) -> list[str]:
    used = set(taken)
    names = (f"{letter}{number}" for number in itertools.count(1))
    return list(islice((name for name in names if name not in used), count))


def _write(
    facts: Facts,
    room: RoomFacts,
    data: Mapping[str, Any],
    film: Film,
    draft: _Draft,
    sensor: Point,
    bound: float,
    open_m2: float,
) -> Laying:
    """Write a laying as edits to the plan's data."""
    rows, routes, box = draft.rows, draft.routes, draft.box
    own = data["rooms"][room.id]
    circuits = _circuit_names(facts, room, data, len(routes))
    of = {
        strip: circuit
        for circuit, (group, _) in zip(circuits, routes, strict=True)
        for strip in group
    }
    written_rows = {
        name: write_row(
            row,
            draft.floor.frame,
            film.id,
            [of[f"{name}{number}"] for number, strip in enumerate(row.strips, 1) if strip],
        )
        for name, row in rows
    }
    leads = {
        name: {
            "circuit": circuit,
            "size": "1.5 mm2",
            "recessed": True,
            "route": write_stops(route, rows),
        }
        for name, circuit, (_, route) in zip(
            _next_names("W", set(facts.ids), len(routes)), circuits, routes, strict=True
        )
    }
    path: tuple[str | int, ...] = ("rooms", room.id)
    edits = [Edit(op="add", path=(*path, "rows"), value=written_rows)]
    edits += fill_in(own, path, "insulation", _lay_boards(facts, film))
    edits += fill_in(own, path, "membrane", _lay_membrane(facts))
    at_box = {"at": [_tidy(box[0]), _tidy(box[1])], "height": 450}
    edits += fill_in(own, path, "junction_box", at_box)
    edits += fill_in(own, path, "thermostat", _thermostat(room, len(routes)))
    way = math.hypot(sensor[0] - box[0], sensor[1] - box[1])
    below = {
        "at": [_tidy(sensor[0]), _tidy(sensor[1])],
        "route": ["junction-box"],
        "channel": {"width": 13, "depth": 7, "cut_into": "insulation"},
        "conduit": {"width": 12, "depth": 7},
        "cable": f"{math.ceil((way + 1500) / 1000)} m",
    }
    edits += fill_in(own, path, "sensor", below)
    edits.append(Edit(op="add", path=(*path, "leads"), value=leads))
    edits += _write_circuits(facts, room, data, circuits, routes)
    return Laying(
        edits=tuple(edits),
        heated_m2=draft.floor.heated * film.width / 1e6,
        bound_m2=bound,
        strips=sum(len(row.laid) for _, row in rows),
        rows=len(rows),
        circuits=tuple(circuits),
        film=film.id,
        open_m2=open_m2,
        cables_taken=any(name not in facts.plan.circuits for name in circuits),
        less=_say_less(draft.floor, bound, film),
    )


def _say_less(floor: _Floor, bound_m2: float, film: Film) -> tuple[str, ...]:
    """Say why a floor heats less than the most that strips side by side could."""
    why = []
    if floor.heated < floor.chosen - 1e-6:
        left_m2 = (floor.chosen - floor.heated) * film.width / 1e6
        why.append(f"strips of {left_m2:.2f} m2 end at no wall along which a lead could reach them")
    if floor.chosen * film.width / 1e6 < bound_m2 - 1e-6:
        why.append(
            "further strips would leave narrow gaps, or lie another way, in which the leads or "
            "the sensor find no place"
        )
    return tuple(why)


def _tidy(value: float) -> float | int:
    rounded = round(value, 1)
    return int(rounded) if rounded == int(rounded) else rounded


def _circuit_names(facts: Facts, room: RoomFacts, data: Mapping[str, Any], count: int) -> list[str]:
    """Name the circuits: those that the plan has for the room already, then new ones."""
    has = [
        name
        for name, circuit in facts.plan.circuits.items()
        if circuit.thermostat == room.id and circuit.shares is None
    ]
    more = _next_names("C", set(facts.ids) | set(facts.plan.circuits), count)
    return [*has, *more][:count]


def _write_circuits(
    facts: Facts,
    room: RoomFacts,
    data: Mapping[str, Any],
    circuits: Sequence[str],
    routes: Sequence[tuple[list[str], Route]],
) -> Iterator[Edit]:
    there = data.get("circuits")
    new = [name for name in circuits if name not in (there or {})]
    if not new:
        return
    like = next((data["circuits"][name] for name in circuits if name in (there or {})), None)
    value: dict[str, Any] = {
        "thermostat": room.id,
        "breaker": "16 A" if facts.plan.supply.is_extra_low else "10 A",
        **({} if facts.plan.supply.is_extra_low else {"rcd": "30 mA"}),
        "cable": dict(CABLE),
    }
    value = dict(like) if like is not None else value
    if there is None:
        yield Edit(op="add", path=("circuits",), value=dict.fromkeys(new, value))
        return
    for name in new:
        yield Edit(op="add", path=("circuits", name), value=value)


def _thermostat(room: RoomFacts, circuits: int) -> dict[str, Any]:
    warmest = [
        area.covering.warmest_surface_c
        for area in room.drawn.coverings
        if area.covering.warmest_surface_c is not None
    ]
    limit = min([33.0 if room.drawn.use == "bathroom" else 29.0, *warmest])
    value: dict[str, Any] = {
        "height": "1.4 m",
        "switches": "16 A",
        "floor_limit": f"{limit:g} degC",
    }
    if circuits > 1:
        value["contactor"] = {"poles": circuits, "rating": "20 A"}
    return value


def _lay_boards(facts: Facts, film: Film) -> dict[str, Any]:
    boards = facts.plan.materials.boards
    named = [name for name in film.boards or boards if name in boards]
    if not named:
        return {}
    stagger = round(boards[named[0]].size[0] / 2)
    return {
        "board": named[0],
        "joints_taped": True,
        "layers": [{"courses": "x", "stagger": stagger}],
    }


def _lay_membrane(facts: Facts) -> dict[str, Any]:
    sheets = facts.plan.materials.sheets
    if not sheets:
        return {}
    return {
        "sheet": next(iter(sheets)),
        "overlaps_taped": True,
        "perimeter_taped": True,
        "runs": {"along": "x", "overlap": 150},
    }


def fill_in(
    own: Mapping[str, Any], path: tuple[str | int, ...], key: str, value: dict[str, Any]
) -> Iterator[Edit]:
    """Write what is laid under a key; of what the plan says there itself nothing is changed.

    A plan that draws its boards or sheets one by one has laid them.
    """
    if not value:
        return
    has = own.get(key)
    if has is None:
        yield Edit(op="add", path=(*path, key), value=value)
        return
    if not isinstance(has, dict):
        return
    for inner, told in value.items():
        if inner in has and isinstance(told, dict):
            yield from fill_in(has, (*path, key), inner, told)
        elif inner not in has and not _is_drawn_otherwise(key, inner, has):
            yield Edit(op="add", path=(*path, key, inner), value=told)


def _is_drawn_otherwise(key: str, inner: str, has: Mapping[str, Any]) -> bool:
    """Tell whether a membrane's sheets are drawn one by one, where none are laid in runs."""
    return key == "membrane" and inner == "runs" and bool(has.get("pieces"))
