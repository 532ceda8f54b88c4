"""A room laid out otherwise: its strips and leads changed, and what would be wrong with that.

It is looked at quickly, so that few proposals need be tried on the whole plan. What is found here
is told by nobody.
"""

import math
from collections.abc import Mapping

import numpy as np
import shapely
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Element, Lead, Room
from underfoot.api.rules import NOISE, above, below
from underfoot_rules.laying.joint_crossing import find_joints_under
from underfoot_rules.laying.may_lie import find_fixtures_over
from underfoot_rules.laying.strip_gap import FACING, find_strip_gaps
from underfoot_rules.laying.wall_clearance import measure_to_walls
from underfoot_rules.leads.lead_under_element import find_under_strips
from underfoot_rules.openings.doorways import list_screwed

Fault = tuple[str, tuple[str, ...]]
Faults = Mapping[Fault, float]

# In a room with more strips nobody looks for a better layout.
MOST_STRIPS = 300
LEADS = "lead-under-element"


def lay_out(
    room: RoomFacts,
    elements: Mapping[str, Element | None] | None = None,
    leads: Mapping[str, Lead] | None = None,
) -> RoomFacts:
    """Return the room with strips changed, left out (None) or added, and leads changed or added."""
    drawn: Room = room.drawn
    strips, ways = dict(elements or {}), dict(leads or {})
    kept = [strips.pop(each.id, each) for each in drawn.elements]
    laid = [ways.pop(each.id, each) for each in drawn.leads]
    return RoomFacts(
        replace(
            drawn,
            elements=tuple(each for each in (*kept, *strips.values()) if each is not None),
            leads=(*laid, *ways.values()),
        ),
        room.supply,
    )


def list_faults(facts: Facts, room: RoomFacts) -> Faults:
    """List what is wrong with how strips lie, and leads below them: rule, items and how bad."""
    limits, names = facts.limits, [element.id for element in room.elements]
    found: dict[Fault, float] = {}
    if not names:
        return found
    for i in np.flatnonzero(room.outside > limits["element-outside-room"]["tolerance"]).tolist():
        found["element-outside-room", (names[i],)] = float(room.outside[i])
    least = max(limits["wall-clearance"]["planned"], limits["wall-clearance"]["minimum"])
    for i, apart in enumerate(measure_to_walls(room).tolist()):
        if below(apart, least) and ("element-outside-room", (names[i],)) not in found:
            found["wall-clearance", (names[i],)] = -apart
    standing = limits["fixture-clearance"]["minimum"]
    for fixture, polygon in room.fixtures:
        if fixture.keeps_strips_off:
            free = fixture.keep_free(standing)
            for i, apart in enumerate(shapely.distance(room.strips, polygon).tolist()):
                if below(apart, free):
                    found["fixture-clearance", (names[i], fixture.id)] = -apart
    for i, joint, length in find_joints_under(room):
        if above(length, limits["joint-crossing"]["tolerance"]):
            found["joint-crossing", (names[i], room.joints[joint][0])] = length
    for i, j, width in room.overlaps:
        if above(width, limits["element-overlap"]["tolerance"]):
            found["element-overlap", _pair(names[i], names[j])] = width
    legs = limits["covered-floor"]["clear"]
    gap = limits["strip-gap"]
    for narrow in find_strip_gaps(room, gap["tolerance"], gap["up_to"], FACING, legs):
        found["strip-gap", _pair(names[narrow.first], names[narrow.second])] = narrow.width
    for i, which in find_fixtures_over(room, legs):
        fixture = room.fixtures[which][0]
        if fixture.clear is not None and below(fixture.clear, legs):
            found["covered-floor", (names[i], fixture.id)] = 0.0
    for opening, floor in list_screwed(room):
        for i, apart in enumerate(shapely.distance(room.strips, floor).tolist()):
            if below(apart, limits["threshold-fixing"]["apart"]):
                found["threshold-fixing", (names[i], opening.id)] = -apart
    for lead, strip, length in find_under_strips(room):
        if above(length, limits[LEADS]["tolerance"]):
            found[LEADS, (room.leads[lead].lead.id, names[strip])] = length
    return found


def list_brought(before: Faults, after: Faults) -> frozenset[Fault]:
    """List the faults that were not there before, or are worse now."""
    return frozenset(
        fault for fault, bad in after.items() if bad > before.get(fault, -math.inf) + NOISE
    )


def _pair(first: str, second: str) -> tuple[str, ...]:
    return tuple(sorted((first, second)))
