"""Leaves a strip out where nothing else will do, with all that leads to it alone."""

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from underfoot.api.facts import RoomFacts, list_joins
from underfoot.api.plan import Element, Lead
from underfoot.api.rules import Edit, Proposal, ToMend, join_names
from underfoot_rules.menders.layout import LEADS, lay_out, list_brought, list_faults
from underfoot_rules.menders.routes import write_route
from underfoot_rules.menders.written import Path, change_list, find_strip, look_up

# A room keeps at least so many strips.
_FEWEST = 3


def leave_strip_out(found: ToMend) -> Iterator[Proposal]:
    """Propose to leave out the strip that is in the way: of two the smaller, as drawn the later.

    Its leads end before it; one that joins nothing else is left out with it.
    """
    facts, room = found.facts, found.room_facts
    if len(room.elements) <= _FEWEST:
        return
    before = list_faults(facts, room)
    strips = [room.place_of[name] for name in found.items if name in room.place_of]
    strips.sort(key=lambda i: (room.elements[i].row is not None, room.elements[i].length, -i))
    for place in strips:
        element = room.elements[place]
        left = lay_out(room, {element.id: None}, _without(room, element.id))
        brings = list_brought(before, list_faults(facts, left))
        if any(rule != LEADS for rule, _ in brings):
            continue
        edits, gone = _write_without(found, room, element)
        also = f", and lead {join_names(gone)} with it" if gone else ""
        yield Proposal(says=f"Leave out {element.id}{also}.", edits=edits)
        return


def _without(room: RoomFacts, strip: str) -> dict[str, Lead]:
    return {
        lead.id: _shorten(lead, strip)
        for lead in room.drawn.leads
        if any(stop.element == strip for stop in lead.route)
    }


def _shorten(lead: Lead, strip: str) -> Lead:
    """Take a strip out of a route; bends beyond its last joint lead to nothing."""
    route = [stop for stop in lead.route if stop.element != strip]
    while route and route[-1].kind == "bend":
        route.pop()
    while route and route[0].kind == "bend":
        route.pop(0)
    return replace(lead, route=tuple(route))


def _write_without(
    found: ToMend, room: RoomFacts, element: Element
) -> tuple[tuple[Edit, ...], list[str]]:
    edits: list[Edit] = []
    gone: list[str] = []
    for name, shorter in _without(room, element.id).items():
        path: Path = ("rooms", room.id, "leads", name)
        if not any(one.element or two.element for one, two in list_joins(shorter)):
            edits.append(Edit(op="remove", path=path))
            gone.append(name)
            continue
        old = look_up(found.data, (*path, "route"))
        edits += change_list((*path, "route"), old, _write_shorter(room, old, shorter, element))
    strip = find_strip(room.id, element)
    if strip.place is None:
        return (Edit(op="remove", path=strip.path), *edits), gone
    return (*_write_null(found, strip.path, strip.place), *edits), gone


def _write_shorter(room: RoomFacts, old: list[Any], lead: Lead, element: Element) -> list[Any]:
    """Write a route without a strip; a row that is named in it stands for one strip less."""
    if element.row in old:
        return [stop for stop in old if stop != element.id]
    return write_route(room, old, lead.route)


def _write_null(found: ToMend, row: Path, place: int) -> Iterator[Edit]:
    """Leave a row's place empty; at its end the row is one strip shorter."""
    told = look_up(found.data, row)
    if "lengths" in told:
        is_last = place == len(told["lengths"]) - 1
        path: Path = (*row, "lengths", place)
        yield Edit(op="remove", path=path) if is_last else Edit(op="replace", path=path, value=None)
    elif place == told["count"] - 1:
        yield Edit(op="replace", path=(*row, "count"), value=place)
    else:
        lengths = [None if i == place else told["length"] for i in range(told["count"])]
        yield Edit(op="remove", path=(*row, "length"))
        yield Edit(op="remove", path=(*row, "count"))
        yield Edit(op="add", path=(*row, "lengths"), value=lengths)
