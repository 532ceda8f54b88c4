"""A lead beside or under a stove or another heat source."""

from collections.abc import Iterator
from typing import Any

import shapely

from underfoot.api.facts import Facts, RoomFacts, find_distances
from underfoot.api.plan import Fixture
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    below,
)
from underfoot_rules.basis import MAKER, own_default

# A lead, what it must keep clear of, by how much, and how near it comes.
LeadNear = tuple[shapely.LineString, Fixture, shapely.Polygon, float, float]

HOT = "heat source"
Source = tuple[Fixture, Any, float]


def subjects(facts: Facts) -> Subjects[LeadNear]:
    """Every lead with all of its room that leads must keep clear of."""
    apart = facts.limits["lead-near-heat"]["apart"]
    rooms = facts.rooms.values()
    total = sum(len(room.drawn.leads) * len(_sources(room, apart)) for room in rooms)
    return Subjects(candidates=tuple(_near(facts, apart)) if total else (), total=total)


def _sources(room: RoomFacts, apart: float) -> list[Source]:
    """List heat sources, and what its maker wants kept free, with the distance to keep."""
    return [
        (fixture, polygon, max(apart if fixture.kind == HOT else 0.0, fixture.clearance or 0.0))
        for fixture, polygon in room.fixtures
        if fixture.kind == HOT or fixture.clearance
    ]


def _near(facts: Facts, apart: float) -> Iterator[Subject[LeadNear]]:
    for room in facts.rooms.values():
        sources = _sources(room, apart)
        if not sources:
            continue
        areas = [polygon for _, polygon, _ in sources]
        most = max(least for *_, least in sources)
        for (which, place), distance in find_distances(room, areas, most).items():
            lead = room.leads[which]
            thing = (lead.line, *sources[place], distance)
            yield Subject(
                room=room.id,
                items=(lead.lead.id, sources[place][0].id),
                path=lead.lead.path,
                payload=thing,
            )


def check(subject: Subject[LeadNear], facts: Facts, limits: Limits) -> Finding | None:
    """Compare the distance from the lead's side to what it must keep clear of; 0 under it."""
    line, fixture, polygon, least, distance = subject.payload
    if not below(distance, least):
        return None
    name, source = subject.items
    by_maker = above(least, limits["apart"]) or fixture.kind != HOT
    what = f"{source}, a heat source" if fixture.kind == HOT else f"{source} ({fixture.kind})"
    asked = "its maker wants {limit} kept free" if by_maker else "at least {limit} is needed"
    return Finding(
        message=f"Lead {name} lies {'{measured} from' if distance > 0 else 'under'} {what}; "
        f"{asked}.",
        remedy=f"Take {name} along another wall, {{limit}} or more from {source}.",
        measured=distance,
        least=least,
        limit_key=None if by_maker else "apart",
        basis=MAKER if by_maker else None,
        shape=shapely.shortest_line(line, polygon)
        if distance > 0
        else shapely.intersection(line, polygon),
        related=(fixture.path,),
    )


RULE = Rule(
    finds="a lead nearer than allowed to a heat source, or within a clearance that a maker states",
    why="A lead may get no hotter than 70 °C; beside a stove the floor alone can be hotter.",
    unit="mm",
    basis=own_default("a lead must not take up the heat of a stove besides its own"),
    subjects=subjects,
    check=check,
    limits=(at_least("apart", 300, "mm", "least distance from a lead to a heat source"),),
    electrical=True,
    protects_life=True,
)
