"""A lead through something that is fixed to the floor or stands on the subfloor."""

from collections.abc import Iterator

import shapely

from underfoot.api.facts import Facts, find_distances, find_lengths_within, obstacles
from underfoot.api.plan import Fixture
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    at_most,
)
from underfoot_rules.barring import find_too_near, why_it_bars
from underfoot_rules.basis import COMMON_PRACTICE

# A lead, a fixture, how long it lies in that and how near it comes.
LeadUnder = tuple[shapely.LineString, Fixture, shapely.Polygon, float, float]


def subjects(facts: Facts) -> Subjects[LeadUnder]:
    """Every lead with every fixture of its room that no lead can pass."""
    total = sum(len(room.drawn.leads) * len(obstacles(room)) for room in facts.rooms.values())
    return Subjects(candidates=tuple(_near(facts)), total=total)


def _near(facts: Facts) -> Iterator[Subject[LeadUnder]]:
    clear = facts.limits["lead-under-fixture"]["clear"]
    for room in facts.rooms.values():
        barring = obstacles(room)
        if not barring or not room.leads:
            continue
        areas = [polygon for _, polygon in barring]
        within = find_lengths_within(room, areas)
        for (which, place), distance in find_distances(room, areas, clear).items():
            lead = room.leads[which]
            fixture, polygon = barring[place]
            length = within.get((which, place), 0.0)
            thing = (lead.line, fixture, polygon, length, distance)
            yield Subject(
                room=room.id, items=(lead.lead.id, fixture.id), path=lead.lead.path, payload=thing
            )


def check(subject: Subject[LeadUnder], facts: Facts, limits: Limits) -> Finding | None:
    """Find a lead in the fixture with some of its width, or too near to what is screwed down."""
    line, fixture, polygon, length, distance = subject.payload
    name = subject.items[0]
    if not above(length, limits["tolerance"]):
        take = f"Take {name} past {fixture.id} at {{limit}} or more"
        clear = limits["clear"]
        return find_too_near(f"Lead {name}", line, fixture, polygon, distance, clear, take)
    inside = shapely.intersection(line, polygon)
    runs = (
        "runs {measured} through"
        if above(inside.length, limits["tolerance"])
        else "lies for {measured} with a part of its width in"
    )
    return Finding(
        message=f"Lead {name} {runs} {fixture.id} ({fixture.kind}), {why_it_bars(fixture)}.",
        remedy=f"Take {name} round {fixture.id}.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.shortest_line(line, polygon) if inside.is_empty else inside,
        related=(fixture.path,),
    )


RULE = Rule(
    finds="a lead through or too near to fixings, through structure, or under what stands on the "
    "subfloor",
    why="A screw through a live lead, or a lead crushed under a unit, is found by the fault alone.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(
        at_most("tolerance", 1, "mm", "length of lead that may lie under it"),
        at_least("clear", 50, "mm", "least distance from a lead to fixings"),
    ),
    electrical=True,
    protects_life=True,
)
