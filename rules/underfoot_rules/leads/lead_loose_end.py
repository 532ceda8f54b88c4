"""A lead that ends in nothing, or joins nothing."""

import math

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts, list_joins, strips_of
from underfoot.api.plan import Lead, Stop
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import common_practice


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, Lead]]:
    """Every lead."""
    total = sum(len(room.leads) for room in facts.plan.rooms.values())
    near = tuple(
        Subject(room=room.id, items=(lead.id,), path=lead.path, payload=(room, lead))
        for room in facts.rooms.values()
        for lead in room.drawn.leads
        if _loose_ends(lead) or not _joins(lead)
    )
    return Subjects(candidates=near, total=total)


def _loose_ends(lead: Lead) -> list[Stop]:
    if not lead.route:
        return []
    ends = (lead.route[0], lead.route[-1])[: len(lead.route)]
    return [stop for stop in ends if stop.kind == "bend"]


def _joins(lead: Lead) -> bool:
    return any(first.element is not None or second.element is not None
               for first, second in list_joins(lead))  # fmt: skip


def check(subject: Subject[tuple[RoomFacts, Lead]], facts: Facts, limits: Limits) -> Finding | None:
    """Look for a bend where a route should end, and for fewer than two things joined."""
    room, lead = subject.payload
    strips = strips_of(lead)
    live = any(stop.kind == "box" for stop in lead.route) or not facts.fed.isdisjoint(strips)
    if strips and not live:
        return None  # circuit-feed speaks of its strips, and names it
    loose = _loose_ends(lead)
    if live and loose:
        return _live_end(room, lead, loose[0])
    if not live:
        said = "joins nothing: its route names neither `junction-box` nor a strip"
    elif strips:
        said = f"joins strip {strips[0]} to nothing else"
    else:
        said = "begins at the junction box and joins no strip"
    return Finding(
        message=f"Lead {lead.id} {said}.",
        remedy=f"Name in its route what it is to join (`junction-box`, strips), or leave {lead.id} "
        "out.",
        shape=room.leads[room.drawn.leads.index(lead)].line,
        severity="warning",
    )


def _live_end(room: RoomFacts, lead: Lead, end: Stop) -> Finding:
    x, y = end.at or (math.nan, math.nan)
    which = "begins" if end is lead.route[0] else "ends"
    place = "beginning" if which == "begins" else "end"
    return Finding(
        message=f"Lead {lead.id} {which} at {point_text(x, y)}, where it is joined to nothing: its "
        "two conductors are live there, under the floor.",
        remedy=f"Name at the {place} of its route the strip or box that it is to join"
        f"{_nearest(room, lead, (x, y))}, or shorten it to the last strip that it joins.",
        shape=shapely.Point(x, y),
    )


def _nearest(room: RoomFacts, lead: Lead, spot: tuple[float, float]) -> str:
    """Name the connection nearest to a loose end, with how far away it is."""
    ends = room.connections.reshape(-1, 2)
    named = [(float("inf"), "")]
    if len(ends):
        away = np.hypot(*(ends - spot).T)
        best = int(np.argmin(away))
        element = room.elements[best // 2]
        end = ("start", "end")[best % 2]
        name = element.id if element.connected == end else f"{element.id}.{end}"
        named.append((float(away[best]), name))
    if room.box is not None:
        named.append((math.dist(room.box, spot), "junction-box"))
    away_mm, name = min(named)
    return f" (the nearest is `{name}`, {format_quantity(away_mm, 'mm')} away)" if name else ""


RULE = Rule(
    severities=("error", "warning"),
    finds="a lead that ends in nothing, or that joins nothing",
    why="A conductor that ends under the floor is live there, where a nail or water finds it.",
    basis=common_practice("no conductor ends where nothing is joined to it"),
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
