"""Hangs junction boxes and thermostats elsewhere on their walls, or higher or lower."""

import math
from collections.abc import Iterator
from typing import Any

import shapely

from underfoot.api.facts import RoomFacts
from underfoot.api.rules import Mender, Proposal, ToMend, point_text
from underfoot_rules.menders.laid import is_handed_over, is_laid
from underfoot_rules.menders.spelled import put, stands
from underfoot_rules.menders.written import Path, change, look_up, write_point
from underfoot_rules.thermostat.hanging import find_free_walls, find_on_wall

Place = tuple[float, float]

# How far the places are from one another that are tried along a wall, and how many of them.
_STEP, _MOST = 250.0, 6
_USUAL_HEIGHT = 450.0


def move_along(found: ToMend) -> Iterator[Proposal]:
    """Propose the nearest places on a wall that is free, away from heat and outside all zones."""
    is_box = found.items[0] == "junction-box"
    if found.rule == "box-reach" and _is_of_height(found):
        return
    for own, key, room, place in _list_things(found, is_box=is_box):
        path: Path = ("rooms", own, key)
        if not stands(found.data, path):
            continue
        name = f"the {'junction box' if is_box else 'thermostat'} of room {own}"
        old = look_up(found.data, (*path, "at"))
        for x, y in _list_places(found, room, place):
            yield Proposal(
                says=f"Hang {name} at {point_text(x, y)}.",
                edits=(change(found.data, (*path, "at"), write_point(x, y, old)),),
            )


def hang_in_reach(found: ToMend) -> Iterator[Proposal]:
    """Propose the usual height for a box that hangs too low or above the ceiling."""
    room = found.room or ""
    path: Path = ("rooms", room, "junction_box", "height")
    if _is_of_height(found) and stands(found.data, path) and not is_handed_over(found.facts):
        yield Proposal(
            says=f"Hang the junction box of room {room} at {_USUAL_HEIGHT:g} mm on the same wall.",
            edits=(put(found.data, path, _USUAL_HEIGHT, "mm"),),
        )


def _is_of_height(found: ToMend) -> bool:
    """Tell whether a box hangs too low or too high, which is drawn nowhere on the floor."""
    return found.finding.measured is not None and found.finding.shape is None


def _list_things(found: ToMend, *, is_box: bool) -> Iterator[tuple[str, str, RoomFacts, Place]]:
    """List what hangs in the room of a finding: whose it is, its key, the room, the place."""
    facts = found.facts
    if is_handed_over(facts):
        return
    if is_box:
        room = facts.rooms[found.room or ""]
        if room.drawn.junction_box is not None and not is_laid(facts, room.id):
            yield room.id, "junction_box", room, room.drawn.junction_box.at
        return
    for own in facts.rooms.values():
        thermostat = own.drawn.thermostat
        if thermostat is None or thermostat.path != found.path:
            continue
        room = own if thermostat.room is None else facts.rooms[thermostat.room]
        place = thermostat.at or (own.box if room is own else None)
        if place is not None:
            yield own.id, "thermostat", room, place


def _list_places(found: ToMend, room: RoomFacts, place: Place) -> list[Place]:
    """List free places on the walls, the nearest first, no two of them close to each other."""
    walls = find_free_walls(found.facts, room)
    if walls.is_empty:
        return []
    near = find_on_wall(walls, place)
    count = max(2, round(walls.length / (_STEP / 2)))
    found_there: Any = [
        shapely.get_coordinates(shapely.line_interpolate_point(part, along))[0]
        for part in shapely.get_parts(walls)
        for along in _spread(part.length, count * part.length / walls.length)
    ]
    others = sorted(
        ((float(round(x)), float(round(y))) for x, y in found_there),
        key=lambda each: (math.dist(each, place), each),
    )
    chosen = [near]
    for each in others:
        if all(math.dist(each, one) >= _STEP for one in chosen):
            chosen.append(each)
        if len(chosen) == _MOST:
            break
    return chosen


def _spread(length: float, count: float) -> list[float]:
    steps = max(1, round(count))
    return [length * (step + 0.5) / steps for step in range(steps)]


MENDERS = (
    Mender(rule="box-reach", propose=hang_in_reach),
    *(
        Mender(rule=rule, propose=move_along)
        for rule in (
            "bath-zone",
            "box-place",
            "box-reach",
            "thermostat-place",
            "thermostat-behind-door",
            "hung-in-opening",
        )
    ),
)
