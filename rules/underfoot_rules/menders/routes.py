"""Takes the legs of a lead, from one joint to the next, another way where they lie wrong."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import AT_THE_BOX, Facts, Place, RoomFacts, obstacles, size_lead
from underfoot.api.plan import Lead, Stop
from underfoot_rules.leads.lead_under_nails import find_floor_under
from underfoot_rules.leads.leads_together import AT_A_JOINT
from underfoot_rules.menders.ways import End, Ground, find_bends, make_ground
from underfoot_rules.menders.written import length_of, write_point
from underfoot_rules.openings.doorways import list_screwed

# Leads lie side by side with so much between them.
_BETWEEN = 1.0


class Leg(Struct, frozen=True, kw_only=True):
    """A lead from one joint to the next: its bends, and whether all of it lies where it may."""

    start: Stop
    bends: tuple[Stop, ...]
    end: Stop


def cut_legs(lead: Lead) -> list[Leg]:
    """Cut a route at the box and the strips that it joins."""
    legs: list[Leg] = []
    bends: list[Stop] = []
    start: Stop | None = None
    for stop in lead.route:
        if stop.kind == "bend":
            bends.append(stop)
            continue
        if start is not None:
            legs.append(Leg(start=start, bends=tuple(bends), end=stop))
        start, bends = stop, []
    return legs


def reroute(facts: Facts, room: RoomFacts, lead: Lead) -> Lead | None:
    """Return a lead with the legs that lie wrong taken another way; None where one finds none."""
    named = [stop for stop in lead.route if stop.kind != "bend"]
    if len(named) < 2 or lead.route[0] is not named[0] or lead.route[-1] is not named[-1]:
        return None
    ground = make_lead_ground(facts, room, lead)
    route = [named[0]]
    for leg in cut_legs(lead):
        bends: tuple[Stop, ...] | None = leg.bends
        if not _is_drawn(leg):
            pass
        elif not lies_well(room, ground, leg) or _runs_over(room, lead, route, leg):
            ways = make_lead_ground(facts, room, lead, tuple(route)) if len(route) > 2 else ground
            bends = find_leg(room, ways, leg.start, leg.end)
        if bends is None:
            return None
        route += [*bends, leg.end]
    return replace(lead, route=tuple(route))


def find_leg(room: RoomFacts, ground: Ground, start: Stop, end: Stop) -> tuple[Stop, ...] | None:
    """Find the bends from one joint to another."""
    ends = (end_of(room, start), end_of(room, end))
    if ends[0] is None or ends[1] is None:
        return None
    bends = find_bends(ground, ends[0], ends[1])
    if bends is None:
        return None
    return tuple(Stop(kind="bend", path="", at=place) for place in bends)


def lies_well(room: RoomFacts, ground: Ground, leg: Leg) -> bool:
    """Tell whether all pieces of a leg lie on the floor that a lead may take."""
    stops = (leg.start, *leg.bends, leg.end)
    for first, second in pairwise(stops):
        ends = room.place_of_stop(first), room.place_of_stop(second)
        if ends[0] is None or ends[1] is None:
            return False
        joints = (first.kind == "strip") + (second.kind == "strip")
        floor = (ground.open, ground.at_end, ground.between)[joints]
        if not shapely.covers(floor, shapely.LineString(np.array(ends) @ ground.turn)):
            return False
    return True


def end_of(room: RoomFacts, stop: Stop) -> End | None:
    """Return where a joint is, and how a lead leaves it."""
    at = room.place_of_stop(stop)
    if at is None or stop.element is None:
        return None if at is None else End(at=at)
    start, end = room.connections[room.place_of[stop.element]]
    away = start - end if stop.end == "start" else end - start
    x, y = (away / np.hypot(*away)).tolist()
    return End(at=at, outwards=(x, y))


def make_lead_ground(
    facts: Facts, room: RoomFacts, lead: Lead, own: tuple[Stop, ...] = ()
) -> Ground:
    """Return the floor that a lead may take: clear of strips, fixtures, joints, leads, conduit.

    `own` is what of its way it must not lie on again.
    """
    half = size_lead(lead).width / 2
    joined = {stop.element for stop in lead.route if stop.element is not None}
    strips = list(room.strips)
    return make_ground(
        room,
        half,
        list(_list_barred(facts, room, lead, half, own)),
        strips,
        [strips[room.place_of[name]] for name in sorted(joined) if name in room.place_of],
        (stop.at for stop in lead.route if stop.at is not None),
    )


def _list_barred(
    facts: Facts, room: RoomFacts, lead: Lead, half: float, own: tuple[Stop, ...]
) -> Iterator[Any]:
    clear = facts.limits["lead-under-fixture"]["clear"]
    for fixture, polygon in obstacles(room):
        away = half + (clear if fixture.kind == "fixings" else 0.0) + 1.0
        yield shapely.buffer(polygon, away, join_style="mitre")
    apart = facts.limits["lead-near-heat"]["apart"]
    for fixture, polygon in room.fixtures:
        free = max(apart if fixture.kind == "heat source" else 0.0, fixture.clearance or 0.0)
        if free:
            yield shapely.buffer(polygon, half + free + 1.0)
    for area in room.drawn.coverings:
        if area.covering.fixing not in ("floating", "glued", None):
            yield shapely.buffer(find_floor_under(room, area), half + 1.0, join_style="mitre")
    for _, floor in list_screwed(room):
        away = half + facts.limits["threshold-fixing"]["apart"] + 1.0
        yield shapely.buffer(floor, away, join_style="mitre")
    for _, line in room.joints:
        yield shapely.buffer(line, 1.0)
    yield from _other_leads(room, lead, half)
    if own:
        way = [place for stop in own if (place := room.place_of_stop(stop)) is not None]
        yield _free_ends(room, shapely.LineString(way), 2 * half, way)
    if len(room.sensor_way) > 1:
        conduit = shapely.LineString(room.sensor_way)
        if room.box is not None:
            conduit = shapely.difference(conduit, shapely.Point(room.box).buffer(AT_THE_BOX))
        yield shapely.buffer(conduit, facts.limits["sensor-near-lead"]["apart"])


def _other_leads(room: RoomFacts, lead: Lead, half: float) -> Iterator[Any]:
    joints = {stop.element for stop in lead.route if stop.element is not None}
    for laid in room.leads:
        if laid.lead.id == lead.id or laid.line is None:
            continue
        shared = [
            place
            for stop in laid.lead.route
            if stop.element in joints and (place := room.place_of_stop(stop)) is not None
        ]
        apart = half + size_lead(laid.lead).width / 2 + _BETWEEN
        yield _free_ends(room, laid.line, apart, shared)


def _free_ends(room: RoomFacts, line: Any, apart: float, joints: list[Place]) -> Any:
    """Return the floor beside a lead, except at box and joints, where leads lie together."""
    beside = shapely.buffer(line, apart, cap_style="flat")
    near = [shapely.Point(place).buffer(AT_A_JOINT - 1.0) for place in joints]
    if room.box is not None:
        near.append(shapely.Point(room.box).buffer(AT_THE_BOX - 1.0))
    return shapely.difference(beside, shapely.union_all(near)) if near else beside


def _is_drawn(leg: Leg) -> bool:
    """Tell whether a leg lies on the floor: between a strip's two ends its busbars carry on."""
    return leg.start.element is None or leg.start.element != leg.end.element


