"""A junction box in the floor, or in, behind or too near to a stove."""

from typing import Any

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import JunctionBox
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    at_most,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import CLEARANCE, common_practice
from underfoot_rules.thermostat.at_walls import find_before, measure_outside, measure_to_wall
from underfoot_rules.thermostat.hanging import EDGE, advise_wall, box_subjects, hung_box


def check(
    subject: Subject[tuple[RoomFacts, JunctionBox]], facts: Facts, limits: Limits
) -> Finding | None:
    """Look at the stoves round it first, then whether there is a wall that it can hang on."""
    room, box = subject.payload
    found = _by_heat(room, facts, limits)
    if found is not None:
        return found
    if measure_outside(room, box.at) > EDGE:
        return None
    away = measure_to_wall(room, box.at)
    is_low = box.height is None or below(box.height, limits["lowest"])
    if not above(away, limits["from_wall"]) or not is_low:
        return None
    height = (
        "its height is not given"
        if box.height is None
        else format_quantity(box.height, "mm") + " up"
    )
    advice = advise_wall(facts, room, box.at, hung_box("box-place", room, box))
    return Finding(
        message=f"The junction box at {point_text(*box.at)} lies in the floor, {{measured}} from "
        f"the nearest wall ({height}); up to {{limit}} counts as on the wall.",
        remedy=advice.says,
        offer=advice.offer,
        measured=away,
        most=limits["from_wall"],
        limit_key="from_wall",
        shape=shapely.Point(box.at),
    )


def _by_heat(room: RoomFacts, facts: Facts, limits: Limits) -> Finding | None:
    box = room.drawn.junction_box
    if box is None:
        return None
    point = shapely.Point(box.at)
    before: tuple[int, ...] | None = None
    for which, (fixture, polygon) in enumerate(room.fixtures):
        clearance = fixture.clearance or 0.0
        if fixture.kind != "heat source" and not clearance:
            continue
        distance = float(shapely.distance(polygon, point))
        if distance <= EDGE:
            return _too_hot(facts, room, which, "lies in or behind", distance, clearance)
        if below(distance, clearance):
            return _too_hot(facts, room, which, "lies {measured} from", distance, clearance)
        if before is None:
            before = find_before(
                room, box.at, limits["from_wall"], limits["half_width"], limits["free"]
            )
        if which in before:
            return _too_hot(facts, room, which, "lies behind", distance, clearance)
    return None


def _too_hot(
    facts: Facts, room: RoomFacts, which: int, where: str, distance: float, clearance: float
) -> Finding:
    box: Any = room.drawn.junction_box
    fixture, polygon = room.fixtures[which]
    by_maker = below(distance, clearance)
    allowed = "; its maker wants {limit} kept free" if by_maker else ""
    point = shapely.Point(box.at)
    advice = advise_wall(facts, room, box.at, hung_box("box-place", room, box))
    return Finding(
        message=f"The junction box at {point_text(*box.at)} {where} {fixture.id} ({fixture.kind})"
        f"{allowed}.",
        remedy=advice.says,
        offer=advice.offer,
        measured=distance,
        least=clearance if by_maker else None,
        basis=CLEARANCE if by_maker else None,
        shape=shapely.shortest_line(point, polygon) if distance > EDGE else point,
        related=(fixture.path,),
    )


RULE = Rule(
    finds="a junction box in the floor, or in, behind or too near to a stove",
    why="Connections under the covering or beside a stove get hot, are crushed, and start fires.",
    unit="mm",
    basis=common_practice("connections are made where they stay cool, dry and can be reached"),
    subjects=box_subjects,
    check=check,
    limits=(
        at_most("from_wall", 100, "mm", "how far from a wall's face a box still counts as on it"),
        at_least("lowest", 50, "mm", "least height of a box above the floor"),
        at_least("half_width", 40, "mm", "half the width of a box or thermostat"),
        at_least("free", 300, "mm", "free floor wanted before a box or thermostat"),
    ),
    electrical=True,
    protects_life=True,
)
