"""Leads taken the wrong way."""

import random
from typing import Any

from shapely import Point
from shapely.ops import nearest_points

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import add, choose_room, choose_strip, heated_rooms, stand
from underfoot_rules.mutations.damaging import Caused, UnfitError, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, middle
from underfoot_rules.mutations.expand_rows import mm


def _choose(plan: Data, rng: random.Random) -> tuple[Drawn, str, list[Any]]:
    """Choose a room and one of its leads, with its route."""
    room = choose_room(plan, rng)
    given(room.leads)
    lead = rng.choice(list(room.leads))
    route: list[Any] = room.data["leads"][lead]["route"]
    return room, lead, route


def _bends(route: list[Any]) -> list[int]:
    return [place for place, stop in enumerate(route) if not isinstance(stop, str)]


@mutation("lead-under-element", "corner-cut")
def cut_corner(plan: Data, rng: random.Random) -> None:
    """A lead was taken the short way to its strips, under others."""
    _, _, route = _choose(plan, rng)
    given(_bends(route))
    for place in sorted(_bends(route), reverse=True):
        if rng.random() < 0.7:
            del route[place]


@mutation("lead-under-element", "bend-under-strip")
def stray_under_strip(plan: Data, rng: random.Random) -> None:
    """A lead was taken round below a strip."""
    room, _, route = _choose(plan, rng)
    given(_bends(route))
    x, y = middle(choose_strip(room, rng))
    route[rng.choice(_bends(route))] = [round(x, 1), round(y, 1)]


@mutation("lead-under-element", "joined-at-far-end")
def join_far_end(plan: Data, rng: random.Random) -> None:
    """A strip was joined at its far end, and the lead runs the length of it."""
    room, _, route = _choose(plan, rng)
    place = pick(rng, (p for p, s in enumerate(route) if isinstance(s, str) and s in room.strips))
    strip = room.strips[route[place]]
    route[place] += ".end" if strip.connected == "start" else ".start"


@mutation("lead-outside-room", "bend-in-the-wall")
def leave_room(plan: Data, rng: random.Random) -> None:
    """A lead was drawn on the wrong side of the wall line."""
    room, _, route = _choose(plan, rng)
    given(_bends(route))
    place = rng.choice(_bends(route))
    bend = Point(mm(route[place][0]), mm(route[place][1]))
    wall = nearest_points(room.outline.exterior, bend)[0]
    far = wall.distance(bend)
    given(far >= 1)
    by = 1 + rng.randint(5, 80) / far
    route[place] = [
        round(bend.x + (wall.x - bend.x) * by, 1),
        round(bend.y + (wall.y - bend.y) * by, 1),
    ]


@mutation("lead-recessed", "lead-not-recessed")
def lay_on_top(plan: Data, rng: random.Random) -> Caused:
    """A lead was left on top of the insulation."""
    leads = [
        (room, lead)
        for room in heated_rooms(plan)
        for lead in plan["rooms"][room].get("leads") or {}
    ]
    room, lead = pick(rng, leads)
    told = plan["rooms"][room]["leads"][lead]
    if rng.random() < 0.5:
        told.pop("recessed", None)
    else:
        told["recessed"] = False
    return cause("lead-recessed", room, lead, severity="warning")


def _spot_beside(room: Drawn, lead: str, rng: random.Random) -> tuple[Any, Any]:
    """Choose a spot on a lead where no strip is, and the spot just before it."""
    line = room.leads[lead].line
    for _ in range(10):
        far = rng.uniform(5, max(6.0, line.length - 5))
        spot, before = line.interpolate(far), line.interpolate(far - 1)
        if all(strip.shape.distance(spot) > 20 for strip in room.strips.values()):
            return spot, before
    raise UnfitError


@mutation("lead-joint", "joint-under-lead")
def cut_a_joint_below(plan: Data, rng: random.Random) -> None:
    """A movement joint in the border was not marked when the lead was drawn."""
    room, lead, _ = _choose(plan, rng)
    spot, before = _spot_beside(room, lead, rng)
    dx, dy = spot.x - before.x, spot.y - before.y
    halves = (-18, 18)
    joint = [[round(spot.x - by * dy, 2), round(spot.y + by * dx, 2)] for by in halves]
    add(room.data, "joints", "J9", joint)


@mutation("lead-under-fixture", "screwed-through-lead")
def screw_through(plan: Data, rng: random.Random) -> None:
    """A rail was screwed down where the leads lie."""
    room, lead, _ = _choose(plan, rng)
    spot, _ = _spot_beside(room, lead, rng)
    size = rng.choice(((8, 80), (80, 8), (20, 20)))
    told = rng.choice(
        ({"kind": "fixings"}, {"kind": "structure"}, {"kind": "basin", "stands_on": "subfloor"})
    )
    stand(room.data, "stop", (spot.x, spot.y), size, told)


@mutation("lead-loose-end", "lead-goes-on-to-nothing")
def go_on_to_nothing(plan: Data, rng: random.Random) -> None:
    """A lead was taken on beyond its last strip, to one that is not there."""
    # Take a lead on beyond its last strip, or begin it short of the box, to a bend.
    room, lead, route = _choose(plan, rng)
    given(isinstance(route[-1], str))
    end = Point(room.leads[lead].line.coords[-1])
    wall = nearest_points(room.outline.exterior, end)[0]
    x, y = (end.x + wall.x) / 2 - end.x, (end.y + wall.y) / 2 - end.y
    aside = rng.choice((-1, 1)) * rng.uniform(0.5, 3)
    route.append([round(end.x + x - aside * y, 1), round(end.y + y + aside * x, 1)])


@mutation("lead-loose-end", "lead-for-later")
def lay_for_later(plan: Data, rng: random.Random) -> None:
    """A lead was laid for strips that never came."""
    room, lead, route = _choose(plan, rng)
    bend = route[pick(rng, _bends(route))]
    back = ["junction-box", bend, "junction-box"]
    out = rng.choice((back, [bend, [bend[0], bend[1]]], ["junction-box", bend]))
    add(room.data, "leads", "lead-added", {**room.data["leads"][lead], "route": out})


@mutation("lead-ring", "fed-twice")
def feed_twice(plan: Data, rng: random.Random) -> None:
    """A second lead was taken to strips that one feeds already."""
    # Join two strips of a circuit by a second lead, or one strip to the box again.
    room, lead, _ = _choose(plan, rng)
    strips = [name for name in room.leads[lead].strips if name in room.strips]
    ends = [f"{n}.{'end' if room.strips[n].connected == 'start' else 'start'}" for n in strips]
    if len(ends) > 1 and rng.random() < 0.6:
        at = rng.randrange(len(ends) - 1)
        route = ends[at : at + 2]
    else:
        route = ["junction-box", rng.choice(strips)]
    add(room.data, "leads", "lead-added", {**room.data["leads"][lead], "route": route})


@mutation("strip-length", "all-fed-through-the-first")
def feed_on_and_on(plan: Data, rng: random.Random) -> None:
    """All strips of a lead were fed on from the far end of the first."""
    room, lead, route = _choose(plan, rng)
    strips = [stop for stop in route if isinstance(stop, str) and stop in room.strips]
    given(len(strips) >= 2 and not any(isinstance(stop, str) and "." in stop for stop in route))
    far = [f"{n}.{'end' if room.strips[n].connected == 'start' else 'start'}" for n in strips]
    del route[route.index(strips[0]) + 1 :]
    add(room.data, "leads", "lead-added", {**room.data["leads"][lead], "route": far})
