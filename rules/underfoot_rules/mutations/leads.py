"""Leads taken the wrong way."""

from __future__ import annotations

import random
from typing import Any

from shapely import Point
from shapely.ops import nearest_points

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import (
    cause,
    choose_room,
    choose_strip,
    damages,
    heated_rooms,
    new_id,
)
from underfoot_rules.mutations.drawn import Drawn, middle
from underfoot_rules.mutations.expand_rows import copy_plan, mm


def _choose(data: Data, rng: random.Random) -> tuple[Data, Drawn, str, list[Any]] | None:
    """Choose a room and one of its leads, with its route."""
    chosen = choose_room(data, rng)
    if chosen is None or not chosen[1].leads:
        return None
    plan, room = chosen
    lead = rng.choice(list(room.leads))
    route: list[Any] = room.data["leads"][lead]["route"]
    return plan, room, lead, route


def _bends(route: list[Any]) -> list[int]:
    return [place for place, stop in enumerate(route) if not isinstance(stop, str)]


def cut_corner(data: Data, rng: random.Random) -> Damaged | None:
    """Take a lead the short way, under the strips."""
    chosen = _choose(data, rng)
    if chosen is None or not _bends(chosen[3]):
        return None
    plan, _, _, route = chosen
    for place in sorted(_bends(route), reverse=True):
        if rng.random() < 0.7:
            del route[place]
    return Damaged(data=plan)


def stray_under_strip(data: Data, rng: random.Random) -> Damaged | None:
    """Take a lead round a bend below a strip."""
    chosen = _choose(data, rng)
    if chosen is None or not _bends(chosen[3]):
        return None
    plan, room, _, route = chosen
    x, y = middle(choose_strip(room, rng))
    route[rng.choice(_bends(route))] = [round(x, 1), round(y, 1)]
    return Damaged(data=plan)


@damages(_choose)
def join_far_end(
    plan: Data, room: Drawn, _: str, route: list[Any], rng: random.Random
) -> Damaged | None:
    """Join a strip at its far end, so that the lead runs below it or its neighbour."""
    places = [p for p, s in enumerate(route) if isinstance(s, str) and s in room.strips]
    if not places:
        return None
    place = rng.choice(places)
    strip = room.strips[route[place]]
    route[place] += ".end" if strip.connected == "start" else ".start"
    return Damaged(data=plan)


def leave_room(data: Data, rng: random.Random) -> Damaged | None:
    """Draw a bend of a lead in or beyond the wall."""
    chosen = _choose(data, rng)
    if chosen is None or not _bends(chosen[3]):
        return None
    plan, room, _, route = chosen
    place = rng.choice(_bends(route))
    bend = Point(mm(route[place][0]), mm(route[place][1]))
    wall = nearest_points(room.outline.exterior, bend)[0]
    far = wall.distance(bend)
    if far < 1:
        return None
    by = 1 + rng.randint(5, 80) / far
    route[place] = [
        round(bend.x + (wall.x - bend.x) * by, 1),
        round(bend.y + (wall.y - bend.y) * by, 1),
    ]
    return Damaged(data=plan)


