"""What of a room changed, by kind and id, and where it is."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from underfoot.checking.facts import RoomFacts
from underfoot.comparing import Change
from underfoot.drawing.svg import Point

Changed = dict[tuple[str, str], set[str]]


def changed_items(changes: Iterable[Change], room: str) -> Changed:
    """Return what became of each thing of a room."""
    found: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for change in changes:
        if change.room == room:
            found[change.kind, change.item].add(change.what)
    return dict(found)


def whole_room(facts: RoomFacts, what: str) -> Changed:
    """Say of each thing of a room that it became `what`: of a room that is in one revision only."""
    room = facts.drawn
    things = [("outline", "")]
    things += [("fixture", name) for name in room.fixtures]
    things += [("joint", name) for name in room.joints]
    things += [("opening", name) for name in room.openings]
    things += [("strip", element.id) for element in facts.elements]
    things += [("lead", lead.id) for lead in room.leads]
    things += [("sensor", "")] if room.sensor is not None else []
    things += [("junction box", "")] if facts.box is not None else []
    return {thing: {what} for thing in things}


def strips_of(facts: RoomFacts) -> dict[str, list[list[float]]]:
    """Return the corners of the strips by their ids."""
    return {
        element.id: facts.corners[place].tolist() for place, element in enumerate(facts.elements)
    }


def is_moved(changed: Changed, kind: str, name: str) -> bool:
    """Whether a thing is drawn in the colours of its revision, and not only named."""
    return bool(changed.get((kind, name), set()) - {"renamed"})


def middle_of(facts: RoomFacts, kind: str, item: str) -> Point | None:
    """Return the middle of a thing; None where it has no place."""
    room = facts.drawn
    if kind == "sensor" and room.sensor is not None:
        return room.sensor.at
    if kind == "junction box":
        return facts.box
    corners: Any = None
    if kind == "strip" and item in facts.place_of:
        corners = facts.corners[facts.place_of[item]].tolist()
    elif kind == "fixture" and item in room.fixtures:
        corners = room.fixtures[item].outline
    if not corners:
        return None
    xs, ys = [at[0] for at in corners], [at[1] for at in corners]
    return ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