def _runs_over(room: RoomFacts, lead: Lead, route: list[Stop], leg: Leg) -> bool:
    """Tell whether a leg lies on what of the lead was before it, or on itself."""
    stops = (*route, *leg.bends, leg.end)
    way = [place for stop in stops if (place := room.place_of_stop(stop)) is not None]
    line = shapely.LineString(way)
    return not shapely.is_simple(line)


def write_route(room: RoomFacts, old: list[Any], route: Sequence[Stop]) -> list[Any]:
    """Write a route as the plan writes it: what stays as it stands there, a row as a row."""
    whole: dict[str, list[str | None]] = {}
    for each in room.drawn.rows:
        whole[each.id] = list(each.elements)
    written: list[Any] = []
    stops = list(route)
    while stops:
        stop = stops[0]
        was = old[int(stop.path.rsplit(".", 1)[1])] if stop.path else None
        if isinstance(was, str) and was in whole:
            row = whole[was]
            if [each.element for each in stops[: len(row)]] == row:
                written.append(was)
                del stops[: len(row)]
                continue
        del stops[0]
        written.append(_write_stop(room, stop, was))
    return written


def _write_stop(room: RoomFacts, stop: Stop, was: Any) -> Any:
    if stop.kind == "box":
        return "junction-box"
    if stop.at is not None:
        if isinstance(was, list) and tuple(map(length_of, was)) == stop.at:
            return was
        return write_point(*stop.at, was)
    element = room.elements[room.place_of[stop.element or ""]]
    return element.id if element.connected == stop.end else f"{element.id}.{stop.end}"
