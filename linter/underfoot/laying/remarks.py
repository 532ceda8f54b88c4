"""Remarks on what was laid, as a person would leave them: what lies where, how long, what to do."""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.laying.frame import Point
from underfoot.mending.spans import (
    CannotEditError,
    begins_line,
    find_node,
    find_place,
    line_end_of,
    line_start,
    read_nodes,
)
from underfoot.mending.trial import State
from underfoot.plan import Element
from underfoot.reading.syntax import parse

# What lies no farther from a wall, and turns no more from it, lies along it: mm, and a sine.
_NEAR, _TURNED = 150.0, 0.02
# A shorter piece of a lead is no way along a wall, mm.
_PIECE = 300.0
# Of more walls their number is told alone.
_MOST_NAMED = 3
_BOM = "\ufeff"


class Remark(Struct, frozen=True, kw_only=True):
    """A remark on what stands at a path of the plan."""

    path: tuple[str, ...]
    text: str


def list_remarks(before: State, after: State) -> list[Remark]:
    """List remarks on what a plan has after its rooms were laid, and had not."""
    facts = after.outcome.facts
    found = [
        remark
        for name, room in facts.rooms.items()
        for remark in _remark_on_room(room, name, after)
    ]
    found += _remark_on_circuits(facts, after.data)
    return [each for each in found if not stands(before.data, each.path)]


def stands(data: Any, path: Sequence[str | int]) -> bool:
    """Tell whether anything stands at a path of a plan's data."""
    for part in path:
        if isinstance(data, dict):
            data = data.get(part)
        else:
            is_item = isinstance(data, list) and isinstance(part, int) and 0 <= part < len(data)
            data = data[part] if is_item else None
    return data is not None


def _remark_on_room(room: RoomFacts, name: str, after: State) -> Iterator[Remark]:
    own = after.data["rooms"][name]
    walls = _Walls(room)
    path = ("rooms", name)
    for row in own.get("rows") or {}:
        of = [each for each in room.elements if each.row == row]
        if of:
            metres = sum(each.length for each in of) / 1000
            count = "1 strip" if len(of) == 1 else f"{len(of)} strips"
            yield Remark(
                path=(*path, "rows", row),
                text=f"{count}, {metres:.2f} m in all{walls.say_beside(of[0], room)}",
            )
    if room.box is not None:
        where = walls.name_near(room.box)
        taken = "taken: where it cannot be there, say where it is and lay again"
        yield Remark(
            path=(*path, "junction_box"), text=f"on the {where}, {taken}" if where else taken
        )
    sensor = room.drawn.sensor
    if sensor is not None and own.get("sensor"):
        point = shapely.Point(sensor.at)
        below = next(
            (each.id for each, strip in zip(room.elements, room.strips, strict=True)
             if strip.covers(point)), None,
        )  # fmt: skip
        if below is not None:
            deep = float(room.heated.boundary.distance(point))
            yield Remark(
                path=(*path, "sensor"),
                text=f"below {below}, {deep:.0f} mm within the heated floor",
            )
    for laid in room.leads:
        if laid.line is None:
            continue
        ends = [stop.element for stop in laid.lead.route if stop.element is not None]
        along = walls.list_along(laid.places)
        way = f"along {_listed(along)} " if along else ""
        yield Remark(
            path=(*path, "leads", laid.lead.id),
            text=f"{way}to {ends[-1] if ends else 'its end'}, {laid.line.length / 1000:.1f} m long",
        )


def _listed(walls: Sequence[str]) -> str:
    if len(walls) > _MOST_NAMED:
        return f"{len(walls)} walls"
    *most, last = (f"the {wall}" for wall in walls)
    return f"{', '.join(most)} and {last}" if most else last


