"""Heats floor that stays cold: longer strips first, then further ones with circuit and lead."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import count, pairwise
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, measure_coverage
from underfoot.api.physics import rectangles
from underfoot.api.plan import Element, Lead, Stop
from underfoot.api.rules import (
    Edit,
    Mender,
    Proposal,
    ToMend,
    above,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.laying.free_places import Clearances, Offer, find_offers, main_film
from underfoot_rules.laying.may_lie import may_lie
from underfoot_rules.menders.cuts import change_far, propose_cut
from underfoot_rules.menders.laid import is_cut, is_laid
from underfoot_rules.menders.layout import MOST_STRIPS, lay_out
from underfoot_rules.menders.routes import reroute, write_route
from underfoot_rules.menders.written import (
    Path,
    change_list,
    length_of,
    look_up,
    write_length,
    write_point,
)

# No more strips are lengthened or added for one finding; nor is one so short added (mm).
_MOST, _LEAST = 6, 500.0
# A strip hangs on the circuit of the nearest strips, of which so many are tried, as are places in
# their leads for each of its ends.
_NEAREST, _JOINTS = 1, 2


class _Done(Struct, frozen=True, kw_only=True):
    """What was done so far: strips made longer, strips added, leads taken on to them."""

    room: RoomFacts
    longer: dict[str, Element] = {}
    added: tuple[Element, ...] = ()
    leads: dict[str, Lead] = {}


def heat_more(found: ToMend) -> Iterator[Proposal]:
    """Propose strips until enough of the floor is heated, or until none fits any more."""
    facts, room = found.facts, found.room_facts
    if is_cut(facts, room.id) or is_laid(facts, room.id) or len(room.elements) > MOST_STRIPS:
        return
    done = _Done(room=room)
    enough = facts.limits["cold-area"]["least_length"] if found.rule == "cold-area" else _LEAST
    while len(done.longer) + len(done.added) < _MOST:
        if found.rule == "floor-coverage" and not _is_cold(facts, done.room):
            break
        further = _lengthen(facts, done, enough) or _add(found, facts, done, enough)
        if further is None:
            break
        done = further
    is_done = found.rule == "cold-area" or not _is_cold(facts, done.room)
    if is_done and (done.longer or done.added):
        yield _propose(found, room, done)


def _is_cold(facts: Facts, room: RoomFacts) -> bool:
    limits = facts.limits
    share = measure_coverage(
        room,
        limits["wall-clearance"]["minimum"],
        limits["fixture-clearance"]["minimum"],
        limits["covered-floor"]["clear"],
    ).share
    return below(share, limits["floor-coverage"]["least"])


def _lengthen(facts: Facts, done: _Done, least: float) -> _Done | None:
    """Make the strip longer that gains the most, at the end that no lead is joined to.

    One that gains less than `least` is left as it is.
    """
    room, limits = done.room, facts.limits
    wall = max(limits["wall-clearance"]["planned"], limits["wall-clearance"]["minimum"])
    fixture = limits["fixture-clearance"]["minimum"]
    low = [f[1] for f in room.fixtures if f[0].clear is not None
           and f[0].clear < limits["covered-floor"]["clear"]]  # fmt: skip
    best: tuple[float, Element] | None = None
    for place, element in enumerate(room.elements):
        every, longest = element.film.cut_every, element.film.longest_strip
        if every is None or element in done.added:
            continue
        for sections in count(1):
            longer = change_far(element, element.length + sections * every)
            if longest is not None and above(longer.length, longest):
                break
            corners = lay_out(room, {element.id: longer}).corners[place][None]
            if not may_lie(room, corners, wall, fixture, (place,), low)[0]:
                break
            gain = sections * every * element.film.width
            is_enough = longer.length - element.length >= least
            if is_enough and (best is None or gain > best[0]):
                best = gain, longer
    if best is None:
        return None
    longer = best[1]
    return replace(
        done, room=lay_out(room, {longer.id: longer}), longer={**done.longer, longer.id: longer}
    )


def _add(found: ToMend, facts: Facts, done: _Done, least: float) -> _Done | None:
    """Add the longest strip that fits, on the circuit of a neighbour, and take its lead on."""
    room, limits = done.room, facts.limits
    film = main_film(room)
    if film.cut_every is None or film.longest_strip is None or not room.is_upright:
        return None
    wall = limits["wall-clearance"]
    clear = Clearances(
        wall=max(wall["planned"], wall["minimum"]),
        fixture=limits["fixture-clearance"]["minimum"],
        legs=limits["covered-floor"]["clear"],
    )
    for found_place in find_offers(room, film, least, clear)[:1]:
        offer = _in_line(facts, room, film.width, found_place)
        near = room.tree.query_nearest(offer.shape).tolist()
        beside = sorted(near, key=lambda i: (room.elements[i].film.id != film.id, i))[:_NEAREST]
        for place in beside:
            model = room.elements[place]
            strip = replace(
                model,
                id=_name(found, done, model, offer),
                path="",
                film=film,
                at=offer.at,
                along=offer.along,
                angle_deg=0.0,
                length=offer.length,
                note=None,
                row=_row_of(found, done, offer, model.film.id),
            )
            joined = _join(facts, done, strip)
            if joined is not None:
                return joined
    return None


def _in_line(facts: Facts, room: RoomFacts, width: float, offer: Offer) -> Offer:
    """Begin a further strip in line with its nearest neighbours, where it may lie so."""
    wall = max(*(facts.limits["wall-clearance"][key] for key in ("planned", "minimum")))
    fixture = facts.limits["fixture-clearance"]["minimum"]
    axis = 0 if offer.along == "x" else 1
    for place in sorted(room.tree.query_nearest(offer.shape).tolist()):
        neighbour = room.elements[place]
        if neighbour.along != offer.along:
            continue
        at = list(offer.at)
        at[axis] = neighbour.at[axis]
        corners = rectangles.corners(np.array([at]), offer.length, width, 0.0, offer.along == "y")
        if may_lie(room, corners, wall, fixture)[0]:
            return replace(offer, at=(at[0], at[1]), shape=rectangles.polygons(corners)[0])
    return offer


def _join(facts: Facts, done: _Done, strip: Element) -> _Done | None:
    """Join a strip to the lead of its circuit where that is the least way round."""
    tries: list[tuple[float, Element, Lead]] = []
    for end in ("start", "end"):
        joined = replace(strip, connected=end)
        room = lay_out(done.room, {strip.id: joined})
        stop = Stop(kind="strip", path="", element=strip.id, end=end)
        for lead in room.drawn.leads:
            if lead.circuit != strip.circuit or lead.route[-1].kind != "strip":
                continue
            for at in range(1, len(lead.route) + 1):
                if all(each.kind == "bend" for each in lead.route[at:]) and at < len(lead.route):
                    continue
                route = (*lead.route[:at], stop, *lead.route[at:])
                more = _measure(room, route) - _measure(room, lead.route)
                tries.append((more, joined, replace(lead, route=route)))
    tries.sort(key=lambda each: each[0])
    best = [
        each
        for end in ("start", "end")
        for each in [each for each in tries if each[1].connected == end][:_JOINTS]
    ]
    for _, joined, lead in sorted(best, key=lambda each: each[0]):
        room = lay_out(done.room, {strip.id: joined}, {lead.id: lead})
        taken = reroute(facts, room, lead)
        if taken is not None:
            return replace(
                done,
                room=lay_out(room, None, {lead.id: taken}),
                added=(*done.added, joined),
                leads={**done.leads, lead.id: taken},
            )
    return None


def _measure(room: RoomFacts, route: tuple[Stop, ...]) -> float:
    places = room.places_of(route)
    return sum(math.dist(a, b) for a, b in pairwise(places))


def _row_of(found: ToMend, done: _Done, offer: Offer, film: str) -> str | None:
    """Name the row that a further strip goes on, where it does so exactly."""
    rows: Mapping[str, Any] = look_up(found.data, ("rooms", done.room.id, "rows")) or {}
    for name, row in rows.items():
        if row["film"] != film or row["along"] != offer.along or "at" not in row:
            continue
        if any(other.get("after") == name for other in rows.values()):
            continue
        axis = 0 if offer.along == "y" else 1
        x, y = (length_of(part) for part in row["at"])
        strips = _count_places(row) + sum(each.row == name for each in done.added)
        if "lengths" not in row and abs(length_of(row["length"]) - offer.length) > 0.01:
            continue
        own = next(each for each in done.room.elements if each.row == name)
        step = own.film.width + length_of(row.get("spacing", 0))
        goes_on = (x, y)[axis] + strips * step
        off = (goes_on - offer.at[axis], (x, y)[1 - axis] - offer.at[1 - axis])
        if math.hypot(*off) < 0.01:
            return str(name)
    return None


def _count_places(row: Mapping[str, Any]) -> int:
    """Count the places of a row as it is written."""
    return len(row["lengths"]) if "lengths" in row else int(row["count"])


def _name(found: ToMend, done: _Done, model: Element, offer: Offer) -> str:
    """Name a strip as its row goes on, else by a free number after its neighbour's letters."""
    row = _row_of(found, done, offer, model.film.id)
    if row is not None:
        told = look_up(found.data, ("rooms", done.room.id, "rows", row))
        return f"{row}{_count_places(told) + sum(each.row == row for each in done.added) + 1}"
    stem = re.sub(r"\d+$", "", model.id) or model.id
    if model.row is not None:
        stem = f"{model.row}-"
    taken = {*found.facts.elements, *found.facts.circuits, *found.facts.rooms}
    taken |= {each.id for each in done.added}
    taken |= {name for room in found.facts.rooms.values() for name in room.ids}
    return next(name for number in count(1) if (name := f"{stem}{number}") not in taken)


