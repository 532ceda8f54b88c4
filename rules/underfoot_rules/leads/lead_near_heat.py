"""A lead beside or under a stove or another heat source."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from underfoot.api import (
    Facts,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    Subjects,
    below,
    find_distances,
    list_heat_sources,
)
from underfoot_rules.basis import own_default


def subjects(facts: Facts) -> Subjects:
    """Every lead with every heat source of its room."""
    rooms = facts.rooms.values()
    total = sum(len(room.room.leads) * len(list_heat_sources(room)) for room in rooms)
    return Subjects(tuple(_near(facts)) if total else (), total)


def _near(facts: Facts) -> Iterator[Subject]:
    apart = facts.limits["lead-near-heat"]["apart"]
    for room in facts.rooms.values():
        sources = list_heat_sources(room)
        areas = [polygon for _, polygon in sources]
        for (which, place), distance in find_distances(room, areas, apart).items():
            lead = room.leads[which]
            thing = (lead.line, *sources[place], distance)
            yield Subject(room.id, (lead.lead.id, sources[place][0].id), lead.lead.path, thing)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Compare the distance from the lead's side to the heat source; 0 under it."""
    line, fixture, polygon, distance = subject.thing
    if not below(distance, limits["apart"]):
        return None
    name, source = subject.items
    where = "{measured} from" if distance > 0 else "under"
    return Finding(
        message=f"Lead {name} lies {where} {source}, a heat source; the least distance allowed is "
        "{limit}.",
        remedy=f"Take {name} along another wall, {{limit}} or more from {source}.",
        measured=distance,
        least=limits["apart"],
        limit_key="apart",
        shape=shapely.shortest_line(line, polygon)
        if distance > 0
        else shapely.intersection(line, polygon),
        related=(fixture.path,),
    )


RULE = Rule(
    id="lead-near-heat",
    topic="leads",
    severities=("error",),
    finds="a lead under a heat source or nearer to one than allowed",
    why="A lead may get no hotter than 70 °C; beside a stove the floor alone can be hotter.",
    unit="mm",
    basis=own_default("a lead must not take up the heat of a stove besides its own"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("apart", 300, "mm", "least distance from a lead to a heat source", "higher"),),
    electrical=True,
    protects_life=True,
)
