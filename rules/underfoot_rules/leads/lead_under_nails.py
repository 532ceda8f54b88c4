"""A lead, or the sensor's conduit, under a covering that is nailed."""

from collections.abc import Iterator
from typing import Any

import shapely

from underfoot.api.facts import Facts, RoomFacts, find_conduit_way, find_lengths_within
from underfoot.api.plan import CoveredArea
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_most,
)
from underfoot_rules.basis import common_practice

# What lies under a covering, its line, the floor and the area covered, and for how long.
Under = tuple[str, shapely.LineString, shapely.Polygon, CoveredArea, float]


def subjects(facts: Facts) -> Subjects[Under]:
    """Every lead, and every sensor's conduit that is drawn, with every covering of its room."""
    total = sum(
        (len(room.drawn.leads) + has_conduit(room)) * len(room.drawn.coverings)
        for room in facts.rooms.values()
    )
    return Subjects(candidates=tuple(_under(facts)), total=total)


def has_conduit(room: RoomFacts) -> bool:
    """Tell whether the way of a sensor's conduit is drawn."""
    return len(room.sensor_way) > 1


def _under(facts: Facts) -> Iterator[Subject[Under]]:
    for room in facts.rooms.values():
        for area in room.drawn.coverings:
            if area.covering.fixing in ("floating", "glued"):
                continue
            floor = find_floor_under(room, area)
            for (which, _), length in find_lengths_within(room, [floor]).items():
                lead = room.leads[which]
                thing = (f"Lead {lead.lead.id}", lead.line, floor, area, length)
                yield Subject(
                    room=room.id,
                    items=(lead.lead.id, area.covering.id),
                    path=lead.lead.path,
                    payload=thing,
                )
            if has_conduit(room) and room.drawn.sensor is not None:
                for length in find_conduit_way(room).lengths_within([floor]).values():
                    line = shapely.LineString(room.sensor_way)
                    thing = ("The sensor's conduit", line, floor, area, length)
                    items = ("sensor", area.covering.id)
                    yield Subject(
                        room=room.id, items=items, path=room.drawn.sensor.path, payload=thing
                    )


def check(subject: Subject[Under], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure how far it lies under a covering that is nailed."""
    name, line, floor, area, length = subject.payload
    if not above(length, limits["tolerance"]):
        return None
    if area.covering.fixing is None:
        return _unknown(area)
    return Finding(
        message=f"{name} lies for {{measured}} under covering {area.covering.id}, which is nailed: "
        "the nails are driven where it lies.",
        remedy=f"Lay {name[0].lower()}{name[1:]} outside of {area.covering.id}, or choose a "
        "covering there that floats or is glued.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(line, floor),
        related=(area.path,),
    )


def _unknown(area: CoveredArea) -> CannotTell:
    name = area.covering.id
    return CannotTell(
        why=f"how covering {name} is fixed is not given (`fixing`)",
        write=f"Write the `fixing` of covering {name}: floating, glued or nailed.",
    )


def find_floor_under(room: RoomFacts, covering: CoveredArea) -> Any:
    """Return the floor that lies under a covering; what two overs share is the first's."""
    taken: list[Any] = []
    for area in sorted(room.drawn.coverings, key=lambda each: each.over is None):
        floor = room.outline if area.over is None else shapely.Polygon(area.over)
        if area == covering:
            return shapely.difference(floor, shapely.union_all(taken)) if taken else floor
        taken.append(floor)
    return shapely.Polygon()


RULE = Rule(
    finds="a lead or the sensor's conduit under a covering that is nailed",
    why="A nail through a lead is live, and whoever drives it stands on the floor with it.",
    unit="mm",
    basis=common_practice("nothing is driven through a floor that holds leads"),
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "length that may lie under it"),),
    electrical=True,
    protects_life=True,
)
