"""A strip that reaches beyond the walls, or bridges a notch in them."""

import shapely

from underfoot.api.facts import Facts, RoomFacts, each_element
from underfoot.api.rules import Finding, Limits, Rule, Subject, above, at_most
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.laying.mending import advise_mending, clearing_move


def check(subject: Subject[tuple[RoomFacts, int]], facts: Facts, limits: Limits) -> Finding | None:
    """Measure how far the strip's farthest outside point lies from the outline."""
    room, place = subject.payload
    outside = float(room.outside[place])
    if not above(outside, limits["tolerance"]):
        return None
    strip = subject.items[0]
    shape = room.strips[place]
    bridges = bool(room.outline.covers(shapely.MultiPoint(room.corners[place])))
    if bridges:
        what = "bridges a notch in the walls: it lies {measured} outside the room there"
    elif shapely.intersects(shape, room.outline):
        what = "reaches {measured} outside the room"
    else:
        what = "lies wholly outside the room, up to {measured} from it"
    planned = limits.of("wall-clearance")["planned"]
    steps = [clearing_move(room, place, planned)] if facts.is_advised else []
    return Finding(
        message=f"Strip {strip} {what}.",
        remedy=advise_mending(facts, room, place, steps, ", into the room"),
        measured=outside,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.difference(shape, room.outline),
    )


RULE = Rule(
    finds="a strip that reaches beyond the outline, or bridges a notch in it",
    why="A strip cannot lie in a wall: it will be folded, creased or cut where it is live.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=each_element,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "how far a strip may reach outside"),),
    protects_life=True,
)
