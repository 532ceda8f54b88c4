"""A strip that reaches beyond the walls, or bridges a notch in them."""

from __future__ import annotations

import shapely

from underfoot.api import Facts, Finding, Limit, Limits, Rule, Subject, above, move
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every strip."""
    return facts.element_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Measure how far the strip's farthest outside point lies from the outline."""
    room, place = subject.thing
    outside = float(room.outside[place])
    if not above(outside, limits["tolerance"]):
        return None
    strip = subject.items[0]
    shape = room.strips[place]
    bridges = bool(room.outline.covers(shapely.MultiPoint(room.corners[place])))
    what = "bridges a notch in the wall and lies" if bridges else "reaches"
    step = room.clearing_move(place, limits.of("wall-clearance")["planned"])
    return Finding(
        message=f"Strip {strip} {what} {{measured}} outside the room.",
        remedy=f"Move {strip} by {move(*step)}."
        if step is not None
        else f"Make {strip} shorter on a cut line, or leave it out: no move brings it inside.",
        measured=outside,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.difference(shape, room.outline),
    )


RULE = Rule(
    id="element-outside-room",
    topic="laying",
    severities=("error",),
    finds="a strip that reaches beyond the outline, or bridges a notch in it",
    why="A strip cannot lie in a wall: it will be folded, creased or cut where it is live.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("tolerance", 1, "mm", "how far a strip may reach outside", "lower"),),
)
