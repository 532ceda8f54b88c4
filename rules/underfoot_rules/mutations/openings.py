"""Doors hung, and their thresholds held, without a look at what lies there."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from itertools import pairwise

from shapely import LineString, Point

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import choose_room, lose_room_thing
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, Spot

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


def _hang(room: Drawn, wall: Wall, start: float, width: float, told: Data) -> None:
    """Hang a door in a wall, in place of all other openings, where the wall is long enough."""
    long = math.dist(*wall)
    given(start >= 1 and start + width <= long - 1)

    def place(off: float) -> list[float]:
        (x, y), (u, v) = wall
        return [round(x + (u - x) * off / long, 2), round(y + (v - y) * off / long, 2)]

    room.data["openings"] = {
        "door-new": {"kind": "door", "from": place(start), "to": place(start + width), **told}
    }


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
    width = rng.choice(_WIDTHS)
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
    thermostat.setdefault("at", list(room.box or ()))
    spot = Point(thermostat["at"])
    wall = min(_walls(room), key=lambda each: LineString(each).distance(spot))
    width, off = rng.choice(_WIDTHS), rng.randint(60, 500)
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
    width = rng.choice(_WIDTHS)
    start = LineString(wall).project(Point(spot)) - width * rng.uniform(0.2, 0.8)
    told = {"hinge": "to", "opens": "outwards", "threshold": rng.choice(("glued", "none"))}
    _hang(room, wall, start, width, told)


@mutation("hung-in-opening", "broken-through-at-the-box")
def break_through_at_box(plan: Data, rng: random.Random) -> None:
    """A door was broken through where the junction box hangs."""
    room = choose_room(plan, rng)
    spot = Point(given(room.box))
    wall = min(_walls(room), key=lambda each: LineString(each).distance(spot))
    width = rng.choice(_WIDTHS)
    start = LineString(wall).project(spot) - rng.randint(-60, width + 60)
    told: Data = {"opens": "slides", "threshold": "none"}
    if rng.random() < 0.5:
        told = {"kind": "passage", "threshold": "none"}
    elif rng.random() < 0.5:
        told = {"kind": "window", "sill": rng.choice((0, 400, 900))}
    _hang(room, wall, start, width, told)
