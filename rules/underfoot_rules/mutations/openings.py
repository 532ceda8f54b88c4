"""Doors hung, and their thresholds held, without a look at what lies there."""

import math
import random
from collections.abc import Iterator
from itertools import pairwise

from shapely import LineString, Point

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import choose_room, lose_room_thing
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, Spot
from underfoot_rules.mutations.expand_rows import mm

Wall = tuple[Spot, Spot]

_WIDTHS = (700, 800, 900)


@mutation("openings-missing", "openings-not-drawn")
def forget_openings(plan: Data, rng: random.Random) -> Caused:
    """Nobody drew the door and the window of one room."""
    # Leave a room's doors and windows out, where those of another are drawn.
    lost = lose_room_thing(plan, rng, "openings")
    given(any(room.get("openings") for room in plan["rooms"].values()))
    return cause("openings-missing", lost, severity="note")


def _walls(room: Drawn) -> Iterator[Wall]:
    """List the walls, always with the room on the same side."""
    ring = list(room.outline.exterior.coords)
    yield from pairwise(ring)


def _door(room: Drawn) -> str:
    """Return the room's door, which is moved; a name for one where it has none."""
    openings = room.data.get("openings") or {}
    return next((name for name, told in openings.items() if told["kind"] == "door"), "door-new")


def _width(room: Drawn, rng: random.Random) -> float:
    """Return the width of the room's door: of another one than there is only where it has none."""
    there = (room.data.get("openings") or {}).get(_door(room))
    return rng.choice(_WIDTHS) if there is None else _line(there).length


def _line(told: Data) -> LineString:
    return LineString([[mm(each) for each in told[key]] for key in ("from", "to")])


def _hang(room: Drawn, wall: Wall, start: float, width: float, told: Data) -> None:
    """Hang the door in a wall instead, where that is long enough and has no other opening there."""
    long = math.dist(*wall)
    given(start >= 1 and start + width <= long - 1)

    def place(off: float) -> list[float]:
        (x, y), (u, v) = wall
        return [round(x + (u - x) * off / long, 2), round(y + (v - y) * off / long, 2)]

    name = _door(room)
    hung = {"kind": "door", "from": place(start), "to": place(start + width), **told}
    others = {each: one for each, one in (room.data.get("openings") or {}).items() if each != name}
    given(all(_line(one).distance(_line(hung)) > 1 for one in others.values()))
    room.data["openings"] = {**others, name: hung}


@mutation("threshold-fixing", "threshold-screwed-over-a-lead")
def screw_over_lead(plan: Data, rng: random.Random) -> None:
    """The door was moved to where a lead runs, and its threshold screwed down."""
    room = choose_room(plan, rng)
    runs = [
        (wall, beside)
        for wall in _walls(room)
        for lead in room.leads.values()
        for beside in (lead.line.intersection(LineString(wall).buffer(40, cap_style="flat")),)
        if beside.length > 200
    ]
    wall, beside = pick(rng, runs)
    width = _width(room, rng)
    spot = beside.interpolate(rng.random(), normalized=True)
    start = LineString(wall).project(spot) - width * rng.uniform(0.2, 0.8)
    told = {"hinge": "from", "opens": "outwards", "threshold": "screwed"}
    _hang(room, wall, start, width, told)


@mutation("thermostat-behind-door", "thermostat-behind-the-leaf")
def hang_door_by_thermostat(plan: Data, rng: random.Random) -> None:
    """The door was hung at its other end, and opens onto the thermostat."""
    room = choose_room(plan, rng)
    thermostat = given(room.data.get("thermostat"))
    given("room" not in thermostat and room.box)
    spot = Point([mm(each) for each in thermostat["at"]] if "at" in thermostat else room.box)
    wall = min(_walls(room), key=lambda each: LineString(each).distance(spot))
    width, off = _width(room, rng), rng.randint(60, 500)
    here = LineString(wall).project(spot)
    told = {"opens": "inwards", "threshold": "glued"}
    if rng.random() < 0.5:
        _hang(room, wall, here + off, width, {"hinge": "from", **told})
    else:
        _hang(room, wall, here - off - width, width, {"hinge": "to", **told})


@mutation("doorway-joint", "door-where-the-strips-are-joined")
def hang_door_at_joints(plan: Data, rng: random.Random) -> None:
    """A door was broken through where the strips are joined."""
    room = choose_room(plan, rng)
    joints = [
        spot for lead in room.leads.values() for spot, strip in lead.stops if strip is not None
    ]
    near = [
        (wall, spot)
        for wall in _walls(room)
        for spot in joints
        if LineString(wall).distance(Point(spot)) < 240
    ]
    wall, spot = pick(rng, near)
    width = _width(room, rng)
    start = LineString(wall).project(Point(spot)) - width * rng.uniform(0.2, 0.8)
    told = {"hinge": "to", "opens": "outwards", "threshold": rng.choice(("glued", "none"))}
    _hang(room, wall, start, width, told)


@mutation("hung-in-opening", "broken-through-at-the-box")
def break_through_at_box(plan: Data, rng: random.Random) -> None:
    """A door was broken through where the junction box hangs."""
    room = choose_room(plan, rng)
    spot = Point(given(room.box))
    wall = min(_walls(room), key=lambda each: LineString(each).distance(spot))
    width = _width(room, rng)
    start = LineString(wall).project(spot) - rng.uniform(-60, width + 60)
    told: Data = {"opens": "slides", "threshold": "none"}
    if rng.random() < 0.5:
        told = {"kind": "passage", "threshold": "none"}
    elif rng.random() < 0.5:
        told = {"kind": "window", "sill": rng.choice((0, 400, 900))}
    _hang(room, wall, start, width, told)