def _propose(found: ToMend, room: RoomFacts, done: _Done) -> Proposal:
    says: list[str] = []
    edits: list[Edit] = []
    for longer in done.longer.values():
        made = propose_cut(found, longer)
        edits += made.edits
        says.append(made.says)
    for strip in done.added:
        lead = next(each for each in done.leads.values() if _joins(each, strip.id))
        says.append(
            f"Add {strip.id}, {format_quantity(strip.length, 'mm')} long, along {strip.along} from "
            f"{point_text(*strip.at)}, on circuit {strip.circuit}, joined to lead {lead.id}."
        )
    edits += _write_strips(found, room, done.added)
    for name, lead in done.leads.items():
        path: Path = ("rooms", room.id, "leads", name, "route")
        old = look_up(found.data, path)
        new = write_route(_with_rows(done), old, lead.route)
        edits += change_list(path, old, new)
    return Proposal(says=" ".join(says), edits=tuple(edits))


def _joins(lead: Lead, strip: str) -> bool:
    return any(stop.element == strip for stop in lead.route)


def _with_rows(done: _Done) -> RoomFacts:
    """Return the room with the strips that go on its rows counted among those."""
    rows = tuple(
        replace(
            row,
            elements=(*row.elements, *(each.id for each in done.added if each.row == row.id)),
        )
        for row in done.room.drawn.rows
    )
    return RoomFacts(replace(done.room.drawn, rows=rows), done.room.supply)


