"""A strip that crosses a movement joint."""

import math
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.physics import lines
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_most,
)
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.laying.mending import advise_mending

# A strip by its place in the room, a joint, and the length of that under it.
StripOverJoint = tuple[RoomFacts, int, shapely.LineString, float]


def subjects(facts: Facts) -> Subjects[StripOverJoint]:
    """Every strip with every movement joint of its room."""
    total = 0
    near = []
    for room in facts.heated_rooms:
        total += len(room.elements) * len(room.joints)
        for place, which, length in find_joints_under(room):
            element = room.elements[place]
            near.append(
                Subject(
                    room=room.id,
                    items=(element.id, room.joints[which][0]),
                    path=element.path,
                    payload=(room, place, room.joints[which][1], length),
                )
            )
    return Subjects(candidates=near, total=total)


def check(subject: Subject[StripOverJoint], facts: Facts, limits: Limits) -> Finding | None:
    """Find more of the joint inside the strip than the tolerance; along its edge is no crossing."""
    room, place, joint, length = subject.payload
    if not above(length, limits["tolerance"]):
        return None
    strip, name = subject.items
    shape = shapely.intersection(joint, room.strips[place])
    return Finding(
        message=f"Strip {strip} crosses the movement joint {name}: {{measured}} of the joint lie "
        "under it.",
        remedy=_advise(facts, room, place, name, shape),
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shape,
        related=(room.drawn.joints[name].path,),
    )


def _advise(facts: Facts, room: RoomFacts, place: int, joint: str, crossing: Any) -> str:
    if not facts.is_advised:
        return ""
    element = room.elements[place]
    length, width = element.length, element.film.width
    corners = room.corners[place]
    along, across = (corners[1] - corners[0]) / length, (corners[3] - corners[0]) / width
    offset = shapely.get_coordinates(crossing) - corners[0]
    s, t = offset @ along, offset @ across
    every = element.film.cut_every
    if every is not None and t.max() - t.min() > width - 1:
        before, beyond = (
            math.floor(float(room_left) / every + 1e-6) * every
            for room_left in (s.min(), length - s.max())
        )
        if before > 0 and beyond > 0:
            return (
                f"Divide {element.id} at {joint}, cut on the cut lines next to it on either side, "
                "each strip with connections of its own: the one beyond takes a lead to its far "
                "end, in the border."
            )
    ways = [
        float(way) * unit
        for way, unit in (
            (t.max(), across),
            (t.min() - width, across),
            (s.max(), along),
            (s.min() - length, along),
        )
    ]
    ways.sort(key=lambda way: float(np.hypot(*way)))
    steps = [(float(dx), float(dy)) for dx, dy in ways if np.hypot(dx, dy) <= width]
    return advise_mending(facts, room, place, steps, f", off {joint}")


def find_joints_under(room: RoomFacts) -> tuple[tuple[int, int, float], ...]:
    """Find the movement joints that cross strips: strip, joint, length of joint under it."""
    if not room.joints or not room.elements:
        return ()
    joints = np.array([line for _, line in room.joints], dtype=object)
    pairs, lengths = lines.lengths_under(joints, room.corners)
    return tuple(
        (int(strip), int(joint), float(length))
        for (joint, strip), length in zip(pairs, lengths, strict=True)
    )


RULE = Rule(
    finds="a strip that crosses a movement joint",
    why="The floor works at a movement joint; a strip across it is creased and torn in time.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "length of joint that may lie under a strip"),),
    protects_life=True,
)