def lay_on_top(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a lead on the insulation, or say nothing of it."""
    plan = copy_plan(data)
    leads = [
        (room, lead)
        for room in heated_rooms(plan)
        for lead in plan["rooms"][room].get("leads") or {}
    ]
    if not leads:
        return None
    room, lead = rng.choice(leads)
    told = plan["rooms"][room]["leads"][lead]
    if rng.random() < 0.5:
        told.pop("recessed", None)
    else:
        told["recessed"] = False
    return cause(plan, "lead-recessed", room, lead, severity="warning")


def _spot_beside(room: Drawn, lead: str, rng: random.Random) -> tuple[Any, Any] | None:
    """Choose a spot on a lead where no strip is, and the spot just before it."""
    line = room.leads[lead].line
    for _ in range(10):
        far = rng.uniform(5, max(6.0, line.length - 5))
        spot, before = line.interpolate(far), line.interpolate(far - 1)
        if all(strip.shape.distance(spot) > 20 for strip in room.strips.values()):
            return spot, before
    return None


@damages(_choose)
def cut_a_joint_below(
    plan: Data, room: Drawn, lead: str, _: list[Any], rng: random.Random
) -> Damaged | None:
    """Leave a movement joint out of account that runs across a lead."""
    found = _spot_beside(room, lead, rng)
    if found is None:
        return None
    spot, before = found
    dx, dy = spot.x - before.x, spot.y - before.y
    name = new_id(room.data, "joints", "J9")
    room.data.setdefault("joints", {})[name] = [
        [round(spot.x - half * dy, 2), round(spot.y + half * dx, 2)] for half in (-18, 18)
    ]
    return Damaged(data=plan)


@damages(_choose)
def screw_through(
    plan: Data, room: Drawn, lead: str, _: list[Any], rng: random.Random
) -> Damaged | None:
    """Add fixings or a post over a lead."""
    found = _spot_beside(room, lead, rng)
    if found is None:
        return None
    spot, _ = found
    width, depth = rng.choice(((8, 80), (80, 8), (20, 20)))
    told = rng.choice(
        ({"kind": "fixings"}, {"kind": "structure"}, {"kind": "basin", "stands_on": "subfloor"})
    )
    name = new_id(room.data, "fixtures", "stop")
    room.data.setdefault("fixtures", {})[name] = {
        "at": [round(spot.x - width / 2), round(spot.y - depth / 2)],
        "size": [width, depth],
        **told,
    }
    return Damaged(data=plan)


def go_on_to_nothing(data: Data, rng: random.Random) -> Damaged | None:
    """Take a lead on beyond its last strip, or begin it short of the box, to a bend."""
    chosen = _choose(data, rng)
    if chosen is None or not isinstance(chosen[3][-1], str):
        return None
    plan, room, lead, route = chosen
    end = Point(room.leads[lead].line.coords[-1])
    wall = nearest_points(room.outline.exterior, end)[0]
    x, y = (end.x + wall.x) / 2 - end.x, (end.y + wall.y) / 2 - end.y
    aside = rng.choice((-1, 1)) * rng.uniform(0.5, 3)
    route.append([round(end.x + x - aside * y, 1), round(end.y + y + aside * x, 1)])
    return Damaged(data=plan)


def lay_for_later(data: Data, rng: random.Random) -> Damaged | None:
    """Lay a lead out of the box, and perhaps back, for strips that never came."""
    chosen = _choose(data, rng)
    if chosen is None or not _bends(chosen[3]):
        return None
    plan, room, lead, route = chosen
    bend = route[rng.choice(_bends(route))]
    back = ["junction-box", bend, "junction-box"]
    out = rng.choice((back, [bend, [bend[0], bend[1]]], ["junction-box", bend]))
    name = new_id(room.data, "leads", "lead-added")
    room.data["leads"][name] = {**room.data["leads"][lead], "route": out}
    return Damaged(data=plan)


@damages(_choose)
def feed_twice(
    plan: Data, room: Drawn, lead: str, _: list[Any], rng: random.Random
) -> Damaged | None:
    """Join two strips of a circuit by a second lead, or one strip to the box again."""
    strips = [name for name in room.leads[lead].strips if name in room.strips]
    ends = [f"{n}.{'end' if room.strips[n].connected == 'start' else 'start'}" for n in strips]
    if len(ends) > 1 and rng.random() < 0.6:
        at = rng.randrange(len(ends) - 1)
        route = ends[at : at + 2]
    else:
        route = ["junction-box", rng.choice(strips)]
    name = new_id(room.data, "leads", "lead-added")
    room.data["leads"][name] = {**room.data["leads"][lead], "route": route}
    return Damaged(data=plan)


@damages(_choose)
def feed_on_and_on(
    plan: Data, room: Drawn, lead: str, route: list[Any], rng: random.Random
) -> Damaged | None:
    """Join the first strip alone, and feed all others from its far end."""
    strips = [stop for stop in route if isinstance(stop, str) and stop in room.strips]
    if len(strips) < 2 or any(isinstance(stop, str) and "." in stop for stop in route):
        return None
    far = [f"{n}.{'end' if room.strips[n].connected == 'start' else 'start'}" for n in strips]
    del route[route.index(strips[0]) + 1 :]
    name = new_id(room.data, "leads", "lead-added")
    room.data["leads"][name] = {**room.data["leads"][lead], "route": far}
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="lead-under-element", name="corner-cut",
             says="A lead was taken the short way to its strips, under others.", apply=cut_corner),
    Mutation(rule="lead-under-element", name="bend-under-strip",
             says="A lead was taken round below a strip.", apply=stray_under_strip),
    Mutation(rule="lead-under-element", name="joined-at-far-end",
             says="A strip was joined at its far end, and the lead runs the length of it.",
             apply=join_far_end),
    Mutation(rule="lead-outside-room", name="bend-in-the-wall",
             says="A lead was drawn on the wrong side of the wall line.", apply=leave_room),
    Mutation(rule="lead-recessed", name="lead-not-recessed",
             says="A lead was left on top of the insulation.", apply=lay_on_top),
    Mutation(rule="lead-joint", name="joint-under-lead",
             says="A movement joint in the border was not marked when the lead was drawn.",
             apply=cut_a_joint_below),
    Mutation(rule="lead-under-fixture", name="screwed-through-lead",
             says="A rail was screwed down where the leads lie.", apply=screw_through),
    Mutation(rule="lead-loose-end", name="lead-goes-on-to-nothing",
             says="A lead was taken on beyond its last strip, to one that is not there.",
             apply=go_on_to_nothing),
    Mutation(rule="lead-loose-end", name="lead-for-later",
             says="A lead was laid for strips that never came.", apply=lay_for_later),
    Mutation(rule="lead-ring", name="fed-twice",
             says="A second lead was taken to strips that one feeds already.", apply=feed_twice),
    Mutation(rule="strip-length", name="all-fed-through-the-first",
             says="All strips of a lead were fed on from the far end of the first.",
             apply=feed_on_and_on),
)  # fmt: skip
