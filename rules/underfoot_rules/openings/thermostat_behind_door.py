"""A thermostat on the wall behind a door that stands open."""

import math
from collections.abc import Iterator

import shapely
from msgspec import Struct

from underfoot.api.facts import Facts, Place, RoomFacts, list_leaves
from underfoot.api.physics import shapes
from underfoot.api.plan import Opening, Thermostat
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, below, point_text
from underfoot_rules.basis import common_practice
from underfoot_rules.openings.doorways import name_opening
from underfoot_rules.thermostat.hanging import Hung as OnWall
from underfoot_rules.thermostat.hanging import advise_wall
from underfoot_rules.trying import Fault

# What lies on a line within this lies on it (mm).
EDGE = 1.0


class Hung(Struct, frozen=True, kw_only=True):
    """A thermostat at a place of the room that it hangs in, and a door there."""

    thermostat: Thermostat
    place: Place
    room: RoomFacts
    door: Opening


def subjects(facts: Facts) -> tuple[Subject[Hung], ...]:
    """Every thermostat with each door of the room that it hangs in."""
    return tuple(_hung(facts))


def _hung(facts: Facts) -> Iterator[Subject[Hung]]:
    for own in facts.rooms.values():
        thermostat = own.drawn.thermostat
        if thermostat is None:
            continue
        room = own if thermostat.room is None else facts.rooms[thermostat.room]
        place = thermostat.at or (own.box if room is own else None)
        if place is None:
            continue
        for door in room.drawn.openings.values():
            if door.kind == "door":
                yield Subject(
                    room=own.id,
                    items=("thermostat", door.id),
                    path=thermostat.path,
                    payload=Hung(thermostat=thermostat, place=place, room=room, door=door),
                )


def check(subject: Subject[Hung], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold how far it hangs from the hinge against the width of the leaf."""
    hung = subject.payload
    door = hung.door
    is_known = door.opens is not None and door.hinge is not None
    for hinge, edge in list_leaves(door):
        wide = math.dist(hinge, edge)
        if not _is_behind(hung, hinge, edge) or not below(math.dist(hinge, hung.place), wide):
            continue
        return _found(subject, facts, hinge, wide) if is_known else _unsure(door)
    return None


def _is_behind(hung: Hung, hinge: Place, edge: Place) -> bool:
    """Tell whether a place lies in the room, on the far side of a leaf opened to a right angle."""
    x, y = hung.place[0] - hinge[0], hung.place[1] - hinge[1]
    into = shapes.way_inside(hung.room.outline, *hung.door.line)
    wide = math.dist(hinge, edge)
    along = (x * (edge[0] - hinge[0]) + y * (edge[1] - hinge[1])) / wide
    return along <= EDGE and x * into[0] + y * into[1] >= -EDGE


def _unsure(door: Opening) -> CannotTell:
    missing = [key for key in ("hinge", "opens") if getattr(door, key) is None]
    return CannotTell(
        why=f"how {name_opening(door)} opens is not given, and the thermostat hangs beside it",
        write=f"Write {' and '.join(f'`{key}`' for key in missing)} of {name_opening(door)}.",
    )


def _found(subject: Subject[Hung], facts: Facts, hinge: Place, wide: float) -> Finding:
    hung = subject.payload
    name = name_opening(hung.door)
    fault = Fault(rule="thermostat-behind-door", room=subject.room, items=subject.items)
    other_end = "" if hung.door.hinge == "both" else f" Or hang {name} at its other end."
    own = OnWall(path=hung.thermostat.path, found=fault)
    advice = advise_wall(facts, hung.room, hung.place, own)
    is_here = hung.room.id == subject.room
    at = point_text(*hung.place) + ("" if is_here else f" of room {hung.room.id}")
    return Finding(
        message=f"The thermostat at {at} hangs {{measured}} from the hinge of "
        f"{name}, which opens inwards: behind its leaf, {{limit}} wide, when it stands open.",
        remedy=f"{advice.says}{other_end}".strip(),
        offer=advice.offer if is_here else None,
        measured=math.dist(hinge, hung.place),
        least=wide,
        shape=shapely.LineString([hinge, hung.place]) if is_here else None,
        related=(hung.door.path,),
    )


RULE = Rule(
    severities=("warning",),
    finds="a thermostat on a wall behind the open leaf of a door",
    why="Behind a leaf it reads air that does not move, and nobody reaches it.",
    unit="mm",
    basis=common_practice("a thermostat hangs where the air of the room passes it"),
    subjects=subjects,
    check=check,
)
