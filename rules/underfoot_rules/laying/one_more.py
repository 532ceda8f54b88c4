"""Says how one more strip is laid: with its circuit and its lead, where all of that was tried."""

from collections.abc import Iterator, Sequence
from itertools import islice

import shapely
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, element_current_a, low_fixtures
from underfoot.api.physics import rectangles
from underfoot.api.plan import Element, Film, Lead, Room, Stop
from underfoot.api.rules import format_quantity
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.laying.free_places import Clearances, Offer
from underfoot_rules.laying.may_lie import may_lie
from underfoot_rules.trying import DOORWAYS, FILM, LEADS, MOST_STRIPS, SENSOR, find_brought

# What else a strip more, and its place in a route, must suit.
_LAID = (
    "circuit-feed", "circuit-element-length", "strip-length", "strip-gap", "lead-ring",
    "lead-loose-end", "circuits-joined", "fixture-clearance", "covered-floor",
)  # fmt: skip
_NEW = "the new strip"
# A strip no farther away is butted to it (mm).
_BUTTED = 1.0
# It is moved so far along to line up with its neighbour (mm).
_ASIDE = 250.0
# So many neighbours in all are tried.
_MOST_TRIED = 2


def say_one_more(
    facts: Facts, room: RoomFacts, film: Film, offers: Sequence[Offer], clear: Clearances
) -> str:
    """Say where one more strip goes, on which circuit, and into which route, if that brings
    nothing; else what it takes."""
    if not facts.is_advised:
        return ""
    see_to: list[str] = []
    for laid, near, lead in islice(_places(room, film, offers, clear), _MOST_TRIED):
        drawn = _drawn(room, film, laid, near, lead)
        brought = find_brought(facts, room, drawn, (*_LAID, *LEADS, *DOORWAYS, *SENSOR, *FILM))
        if not brought:
            return (
                f"Add {_pasted(film, laid, near)}, and put it into the route of {lead.id}, next "
                f"to {near.id}."
            )
        see_to = see_to or list_what_to_see_to(brought)
    best = offers[0]
    supply_v = facts.plan.supply.voltage_v
    more_a = element_current_a(_element(film, best, None), supply_v)
    said = (
        f"Lay it there on a circuit that bears {format_quantity(more_a, 'A')} more, with a lead "
        "to one of its ends, in a border that no strip covers"
    )
    return f"{said}; {join_clauses(see_to)}." if see_to else f"{said}."


def _places(
    room: RoomFacts, film: Film, offers: Sequence[Offer], clear: Clearances
) -> Iterator[tuple[Offer, Element, Lead]]:
    """Yield where a strip may be laid, the neighbour that it goes with, and that one's lead."""
    if len(room.elements) > MOST_STRIPS:
        return
    for offer in offers:
        for near, lead in _neighbours(room, offer):
            yield _in_line(room, film, offer, near, clear), near, lead


def _neighbours(room: RoomFacts, offer: Offer) -> Iterator[tuple[Element, Lead]]:
    """Yield the strips butted to it that lie the same way, each with the lead that joins it."""
    joined = {
        stop.element: lead for lead in room.drawn.leads for stop in lead.route if stop.element
    }
    near = room.tree.query(offer.shape, predicate="dwithin", distance=_BUTTED).tolist()
    near.sort(
        key=lambda place: (
            round(float(shapely.distance(shapely.Point(offer.at), room.strips[place])), 3),
            place,
        )
    )
    for place in near:
        element = room.elements[place]
        if element.along == offer.along and element.circuit and element.id in joined:
            yield element, joined[element.id]


def _in_line(room: RoomFacts, film: Film, offer: Offer, near: Element, clear: Clearances) -> Offer:
    """Lay an offer so that the end where it is joined lines up with its neighbour's, if it may."""
    which = 0 if offer.along == "x" else 1
    longer = near.length - offer.length if near.connected == "end" else 0.0
    at = list(offer.at)
    at[which] = near.at[which] + longer
    if abs(at[which] - offer.at[which]) > _ASIDE:
        return offer
    corners = rectangles.corners([at], offer.length, film.width, 0.0, offer.along == "y")
    low = [polygon for _, polygon in low_fixtures(room, clear.legs)]
    if not may_lie(room, corners, clear.wall, clear.fixture, (), low)[0]:
        return offer
    return replace(offer, at=(at[0], at[1]), shape=rectangles.polygons(corners)[0])


def _element(film: Film, offer: Offer, near: Element | None) -> Element:
    return Element(
        id=_NEW,
        path="",
        film=film,
        at=offer.at,
        along=offer.along,
        length=offer.length,
        circuit=None if near is None else near.circuit,
        connected="start" if near is None else near.connected,
    )


def _drawn(room: RoomFacts, film: Film, offer: Offer, near: Element, lead: Lead) -> Room:
    element = _element(film, offer, near)
    stop = Stop(kind="strip", path=lead.path, element=_NEW, end=element.connected)
    after = next(i for i, each in enumerate(lead.route) if each.element == near.id) + 1
    route = (*lead.route[:after], stop, *lead.route[after:])
    leads = tuple(
        replace(each, route=route) if each.id == lead.id else each for each in room.drawn.leads
    )
    return replace(room.drawn, elements=(*room.elements, element), leads=leads)


def _pasted(film: Film, offer: Offer, near: Element) -> str:
    x, y, length = (f"{value:.3f}".rstrip("0").rstrip(".") for value in (*offer.at, offer.length))
    connected = ", connected: end" if near.connected == "end" else ""
    return (
        f"{{film: {film.id}, at: [{x}, {y}], along: {offer.along}, length: {length}, "
        f"circuit: {near.circuit}{connected}}}"
    )
