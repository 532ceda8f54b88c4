"""Keeps doorways clear: joints elsewhere, thresholds glued, doors hung at their other end."""

import math
from collections.abc import Iterator
from typing import Any

import shapely
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, floor_in
from underfoot.api.plan import Element, Opening
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below
from underfoot_rules.menders.cuts import change_far, corners_of, propose_cut
from underfoot_rules.menders.joining import write_lead
from underfoot_rules.menders.laid import is_cut, is_handed_over, is_laid
from underfoot_rules.menders.layout import MOST_STRIPS, lay_out
from underfoot_rules.menders.routes import reroute
from underfoot_rules.menders.spelled import stands
from underfoot_rules.menders.written import Path, change, find_strip, look_up
from underfoot_rules.openings.doorways import name_opening

_OTHER = {"start": "end", "end": "start"}
# What is left of a strip must be worth its two connections.
_SHORTEST = 500.0


def clear_of_joint(found: ToMend) -> Iterator[Proposal]:
    """Propose to join a strip at its other end, or to cut it shorter where it is joined."""
    facts, room = found.facts, found.room_facts
    if is_cut(facts, room.id) or len(room.elements) > MOST_STRIPS:
        return
    element = room.elements[room.place_of[found.items[0]]]
    opening = room.drawn.openings[found.items[1]]
    for tried in (_join_at_other_end, _cut_at_joint):
        yield from tried(found, room, element, opening)


def _join_at_other_end(
    found: ToMend, room: RoomFacts, element: Element, opening: Opening
) -> Iterator[Proposal]:
    end = _OTHER[element.connected]
    turned = replace(element, connected=end)
    if _is_near(found.facts, room, turned, opening):
        return
    leads = _take_leads(found.facts, lay_out(room, {element.id: turned}), turned)
    if leads is None:
        return
    yield Proposal(
        says=f"Join {element.id} at its {end}, away from {name_opening(opening)}.",
        edits=(
            *_write_connected(found, room, element, end),
            *_write_leads(found, room, turned, leads),
        ),
    )


def _cut_at_joint(
    found: ToMend, room: RoomFacts, element: Element, opening: Opening
) -> Iterator[Proposal]:
    every = element.film.cut_every
    if every is None:
        return
    most = math.ceil(element.length / every - 1e-6) - 1
    for count in range(most, 0, -1):
        if count * every < _SHORTEST:
            return
        turned = replace(element, connected=_OTHER[element.connected])
        cut = replace(change_far(turned, count * every), connected=element.connected)
        if _is_near(found.facts, room, cut, opening):
            continue
        leads = _take_leads(found.facts, lay_out(room, {element.id: cut}), cut)
        if leads is not None:
            proposal = propose_cut(found, cut)
            yield replace(proposal, edits=(*proposal.edits, *_write_leads(found, room, cut, leads)))
        return


def _is_near(facts: Facts, room: RoomFacts, element: Element, opening: Opening) -> bool:
    corners = corners_of(element)
    ends = {"start": corners[[0, 3]], "end": corners[[1, 2]]}
    joint = shapely.Point(ends[element.connected].mean(axis=0))
    apart = facts.limits["doorway-joint"]["apart"]
    return below(float(shapely.distance(joint, floor_in(room, opening))), apart)


def _take_leads(facts: Facts, laid: RoomFacts, element: Element) -> dict[str, Any] | None:
    """Lead all leads of a strip to it anew; None where one finds no way."""
    taken = {}
    for lead in laid.drawn.leads:
        if all(stop.element != element.id for stop in lead.route):
            continue
        route = tuple(
            replace(stop, end=element.connected) if stop.element == element.id else stop
            for stop in lead.route
        )
        way = reroute(facts, laid, replace(lead, route=route))
        if way is None:
            return None
        taken[lead.id] = way
    return taken


def _write_leads(
    found: ToMend, room: RoomFacts, element: Element, leads: dict[str, Any]
) -> Iterator[Edit]:
    laid = lay_out(room, {element.id: element})
    for lead in leads.values():
        yield from write_lead(found, laid, lead)


def _write_connected(found: ToMend, room: RoomFacts, element: Element, end: str) -> Iterator[Edit]:
    strip = find_strip(room.id, element)
    if strip.place is None:
        yield change(found.data, (*strip.path, "connected"), end)
        return
    told = look_up(found.data, strip.path)
    path: Path = (*strip.path, "lengths")
    if "lengths" not in told:
        alike: list[Any] = [told["length"]] * told["count"]
        alike[strip.place] = {"length": told["length"], "connected": end}
        yield Edit(op="remove", path=(*strip.path, "length"))
        yield Edit(op="remove", path=(*strip.path, "count"))
        yield Edit(op="add", path=path, value=alike)
        return
    was = told["lengths"][strip.place]
    now = {**was, "connected": end} if isinstance(was, dict) else {"length": was, "connected": end}
    yield Edit(op="replace", path=(*path, strip.place), value=now)


def glue_threshold(found: ToMend) -> Iterator[Proposal]:
    """Propose to have a threshold glued: it is fixed last of all, over the covering."""
    facts, room = found.facts, found.room or ""
    name = found.items[1]
    path: Path = ("rooms", room, "openings", name, "threshold")
    if is_handed_over(facts) or not stands(found.data, path):
        return
    opening = facts.rooms[room].drawn.openings[name]
    yield Proposal(
        says=f"Have the threshold of {name_opening(opening)} glued, and see that nobody screws it.",
        edits=(change(found.data, path, "glued"),),
    )


def hang_at_other_end(found: ToMend) -> Iterator[Proposal]:
    """Propose to hang a door at its other end, before the floor is laid."""
    facts = found.facts
    for own in facts.rooms.values():
        thermostat = own.drawn.thermostat
        if thermostat is None or thermostat.path != found.path or is_laid(facts, own.id):
            continue
        room = own.id if thermostat.room is None else thermostat.room
        door = facts.rooms[room].drawn.openings[found.items[1]]
        path: Path = ("rooms", room, "openings", door.id, "hinge")
        if door.hinge in ("from", "to") and stands(found.data, path):
            end = "to" if door.hinge == "from" else "from"
            yield Proposal(
                says=f"Hang {name_opening(door)} at its other end.",
                edits=(change(found.data, path, end),),
            )


MENDERS = (
    Mender(rule="doorway-joint", propose=clear_of_joint),
    Mender(rule="threshold-fixing", propose=glue_threshold),
    Mender(rule="thermostat-behind-door", propose=hang_at_other_end),
)