def _remark_on_circuits(facts: Facts, data: Mapping[str, Any]) -> Iterator[Remark]:
    for name, circuit in facts.circuits.items():
        if not circuit.elements:
            continue
        metres = sum(each.length for each in circuit.elements) / 1000
        yield Remark(
            path=("circuits", name),
            text=f"{metres:.2f} m of film in {' and '.join(circuit.rooms)}: "
            f"{circuit.power_w:.0f} W, {circuit.current_a:.2f} A",
        )
        if data["circuits"][name].get("cable"):
            yield Remark(
                path=("circuits", name, "cable"), text="taken: measure it, and write what it is"
            )


class _Walls:
    """A room's walls by name: by the side of the drawing, one at an angle by its corners."""

    def __init__(self, room: RoomFacts) -> None:
        ring = shapely.get_coordinates(shapely.orient_polygons(room.outline).exterior)
        self._ring, self._runs = ring, np.diff(ring, axis=0)
        self._lines = shapely.linestrings(np.stack((ring[:-1], ring[1:]), axis=1))

    def _name(self, place: int) -> str:
        x, y = self._runs[place].tolist()
        if abs(y) <= _TURNED * abs(x):
            return "lower wall" if x > 0 else "upper wall"
        if abs(x) <= _TURNED * abs(y):
            return "right wall" if y > 0 else "left wall"
        from_, to = (
            f"[{px:g}, {py:g}]" for px, py in np.round(self._ring[place : place + 2], 1).tolist()
        )
        return f"wall between {from_} and {to}"

    def name_near(self, point: Point) -> str:
        """Name the wall that a point lies on."""
        far = shapely.distance(self._lines, shapely.Point(point))
        return self._name(int(np.argmin(far))) if far.min() <= _NEAR else ""

    def list_along(self, places: Sequence[Point]) -> list[str]:
        """Name the walls that a way runs along, each once."""
        named = (
            self._beside(np.array(a), np.array(b), _NEAR) for a, b in pairwise(places)
            if math.dist(a, b) >= _PIECE
        )  # fmt: skip
        return list(dict.fromkeys(self._name(found[0]) for found in named if found is not None))

    def say_beside(self, strip: Element, room: RoomFacts) -> str:
        """Say how far a strip's long side lies from the wall beside it, where one does."""
        a, b, c, d = room.corners[room.place_of[strip.id]]
        sides = [self._beside(*side, strip.film.width) for side in ((a, b), (c, d))]
        near = min((each for each in sides if each), key=lambda each: each[1], default=None)
        return f"; {strip.id} lies {near[1]:.0f} mm from the {self._name(near[0])}" if near else ""

    def _beside(self, a: np.ndarray, b: np.ndarray, most: float) -> tuple[int, float] | None:
        """Find the wall that two points lie along, no farther off than that, and how far off."""
        run = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        turned = np.abs(self._runs @ (run[1], -run[0])) / np.hypot(*self._runs.T)
        far = shapely.distance(self._lines, shapely.LineString((a, b)))
        far = np.where(turned <= _TURNED, far, np.inf)
        place = int(np.argmin(far))
        return (place, float(far[place])) if far[place] <= most else None


def put_remarks(text: str, remarks: Sequence[Remark]) -> str:
    """Put each remark on a line of its own above what it is about, where that begins a line.

    What the text says stays the same; it is given back as it was where that cannot be.
    """
    bom = _BOM if text.startswith(_BOM) else ""
    bare = text.removeprefix(bom)
    try:
        root = read_nodes(bare)
    except CannotEditError:
        return text
    put: list[tuple[int, str]] = []
    for remark in remarks:
        *above, last = remark.path
        try:
            holder = find_node(root, above)
        except CannotEditError:
            continue
        at = find_place(holder, last)
        if at is None or holder.is_flow:
            continue
        key = holder.parts[at][0].start
        if begins_line(bare, key):
            start = line_start(bare, key)
            put.append((start, f"{bare[start:key]}# {remark.text}{line_end_of(bare)}"))
    for start, line in sorted(put, reverse=True):
        bare = bare[:start] + line + bare[start:]
    was, now = (parse(each.encode("utf-8", "surrogatepass")) for each in (text, bom + bare))
    return bom + bare if not now.problems and now.data == was.data else text
