"""A strip, a lead or the sensor's cable where the screws of a threshold go."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import (
    Facts,
    RoomFacts,
    find_conduit_way,
    find_distances,
    floor_in,
)
from underfoot.api.plan import Opening
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_least,
    below,
)
from underfoot_rules.basis import own_default
from underfoot_rules.openings.doorways import list_doorways, name_opening

# What lies near a threshold: its shape, its name in a sentence, its distance, how it is moved.
Near = tuple[Opening, Any, Any, str, float, str]

_NO_SCREWS = ("glued", "none")


def subjects(facts: Facts) -> Subjects[Near]:
    """Every strip, lead and sensor's cable of a room with each of its doors and passages."""
    apart = facts.limits["threshold-fixing"]["apart"]
    total = sum(
        len(room.elements) + len(room.drawn.leads) + (len(room.sensor_way) > 1)
        for room, _ in list_doorways(facts)
    )
    return Subjects(candidates=tuple(_near(facts, apart)) if total else (), total=total)


def _near(facts: Facts, apart: float) -> Iterator[Subject[Near]]:
    for room, opening in list_doorways(facts):
        if opening.threshold in _NO_SCREWS:
            continue
        floor = floor_in(room, opening)
        for name, path, *near in _things_near(room, floor, apart):
            yield Subject(
                room=room.id,
                items=(name, opening.id),
                path=path,
                payload=(opening, floor, *near),
            )


def _things_near(
    room: RoomFacts, floor: Any, apart: float
) -> Iterator[tuple[str, str, Any, str, float, str]]:
    """Yield what lies nearer to a doorway's floor than `apart`: id, path, shape, words, how far."""
    for place in np.sort(room.tree.query(floor, predicate="dwithin", distance=apart)):
        strip, element = room.strips[place], room.elements[place]
        off = float(shapely.distance(strip, floor))
        yield (
            element.id,
            element.path,
            strip,
            f"Strip {element.id}",
            off,
            "shorten or move the strip",
        )
    for (which, _), off in find_distances(room, [floor], apart).items():
        laid = room.leads[which]
        name = f"Lead {laid.lead.id}"
        yield laid.lead.id, laid.lead.path, laid.line, name, off, "take the lead along another wall"
    sensor = room.drawn.sensor
    if sensor is not None and len(room.sensor_way) > 1:
        way = shapely.LineString(room.sensor_way)
        for off in find_conduit_way(room).distances([floor], apart).values():
            yield (
                "sensor",
                sensor.path,
                way,
                "The sensor's cable",
                off,
                "take the cable along another way",
            )


def check(subject: Subject[Near], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the distance from its side to the doorway; 0 in it."""
    opening, floor, shape, what, distance, move = subject.payload
    if not below(distance, limits["apart"]):
        return None
    name = name_opening(opening)
    if opening.threshold is None:
        return CannotTell(
            why=f"how the threshold of {name} is held is not given, and {what[0].lower()}"
            f"{what[1:]} lies within reach of its screws",
            write=f"Write the `threshold` of {name}: screwed, glued or none.",
        )
    where = "{measured} from" if distance > 0 else "in"
    return Finding(
        message=f"{what} lies {where} {name}, whose threshold is screwed into the floor; "
        "at least {limit} is needed.",
        remedy=f"Have the threshold glued; else {move}, {{limit}} or more from it.",
        measured=distance,
        least=limits["apart"],
        limit_key="apart",
        shape=shapely.shortest_line(shape, floor)
        if distance > 0
        else shapely.intersection(shape, floor),
        related=(opening.path,),
    )


RULE = Rule(
    finds="a strip, a lead or the sensor's cable where a threshold is screwed down",
    why="A screw through a strip or a lead makes the bar that everybody treads on live.",
    unit="mm",
    basis=own_default(
        "the bar over a joint of floors is some 40 mm wide, and its screws go in along its edges"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "apart",
            50,
            "mm",
            "least distance from what is laid to a doorway whose threshold is screwed down",
            serves="screws of thresholds",
        ),
    ),
    electrical=True,
    protects_life=True,
)
