"""A junction box or a thermostat in a doorway or a window, where there is no wall."""

from collections.abc import Iterator

import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, Place, RoomFacts
from underfoot.api.plan import JunctionBox, Opening, Thermostat
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_least,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import common_practice
from underfoot_rules.openings.doorways import name_opening
from underfoot_rules.thermostat.hanging import Hung, advise_wall
from underfoot_rules.trying import Fault

# What lies on a line within this lies on it (mm).
_EDGE = 1.0


class HungBy(Struct, frozen=True, kw_only=True):
    """What hangs in a room at a place near an opening; `own` is the room that it belongs to."""

    what: str
    thing: JunctionBox | Thermostat
    place: Place
    own: RoomFacts
    room: RoomFacts
    opening: Opening


def subjects(facts: Facts) -> Subjects[HungBy]:
    """Every junction box and every thermostat drawn, with each opening of the room it hangs in."""
    near = facts.limits["hung-in-opening"]["apart"] + facts.limits["box-place"]["from_wall"]
    hung = [
        HungBy(what=what, thing=thing, place=place, own=own, room=room, opening=opening)
        for what, thing, place, own, room in _list_hung(facts)
        for opening in room.drawn.openings.values()
    ]
    candidates = tuple(
        Subject(
            room=each.own.id,
            items=("junction-box" if each.what == "junction box" else each.what, each.opening.id),
            path=each.thing.path,
            payload=each,
        )
        for each in hung
        if shapely.distance(shapely.LineString(each.opening.line), shapely.Point(each.place))
        < near + _EDGE
    )
    return Subjects(candidates=candidates, total=len(hung))


def _list_hung(
    facts: Facts,
) -> Iterator[tuple[str, JunctionBox | Thermostat, Place, RoomFacts, RoomFacts]]:
    for own in facts.rooms.values():
        box, thermostat = own.drawn.junction_box, own.drawn.thermostat
        if box is not None:
            yield "junction box", box, box.at, own, own
        if thermostat is not None and thermostat.at is not None:
            room = own if thermostat.room is None else facts.rooms[thermostat.room]
            yield "thermostat", thermostat, thermostat.at, own, room


def check(subject: Subject[HungBy], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Measure along the walls from where it hangs to the opening; 0 in it."""
    hung = subject.payload
    distance = _measure(hung, limits.of("box-place")["from_wall"])
    if distance is None or not below(distance, limits["apart"]):
        return None
    height, sill = hung.thing.height, hung.opening.sill
    if height is not None and above(height, limits["head"]):
        return None
    name = name_opening(hung.opening)
    up = ""
    if hung.opening.kind == "window":
        if sill is None:
            return CannotTell(
                why=f"how high the sill of {name} is is not given, and the {hung.what} hangs "
                "there: below it there is a wall, above it there is none",
                write=f"Write the `sill` of {name}: its height above the floor.",
                worst="warning",
            )
        if sill > 0 and height is None:
            key = "junction_box" if hung.what == "junction box" else "thermostat"
            return CannotTell(
                why=f"the {hung.what}'s height is not given, and it hangs where {name} is",
                write=f"Write the {hung.what}'s `height` above the floor under `{key}`.",
                worst="warning",
            )
        if height is not None and below(height, sill):
            return None
        up = ", which reaches down to the floor"
        if sill > 0:
            up = f", above its sill of {format_quantity(sill, 'mm')}"
    is_box_in_doorway = hung.what == "junction box" and hung.opening.is_walked_through
    where = f"{{measured}} from {name}{up}" if distance > 0 else f"in {name}{up}"
    fault = Fault(rule="hung-in-opening", room=hung.own.id, items=subject.items)
    at = point_text(*hung.place) + ("" if hung.room is hung.own else f" of room {hung.room.id}")
    advice = advise_wall(facts, hung.room, hung.place, Hung(path=hung.thing.path, found=fault))
    found = Finding(
        message=f"The {hung.what} at {at} hangs {where}, where there is no "
        "wall; at least {limit} from its middle to an opening is needed.",
        remedy=advice.says,
        offer=advice.offer,
        severity="error" if is_box_in_doorway else "warning",
        measured=distance,
        least=limits["apart"],
        limit_key="apart",
        shape=shapely.Point(hung.place),
        related=(hung.opening.path,),
    )
    return found if hung.room is hung.own else replace(found, shape=None, offer=None)


def _measure(hung: HungBy, from_wall: float) -> float | None:
    """Measure from where it hangs on the walls to the opening; None where it hangs on none.

    In a corner it hangs on the wall without the opening, where both are as near.
    """
    point, opening = shapely.Point(hung.place), shapely.LineString(hung.opening.line)
    columns = [polygon for fixture, polygon in hung.room.fixtures if fixture.kind == "structure"]
    walls = shapely.union_all([hung.room.walls, *(polygon.exterior for polygon in columns)])
    rest = shapely.difference(walls, shapely.buffer(opening, _EDGE, cap_style="square"))
    off, off_rest = (float(shapely.distance(each, point)) for each in (opening, rest))
    if min(off, off_rest) > from_wall:
        return None
    if off + _EDGE / 1000 < off_rest:
        return 0.0
    foot = shapely.Point(shapely.get_coordinates(shapely.shortest_line(rest, point))[0])
    return float(shapely.distance(foot, opening))


RULE = Rule(
    topic="openings",
    severities=("warning", "error"),
    finds="a junction box or a thermostat in a doorway, a passage or a window",
    why="Where there is no wall nothing hangs; moved on site, leads and sensor no longer reach it.",
    unit="mm",
    basis=common_practice("what is hung needs a wall behind all of it, and is some 80 mm wide"),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "apart",
            40,
            "mm",
            "least distance along the wall from the middle of a box or thermostat to an opening",
        ),
        at_least("head", 2000, "mm", "height up to which an opening is taken to be open"),
    ),
    electrical=True,
)
