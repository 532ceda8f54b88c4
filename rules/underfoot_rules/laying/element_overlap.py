"""Two strips of a room that lie on each other."""

from __future__ import annotations

import shapely

from underfoot.api import (
    Facts,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    Subjects,
    move,
    separating_move,
)
from underfoot_rules.basis import common_practice


def subjects(facts: Facts) -> Subjects:
    """List the pairs of strips whose areas meet; every pair of a room is counted."""
    near = [
        Subject(room.id, tuple(sorted((room.elements[i].id, room.elements[j].id))),
                room.elements[i].path, (room, i, j, width))
        for room in facts.heated_rooms
        for i, j, width in room.overlaps
    ]  # fmt: skip
    total = sum(
        len(room.elements) * (len(room.elements) - 1) // 2 for room in facts.heated_rooms
    )
    return Subjects(near, total)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Find a shared area wider than the tolerance."""
    room, i, j, width = subject.thing
    if width <= limits["tolerance"] + 1e-6:
        return None
    first, second = subject.items
    order = (i, j) if room.elements[i].id == first else (j, i)
    step = separating_move(room.strips[order[1]], room.strips[order[0]])
    return Finding(
        message=f"Strips {first} and {second} lie on each other over a width of {{measured}}; "
        "strips may touch but not overlap.",
        remedy=f"Move {second} by {move(*step)}, or shorten one of the two on a cut line.",
        measured=width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(room.strips[i], room.strips[j]),
        path=room.elements[order[0]].path,
        related=(room.elements[order[1]].path,),
    )


RULE = Rule(
    id="element-overlap",
    topic="laying",
    severities=("error",),
    finds="two strips of a room that lie on each other",
    why="Where two strips lie on each other the floor gets twice the heat and the film burns.",
    unit="mm",
    basis=common_practice("local overheating"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("tolerance", 1, "mm", "greatest width of a shared area", "lower"),),
)
