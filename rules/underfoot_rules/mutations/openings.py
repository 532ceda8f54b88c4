"""Doors hung, and their thresholds held, without a look at what lies there."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from itertools import pairwise

from shapely import LineString, Point

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import cause, choose_room, damages, lose_room_thing
from underfoot_rules.mutations.drawn import Drawn, Spot

Wall = tuple[Spot, Spot]

_WIDTHS = (700, 800, 900)


def forget_openings(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a room's doors and windows out, where those of another are drawn."""
    lost = lose_room_thing(data, rng, "openings")
    if lost is None or not any(room.get("openings") for room in lost[0]["rooms"].values()):
        return None
    return cause(lost[0], "openings-missing", lost[1], severity="note")


def _walls(room: Drawn) -> Iterator[Wall]:
    """List the walls, always with the room on the same side."""
    ring = list(room.outline.exterior.coords)
    yield from pairwise(ring)


def _hang(room: Drawn, wall: Wall, start: float, width: float, told: Data) -> bool:
    """Hang a door in a wall, in place of all other openings, where the wall is long enough."""
    long = math.dist(*wall)
    if start < 1 or start + width > long - 1:
        return False

    def place(off: float) -> list[float]:
        (x, y), (u, v) = wall
        return [round(x + (u - x) * off / long, 2), round(y + (v - y) * off / long, 2)]

    room.data["openings"] = {
        "door-new": {"kind": "door", "from": place(start), "to": place(start + width), **told}
    }
    return True


@damages(choose_room)
def screw_over_lead(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Hang a door where a lead runs along the wall, and screw its threshold down."""
    runs = [
        (wall, beside)
        for wall in _walls(room)
        for lead in room.leads.values()
        for beside in (lead.line.intersection(LineString(wall).buffer(40, cap_style="flat")),)
        if beside.length > 200
    ]
    if not runs:
        return None
    wall, beside = rng.choice(runs)
    width = rng.choice(_WIDTHS)
    spot = beside.interpolate(rng.random(), normalized=True)
    start = LineString(wall).project(spot) - width * rng.uniform(0.2, 0.8)
    told = {"hinge": "from", "opens": "outwards", "threshold": "screwed"}
    return Damaged(data=plan) if _hang(room, wall, start, width, told) else None


@damages(choose_room)
def hang_door_by_thermostat(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Hang a door beside the thermostat, with its hinge on that side."""
    thermostat = room.data.get("thermostat")
    if not thermostat or "room" in thermostat or room.box is None:
        return None
    thermostat.setdefault("at", list(room.box))
    spot = Point(thermostat["at"])
    wall = min(_walls(room), key=lambda each: LineString(each).distance(spot))
    width, off = rng.choice(_WIDTHS), rng.randint(60, 500)
    here = LineString(wall).project(spot)
    told = {"opens": "inwards", "threshold": "glued"}
    if rng.random() < 0.5:
        hung = _hang(room, wall, here + off, width, {"hinge": "from", **told})
    else:
        hung = _hang(room, wall, here - off - width, width, {"hinge": "to", **told})
    return Damaged(data=plan) if hung else None


@damages(choose_room)
def hang_door_at_joints(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Hang a door in the wall at which strips are joined."""
    joints = [
        spot for lead in room.leads.values() for spot, strip in lead.stops if strip is not None
    ]
    near = [
        (wall, spot)
        for wall in _walls(room)
        for spot in joints
        if LineString(wall).distance(Point(spot)) < 240
    ]
    if not near:
        return None
    wall, spot = rng.choice(near)
    width = rng.choice(_WIDTHS)
    start = LineString(wall).project(Point(spot)) - width * rng.uniform(0.2, 0.8)
    told = {"hinge": "to", "opens": "outwards", "threshold": rng.choice(("glued", "none"))}
    return Damaged(data=plan) if _hang(room, wall, start, width, told) else None


MUTATIONS = (
    Mutation(rule="openings-missing", name="openings-not-drawn",
             says="Nobody drew the door and the window of one room.", apply=forget_openings),
    Mutation(rule="threshold-fixing", name="threshold-screwed-over-a-lead",
             says="The door was moved to where a lead runs, and its threshold screwed down.",
             apply=screw_over_lead),
    Mutation(rule="thermostat-behind-door", name="thermostat-behind-the-leaf",
             says="The door was hung at its other end, and opens onto the thermostat.",
             apply=hang_door_by_thermostat),
    Mutation(rule="doorway-joint", name="door-where-the-strips-are-joined",
             says="A door was broken through where the strips are joined.",
             apply=hang_door_at_joints),
)  # fmt: skip
