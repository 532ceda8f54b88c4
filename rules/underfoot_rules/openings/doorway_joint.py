"""A joint of lead and strip in a doorway, where everybody treads."""

from collections.abc import Iterator

import shapely

from underfoot.api.facts import Facts, Place, RoomFacts, floor_in
from underfoot.api.plan import Opening
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects, at_least, below
from underfoot_rules.basis import own_default
from underfoot_rules.openings.doorways import list_doorways, name_opening

# A joint, the doorway, and how far they are apart.
JointNear = tuple[Place, Opening, float]


def subjects(facts: Facts) -> Subjects[JointNear]:
    """Every end of a strip that a lead joins, with each door and passage of its room."""
    found = []
    total = 0
    for room, opening in list_doorways(facts):
        joints = list(_list_joints(room))
        total += len(joints)
        floor = floor_in(room, opening)
        for name, path, place in joints:
            found.append(
                Subject(
                    room=room.id,
                    items=(name, opening.id),
                    path=path,
                    payload=(
                        place,
                        opening,
                        float(shapely.distance(shapely.Point(place), floor)),
                    ),
                )
            )
    apart = facts.limits["doorway-joint"]["apart"]
    near = tuple(subject for subject in found if below(subject.payload[2], apart))
    return Subjects(candidates=near, total=total)


def _list_joints(room: RoomFacts) -> Iterator[tuple[str, str, Place]]:
    """Yield each joined end once: the strip, its path, the place."""
    seen = set()
    for laid in room.leads:
        for stop in laid.lead.route:
            if stop.kind != "strip" or stop.element is None:
                continue
            place = room.place_of_stop(stop)
            if place is not None and (stop.element, stop.end) not in seen:
                seen.add((stop.element, stop.end))
                yield stop.element, room.elements[room.place_of[stop.element]].path, place


def check(subject: Subject[JointNear], facts: Facts, limits: Limits) -> Finding | None:
    """Compare the distance from the middle of the strip's end to the doorway."""
    place, opening, distance = subject.payload
    name = subject.items[0]
    if not below(distance, limits["apart"]):
        return None
    where = "{measured} from" if distance > 0 else "in"
    return Finding(
        message=f"The joint of strip {name} and its lead lies {where} {name_opening(opening)}, "
        "where everybody treads; at least {limit} is needed.",
        remedy=f"Join {name} at its other end (`connected`), or let it end {{limit}} or more from "
        f"{name_opening(opening)}.",
        measured=distance,
        least=limits["apart"],
        limit_key="apart",
        shape=shapely.Point(place),
        related=(opening.path,),
    )


RULE = Rule(
    severities=("warning",),
    finds="a joint of a lead and a strip in a doorway or right before it",
    why="Steps on one spot work a pressed connector loose, and a loose joint gets hot.",
    unit="mm",
    basis=own_default(
        "the first step through a door lands within a shoe's length of the threshold"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "apart",
            250,
            "mm",
            "least distance from a joint of lead and strip to a doorway",
            serves="joints off doorways",
        ),
    ),
)
