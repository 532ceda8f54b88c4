"""The facts of feeding: which strips the leads of a circuit join to the junction box."""

from collections.abc import Iterable, Iterator
from math import dist

from msgspec import Struct

from underfoot.checking.facts.room import RoomFacts
from underfoot.plan import Lead, Stop

BOX = "junction-box"


def node_of(stop: Stop) -> str:
    """Name the connection that a stop of a route is."""
    return BOX if stop.kind == "box" else f"{stop.element}.{stop.end}"


def strips_of(lead: Lead) -> list[str]:
    """List the strips that a lead names, each once, in the order of its route."""
    return list(dict.fromkeys(stop.element for stop in lead.route if stop.element is not None))


def list_joins(lead: Lead) -> Iterator[tuple[Stop, Stop]]:
    """List the pairs of connections that a lead joins by conductors of its own.

    As in `list_hops`, a strip's own busbars are no part of it.
    """
    last: Stop | None = None
    bends = False
    for stop in lead.route:
        if stop.kind == "bend":
            bends = True
            continue
        if last is not None and (bends or stop.element is None or stop.element != last.element):
            yield last, stop
        last, bends = stop, False


class Hop(Struct, frozen=True, kw_only=True):
    """What a lead lays between two of its connections.

    `start` and `end` are ``junction-box`` or one end of a strip (``A1.start``). `length` is None
    where the junction box is not drawn.
    """

    start: str
    end: str
    length: float | None


def list_hops(room: RoomFacts, lead: Lead) -> list[Hop]:
    """List the hops of a lead from connection to connection, along its bends.

    Between the two ends of one strip, named one after the other, the strip's own busbars carry
    the current: that is no hop.
    """
    hops: list[Hop] = []
    last: Stop | None = None
    before: tuple[float, float] | None = None
    length, drawn, bends = 0.0, True, False
    for stop in lead.route:
        here = room.place_of_stop(stop)
        if before is not None and here is not None:
            length += dist(before, here)
        drawn = drawn and here is not None
        before = here
        if stop.kind == "bend":
            bends = True
            continue
        if last is not None and (bends or stop.element is None or stop.element != last.element):
            hops.append(
                Hop(start=node_of(last), end=node_of(stop), length=length if drawn else None)
            )
        last, length, drawn, bends = stop, 0.0, here is not None, False
    return hops


def gather_leads(room: RoomFacts) -> dict[str, list[Lead]]:
    """Gather the leads of a room by their circuit."""
    found: dict[str, list[Lead]] = {}
    for lead in room.drawn.leads:
        found.setdefault(lead.circuit, []).append(lead)
    return found


def find_fed(leads: Iterable[Lead]) -> set[str]:
    """Find the strips that leads of one room and circuit join to the junction box.

    A strip may be fed on from either end, through its busbars; a lead may begin anywhere that
    another one has already fed.
    """
    fed: set[str] = set()
    waiting: list[Lead] = []
    touching: dict[str, list[Lead]] = {}
    for lead in leads:
        if any(stop.kind == "box" for stop in lead.route):
            waiting.append(lead)
        for strip in strips_of(lead):
            touching.setdefault(strip, []).append(lead)
    seen = {lead.id for lead in waiting}
    while waiting:
        for strip in strips_of(waiting.pop()):
            if strip in fed:
                continue
            fed.add(strip)
            for lead in touching[strip]:
                if lead.id not in seen:
                    seen.add(lead.id)
                    waiting.append(lead)
    return fed


def find_fed_in(room: RoomFacts) -> frozenset[str]:
    """Find the strips of a room that leads of their own circuit join to the junction box."""
    reached = {circuit: find_fed(leads) for circuit, leads in gather_leads(room).items()}
    return frozenset(
        element.id
        for element in room.elements
        if element.circuit in reached and element.id in reached[element.circuit]
    )
