"""A lead that crosses a movement joint."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts, hangs_on
from underfoot.api.physics import crossings
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects, point_text
from underfoot_rules.basis import common_practice


def subjects(facts: Facts) -> Subjects[tuple[RoomFacts, Any]]:
    """Every lead with every movement joint of its room."""
    total = sum(len(room.drawn.leads) * len(room.joints) for room in facts.rooms.values())
    return Subjects(candidates=tuple(_crossing(facts)), total=total)


def _crossing(facts: Facts) -> Iterator[Subject[tuple[RoomFacts, Any]]]:
    for room in facts.rooms.values():
        for which, joint, places in find_joints_crossed(room):
            lead = room.leads[which].lead
            name = room.joints[joint][0]
            yield Subject(
                room=room.id, items=(lead.id, name), path=lead.path, payload=(room, places)
            )


def check(subject: Subject[tuple[RoomFacts, Any]], facts: Facts, limits: Limits) -> Finding | None:
    """Every crossing is a finding: the plan cannot draw a sleeve."""
    room, places = subject.payload
    name, joint = subject.items
    said = " and ".join(point_text(x, y) for x, y in places.tolist())
    return Finding(
        message=f"Lead {name} crosses movement joint {joint} at {said}.",
        remedy=f"Take {name} round the joint; where it must cross, lay it there in a sleeve that "
        "lets both sides move, say so in a `note`, and have the finding agreed to.",
        shape=shapely.multipoints(places),
        related=(room.drawn.joints[joint].path,),
    )


@hangs_on("leads", "elements", "junction_box", "joints")
def find_joints_crossed(room: RoomFacts) -> tuple[tuple[int, int, Any], ...]:
    """Find the movement joints that leads cross: lead, joint, the places (n, 2)."""
    drawn = [which for which, lead in enumerate(room.leads) if lead.line is not None]
    if not drawn or not room.joints:
        return ()
    lines = np.array([room.leads[which].line for which in drawn], dtype=object)
    joints = np.array([line for _, line in room.joints], dtype=object)
    return tuple(
        (drawn[line], joint, places)
        for line, joint, places in crossings.find_crossing_pairs(lines, joints)
    )


RULE = Rule(
    severities=("warning",),
    finds="a lead that crosses a movement joint",
    why="Where the floor moves, a lead without a sleeve is pulled, chafed and in the end torn.",
    basis=common_practice("it needs a sleeve"),
    subjects=subjects,
    check=check,
    electrical=True,
)
