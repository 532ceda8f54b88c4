"""A sensor cable that crosses a lead, or runs along one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from shapely import LineString

from underfoot.api.facts import AT_THE_BOX, Facts, Place, RoomFacts, hangs_on
from underfoot.api.physics import crossings, lines
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    format_quantity,
    point_text,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.basis import COMMON_PRACTICE

# A cable may run along a lead for so long before the lead warms it, or is heard by it.
ALONGSIDE = 300.0


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, NearLead]]:
    """The sensor's route with every lead of its room."""
    apart = facts.limits["sensor-near-lead"]["apart"]
    total = 0
    listed = []
    for room in facts.heated_rooms:
        total += len(room.leads)
        if len(room.sensor_way) < 2:
            listed += [
                _subject(room, NearLead(which=i, length=0.0, crossing=None))
                for i in range(len(room.leads))
            ]
            continue
        listed += [_subject(room, near) for near in find_near_leads(room, room.sensor_way, apart)]
    return Subjects(candidates=listed, total=total)


def _subject(room: RoomFacts, near: NearLead) -> Subject[tuple[RoomFacts, NearLead]]:
    lead = room.drawn.leads[near.which]
    return Subject(room=room.id, items=(lead.id,), path=lead.path, payload=(room, near))


def check(
    subject: Subject[tuple[RoomFacts, NearLead]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Find a crossing, or more than 300 mm of route too near, the way out of the box aside."""
    room, near = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    if len(room.sensor_way) < 2:
        return not_given.ROUTE
    runs_along = above(near.length, ALONGSIDE)
    if not runs_along and near.crossing is None:
        return None
    (lead,) = subject.items
    apart = format_quantity(limits["apart"], "mm")
    said = []
    if near.crossing is not None:
        said.append(f"crosses lead {lead} at {point_text(*near.crossing)}")
    if runs_along:
        said.append(
            f"runs within {apart} of {'it' if said else f'lead {lead}'} for {{measured}}, "
            "where {limit} is the most"
        )
    return Finding(
        message=f"The sensor's cable {' and '.join(said)}.",
        remedy=_advise(room, limits["apart"], lead),
        measured=near.length if runs_along else 0.0,
        most=ALONGSIDE if runs_along else None,
        limit_key="apart",
        shape=LineString(room.sensor_way)
        if near.crossing is None
        else shapely.Point(near.crossing),
        related=(sensor.path,),
    )


def _advise(room: RoomFacts, apart: float, lead: str) -> str:
    straight = (room.sensor_way[0], room.sensor_way[-1])
    if not any(
        near.crossing is not None or above(near.length, ALONGSIDE)
        for near in find_near_leads(room, straight, apart)
    ):
        return (
            f"Take the sensor's conduit straight from {point_text(*straight[0])} to "
            f"{point_text(*straight[1])}: "
            "that way it is clear of every lead."
        )
    return (
        f"Take the sensor's conduit or {lead} another way, {format_quantity(apart, 'mm')} apart "
        f"and without a crossing; only the first {format_quantity(AT_THE_BOX, 'mm')} of the "
        "conduit from the junction box may lie nearer."
    )


class NearLead(Struct, frozen=True, kw_only=True):
    """A lead that the sensor's route comes too near: its place in the room's leads, the length
    of route nearer than allowed, and where the two cross (None where they do not)."""

    which: int
    length: float
    crossing: Place | None


@hangs_on("leads", "elements", "junction_box")
def find_near_leads(room: RoomFacts, way: tuple[Place, ...], apart: float) -> tuple[NearLead, ...]:
    """Find the leads that a way over the floor crosses or comes nearer than `apart`.

    The first 300 mm from the junction box do not count.
    """
    drawn = [which for which, lead in enumerate(room.leads) if lead.line is not None]
    if not drawn or len(way) < 2:
        return ()
    if room.box is not None and way[0] == room.box:
        way = _after(way, AT_THE_BOX)
        if len(way) < 2:
            return ()
    route = LineString(way)
    leads = np.array([room.leads[which].line for which in drawn], dtype=object)
    near = np.flatnonzero(shapely.distance(route, leads) < apart)
    if not len(near):
        return ()
    drawn, leads = [drawn[at] for at in near], leads[near]
    lengths = lines.lengths_near(route, leads, apart)
    return tuple(
        NearLead(which=which, length=float(length), crossing=_crossing(route, lead))
        for which, length, lead in zip(drawn, lengths, leads, strict=True)
    )


def _after(way: tuple[Place, ...], distance: float) -> tuple[Place, ...]:
    """Return what is left of a way after its first `distance`."""
    for at, ((x, y), (to_x, to_y)) in enumerate(pairwise(way)):
        step = math.hypot(to_x - x, to_y - y)
        if step > distance:
            share = distance / step
            return ((x + share * (to_x - x), y + share * (to_y - y)), *way[at + 1 :])
        distance -= step
    return ()


def _crossing(route: LineString, lead: Any) -> Place | None:
    """Return the first place where a route crosses a lead, which may be in parts."""
    places = [
        (float(x), float(y))
        for part in shapely.get_parts(lead)
        for x, y in crossings.find_crossings(route, part)
    ]
    return min(places, key=lambda place: route.project(shapely.Point(place)), default=None)


RULE = Rule(
    severities=("warning",),
    finds="a sensor route that crosses a lead, or runs along one for more than 300 mm",
    why="A lead beside it warms the sensor's cable and disturbs its reading.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(at_least("apart", 50, "mm", "least distance between the sensor's route and a lead"),),
)