def _write_strips(found: ToMend, room: RoomFacts, added: Sequence[Element]) -> Iterator[Edit]:
    """Write strips down in the rows that they go on, the others by themselves."""
    path: Path = ("rooms", room.id, "elements")
    alone = {strip.id: _tell(strip) for strip in added if strip.row is None}
    if alone and look_up(found.data, path) is None:
        yield Edit(op="add", path=path, value=alone)
    else:
        for name, told in alone.items():
            yield Edit(op="add", path=(*path, name), value=told)
    for strip in added:
        if strip.row is not None:
            yield _write_in_row(found, room, strip, strip.row)


def _tell(strip: Element) -> dict[str, Any]:
    told: dict[str, Any] = {
        "film": strip.film.id,
        "at": write_point(*strip.at),
        "along": strip.along,
        "length": write_length(strip.length),
    }
    if strip.circuit is not None:
        told["circuit"] = strip.circuit
    if strip.connected != "start":
        told["connected"] = strip.connected
    return told


def _write_in_row(found: ToMend, room: RoomFacts, strip: Element, name: str) -> Edit:
    row: Path = ("rooms", room.id, "rows", name)
    written = look_up(found.data, row)
    place: Any = write_length(strip.length)
    more = {}
    if strip.circuit != written.get("circuit"):
        more["circuit"] = strip.circuit
    if strip.connected != written.get("connected", "start"):
        more["connected"] = strip.connected
    if more:
        place = {"length": place, **more}
    if "lengths" in written:
        return Edit(op="add", path=(*row, "lengths", "-"), value=place)
    return Edit(op="replace", path=(*row, "count"), value=int(strip.id.removeprefix(name)))


MENDERS = (
    Mender(rule="floor-coverage", propose=heat_more),
    Mender(rule="cold-area", propose=heat_more),
)
