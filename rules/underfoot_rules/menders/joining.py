"""Puts strips on circuits and into leads, and draws leads that join them to the box."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, list_joins
from underfoot.api.plan import Element, Lead, Stop
from underfoot.api.rules import Edit, ToMend
from underfoot_rules.menders.layout import lay_out
from underfoot_rules.menders.routes import reroute, write_route
from underfoot_rules.menders.written import Path, change, change_list, find_strip, look_up

# No lead is drawn to more strips, nor in a room with more.
MOST_STRIPS = 100


def put_on_circuit(
    found: ToMend, room: str, strips: Iterable[Element], circuit: str
) -> tuple[Edit, ...]:
    """Write strips down on a circuit: those of a row in their places, or all with the row."""
    return put_on_circuits(found, room, {circuit: strips})


def put_on_circuits(
    found: ToMend, room: str, strips_of: Mapping[str, Iterable[Element]]
) -> tuple[Edit, ...]:
    """Write strips down on several circuits at once, so that a row is written anew once."""
    edits: list[Edit] = []
    rows: dict[Path, dict[int, str]] = {}
    for circuit, strips in strips_of.items():
        for element in strips:
            strip = find_strip(room, element)
            if strip.place is None:
                edits.append(change(found.data, (*strip.path, "circuit"), circuit))
            else:
                rows.setdefault(strip.path, {})[strip.place] = circuit
    for path, circuits in rows.items():
        edits += _put_places_on(found, path, circuits)
    return tuple(edits)


def _put_places_on(found: ToMend, row: Path, circuits: Mapping[int, str]) -> list[Edit]:
    told = look_up(found.data, row)
    own = told.get("circuit")
    lengths = told.get("lengths")
    alone = next(iter(circuits.values())) if len(set(circuits.values())) == 1 else None
    if lengths is None:
        if alone is not None and len(circuits) == told["count"]:
            return [change(found.data, (*row, "circuit"), alone)]
        written = [
            {"length": told["length"], "circuit": circuits[place]}
            if place in circuits
            else told["length"]
            for place in range(told["count"])
        ]
        return [
            Edit(op="remove", path=(*row, "count")),
            Edit(op="remove", path=(*row, "length")),
            Edit(op="add", path=(*row, "lengths"), value=written),
        ]
    laid = [place for place, told_of in enumerate(lengths) if told_of is not None]
    plain = not any(isinstance(lengths[place], dict) for place in laid)
    if alone is not None and set(circuits) == set(laid) and plain:
        return [change(found.data, (*row, "circuit"), alone)]
    return [
        Edit(op="replace", path=(*row, "lengths", place),
             value=_put_place_on(lengths[place], own, circuit))
        for place, circuit in circuits.items()
    ]  # fmt: skip


def _put_place_on(was: Any, own: str | None, circuit: str) -> Any:
    """Write a place of a row on a circuit: as briefly as it can be said."""
    told = {key: value for key, value in was.items() if key != "circuit"} if isinstance(
        was, dict
    ) else {"length": was}  # fmt: skip
    if own == circuit:
        return told["length"] if set(told) == {"length"} else told
    return {**told, "circuit": circuit}


def leave_stops_out(lead: Lead, strips: Iterable[str]) -> Lead | None:
    """Take strips out of a lead's route; None where it then joins nothing to anything."""
    gone = set(strips)
    route = [stop for stop in lead.route if stop.element not in gone]
    while route and route[-1].kind == "bend":
        route.pop()
    while route and route[0].kind == "bend":
        route.pop(0)
    shorter = replace(lead, route=tuple(route))
    joins = any(one.element or two.element for one, two in list_joins(shorter))
    return shorter if joins else None


def write_lead(found: ToMend, room: RoomFacts, lead: Lead) -> tuple[Edit, ...]:
    """Write another route of a lead that the plan has."""
    path: Path = ("rooms", room.id, "leads", lead.id, "route")
    old = look_up(found.data, path)
    new = write_route(room, old, lead.route)
    return change_list(path, old, new)


def remove_lead(room: RoomFacts, lead: str) -> tuple[Edit, ...]:
    """Take a lead out of the plan."""
    return (Edit(op="remove", path=("rooms", room.id, "leads", lead)),)


def put_into_lead(facts: Facts, room: RoomFacts, lead: Lead, element: Element) -> Lead | None:
    """Take a lead on to a strip: next to the strip that lies nearest of those that it joins."""
    stop = _stop_at(element)
    joined = [
        (math.dist(_place(room, stop), _place(room, each)), at)
        for at, each in enumerate(lead.route)
        if each.element is not None
    ]
    for _, at in sorted(joined)[:2]:
        for place in (at + 1, at):
            route = (*lead.route[:place], stop, *lead.route[place:])
            longer = replace(lead, route=route)
            taken = reroute(facts, lay_out(room, leads={lead.id: longer}), longer)
            if taken is not None:
                return taken
    return None


def draw_lead(
    facts: Facts,
    room: RoomFacts,
    lead: Lead,
    strips: Sequence[Element],
    others: Iterable[Lead] = (),
) -> Lead | None:
    """Draw a lead from the box to strips, from each to the next that lies nearest.

    `others` are leads that are changed in the same breath.
    """
    if room.box is None or not strips or len(strips) > MOST_STRIPS:
        return None
    here, left = room.box, list(strips)
    stops = [Stop(kind="box", path="")]
    while left:
        nearest = min(left, key=lambda each: (math.dist(here, _end(room, each)), each.id))
        left.remove(nearest)
        here = _end(room, nearest)
        stops.append(_stop_at(nearest))
    drawn = replace(lead, route=tuple(stops))
    laid = lay_out(room, leads={**{each.id: each for each in others}, lead.id: drawn})
    return reroute(facts, laid, drawn)


def add_lead(room: RoomFacts, lead: Lead, told: dict[str, Any]) -> tuple[Edit, ...]:
    """Write a new lead, `told` being what stands with it besides its circuit and route."""
    value = {"circuit": lead.circuit, **told, "route": write_route(room, [], lead.route)}
    return (Edit(op="add", path=("rooms", room.id, "leads", lead.id), value=value),)


def find_lead(room: RoomFacts, name: str) -> Lead:
    """Find a lead of a room."""
    return next(lead for lead in room.drawn.leads if lead.id == name)


def _stop_at(element: Element) -> Stop:
    return Stop(kind="strip", path="", element=element.id, end=element.connected)


def _place(room: RoomFacts, stop: Stop) -> tuple[float, float]:
    return room.place_of_stop(stop) or (0.0, 0.0)


def _end(room: RoomFacts, element: Element) -> tuple[float, float]:
    return _place(room, _stop_at(element))
