"""The facts of wiring: a circuit's cable, leads and strips as a network of resistances."""

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts.circuit import element_power_w
from underfoot.checking.facts.facts import Facts
from underfoot.checking.facts.feed import BOX, list_hops
from underfoot.checking.facts.linking import (
    Boxes,
    Leads,
    Link,
    Unknown,
    find_all_boxes,
    gather_circuit_leads,
    no_cable,
)
from underfoot.checking.facts.protection import ProtectionFacts
from underfoot.checking.facts.room import RoomFacts
from underfoot.physics import conductors, electrics, network
from underfoot.plan import Cable, Element, Film, Lead, Stop

BOARD = "board"
CABLE = "cable"

# Leads with so small a share of their resistance that strips draw what they would at the supply
# voltage, while rings still share as their lengths do.
_ALMOST_NOTHING = 1e-4


OhmOf = Callable[[Element], float]
"""Gives a strip's resistance, ohm."""


def rate_ohm(element: Element) -> float:
    """Return a strip's resistance as rated, ohm."""
    return electrics.compute_resistance(element_power_w(element), element.film.voltage_v)


class LeadPiece(Struct, frozen=True, kw_only=True):
    """A piece of lead in the network: whose, from where to where, how long in mm."""

    lead: Lead
    name: str
    start: str
    end: str
    length: float | None


class Wiring(Struct, frozen=True, kw_only=True):
    """What hangs on one protection. `fed_through` are strips whose busbars carry others' current.

    `ends` are the ends at which each strip on a lead is joined, `links` what joins boxes.
    """

    protection: ProtectionFacts
    links: tuple[Link, ...]
    pieces: tuple[LeadPiece, ...]
    ends: Mapping[str, tuple[str, ...]]
    elements: Mapping[str, Element]

    @property
    def leads(self) -> tuple[Lead, ...]:
        """The leads of its circuits, each once."""
        return tuple({piece.lead.id: piece.lead for piece in self.pieces}.values())

    @property
    def fed_through(self) -> tuple[Element, ...]:
        """The strips joined at both ends."""
        return tuple(self.elements[name] for name, ends in self.ends.items() if len(ends) > 1)

    @property
    def films_left_out(self) -> tuple[Film, ...]:
        """The films of strips fed through that give no busbar resistance."""
        films = {element.film.id: element.film for element in self.fed_through}
        return tuple(film for film in films.values() if film.busbar_resistance_ohm_m is None)


class Sizes(Struct, frozen=True, kw_only=True):
    """Other sizes to reckon with in place of the plan's, in mm2; None keeps the plan's.

    Links are then no smaller than the cable.
    """

    cable_mm2: float | None = None
    leads_mm2: float | None = None


class Drop(Struct, frozen=True, kw_only=True):
    """What arrives where the least does: the strip, its voltage, the voltage at the box, currents.

    `unfed` are strips that no lead joins to the box, `unknown` what the plan leaves out (its
    resistance was taken as nothing, so the drop is at least this).
    """

    strip: str
    strip_v: float
    box_v: float
    cable_a: float
    unfed: tuple[str, ...]
    unknown: tuple[Unknown, ...]


def find_all_wirings(facts: Facts) -> dict[str, Wiring]:
    """Find what hangs on each protection, by its id."""
    leads, boxes = facts.once(gather_circuit_leads), facts.once(find_all_boxes)
    return {
        name: find_wiring(protection, leads, boxes[name])
        for name, protection in facts.protections.items()
    }


def find_wiring(protection: ProtectionFacts, leads: Leads, boxes: Boxes) -> Wiring:
    """Lay out the leads of a protection's circuits as pieces between connections."""
    pieces: list[LeadPiece] = []
    ends: dict[str, list[str]] = {}
    elements = {
        element.id: element for circuit in protection.circuits for element in circuit.elements
    }
    for circuit in protection.circuits:
        for room, laid in leads.get(circuit.id, ()):
            lead = laid.lead
            for stop in lead.route:
                _join(stop, room, ends, elements)
            box = boxes.node_of(circuit.id, room.id)
            for number, hop in enumerate(list_hops(room, lead)):
                start, end = (box if node == BOX else node for node in (hop.start, hop.end))
                name = f"{lead.id} {number}"
                pieces.append(
                    LeadPiece(lead=lead, name=name, start=start, end=end, length=hop.length)
                )
    return Wiring(
        protection=protection,
        links=boxes.links,
        pieces=tuple(pieces),
        ends={name: tuple(joined) for name, joined in ends.items()},
        elements=elements,
    )


def _join(
    stop: Stop, room: RoomFacts, ends: dict[str, list[str]], elements: dict[str, Element]
) -> None:
    if stop.element is None or stop.end is None:
        return
    joined = ends.setdefault(stop.element, [])
    if stop.end not in joined:
        joined.append(stop.end)
    # A lead that joins strips of two circuits feeds both.
    if stop.element not in elements and stop.element in room.place_of:
        elements[stop.element] = room.elements[room.place_of[stop.element]]


def bound_drop_v(protection: ProtectionFacts, leads: Leads, boxes: Boxes) -> float | None:
    """Bound the drop from above, in V: all current through cable, links and leads, one by one.

    Every way from the board uses a piece once at most, and no piece carries more than all. None
    where the plan leaves something out, or busbars have a resistance of their own.
    """
    ohm = 0.0
    for cable in (protection.circuit.cable, *(link.cable for link in boxes.links)):
        if cable is None or cable.size_mm2 is None or cable.length is None:
            return None
        ohm += _loop_ohm(cable.size_mm2, cable.length)
    for circuit in protection.circuits:
        if any(film.busbar_resistance_ohm_m for film in circuit.films):
            return None
        for _, laid in leads.get(circuit.id, ()):
            if laid.line is None or laid.lead.size_mm2 is None:
                return None
            ohm += _loop_ohm(laid.lead.size_mm2, laid.line.length)
    return protection.current_a * ohm


def solve_wiring(
    wiring: Wiring,
    supply_v: float,
    *,
    source: str = BOARD,
    sizes: Sizes | None = None,
    ohm_of: OhmOf = rate_ohm,
    conductor_c: float = conductors.PVC_HOTTEST_C,
) -> tuple[network.Flow, tuple[Unknown, ...]]:
    """Solve the network as fed at `source`; give also what the plan leaves out, taken as nothing.

    `ohm_of` gives a strip's resistance, `conductor_c` is how warm the copper is.
    """
    unknown: list[Unknown] = []
    segments = _segments(
        wiring, sizes or Sizes(), unknown, source=source, ohm_of=ohm_of, conductor_c=conductor_c
    )
    flow = network.solve_network(source, supply_v, segments, _loads(wiring, ohm_of))
    return flow, tuple(dict.fromkeys(unknown))


def solve_drop(wiring: Wiring, supply_v: float, sizes: Sizes | None = None) -> Drop | None:
    """Solve the network for the strip that gets the least voltage; None where none is fed."""
    flow, unknown = solve_wiring(wiring, supply_v, sizes=sizes)
    lowest = flow.find_lowest_load()
    if lowest is None:
        return None
    fed = {name.partition(".")[0] for name in flow.load_v}
    return Drop(
        strip=lowest[0].partition(".")[0],
        strip_v=lowest[1],
        box_v=flow.node_v[BOX],
        cable_a=flow.source_a,
        unfed=tuple(name for name in wiring.elements if name not in fed),
        unknown=unknown,
    )


def find_currents_behind(facts: Facts, protection: str) -> dict[str, float]:
    """Find the currents behind a protection by its id; each conductor there asks for its own."""
    wiring = facts.once(find_all_wirings)[protection]
    return find_currents(wiring, facts.plan.supply.voltage_v)


def find_currents(wiring: Wiring, supply_v: float) -> dict[str, float]:
    """Find the greatest current in each lead and link, in A, every strip at the supply voltage.

    Leads are named by their id, links by their name. Where they form a ring they share it as their
    resistances do; else this is the sum over the strips beyond.
    """
    segments = [replace(segment, loop_ohm=0.0) for segment in _segments(wiring, Sizes(), [])]
    nodes = {end for segment in segments for end in (segment.start, segment.end)}
    if len([segment for segment in segments if segment.start != segment.end]) >= len(nodes):
        segments = [
            replace(segment, loop_ohm=segment.loop_ohm * _ALMOST_NOTHING)
            for segment in _segments(wiring, Sizes(), [])
        ]
    flow = network.solve_network(BOARD, supply_v, segments, _loads(wiring))
    currents = {link.name: abs(flow.segment_a.get(link.name, 0.0)) for link in wiring.links}
    for piece in wiring.pieces:
        current_a = abs(flow.segment_a.get(piece.name, 0.0))
        currents[piece.lead.id] = max(currents.get(piece.lead.id, 0.0), current_a)
    return currents


def _cable_segment(
    wiring: Wiring, sizes: Sizes, unknown: list[Unknown], conductor_c: float
) -> network.Segment:
    cable = wiring.protection.circuit.cable
    size_mm2 = sizes.cable_mm2 or (cable.size_mm2 if cable else None)
    name = f"the cable of circuit {wiring.protection.id}"
    length = _length_of(cable, size_mm2, name, no_cable(wiring.protection.id), unknown)
    loop_ohm = _loop_ohm(size_mm2, length, conductor_c)
    return network.Segment(name=CABLE, start=BOARD, end=BOX, loop_ohm=loop_ohm)


def _link_segment(
    link: Link, sizes: Sizes, unknown: list[Unknown], conductor_c: float
) -> network.Segment:
    size_mm2 = link.cable.size_mm2 if link.cable is not None else None
    nothing = Unknown(why=link.why, write=link.write)
    length = _length_of(link.cable, size_mm2, link.name, nothing, unknown)
    if size_mm2 is not None and sizes.cable_mm2 is not None:
        size_mm2 = max(size_mm2, sizes.cable_mm2)
    loop_ohm = _loop_ohm(size_mm2, length, conductor_c)
    return network.Segment(name=link.name, start=link.start, end=link.end, loop_ohm=loop_ohm)


def _length_of(
    cable: Cable | None, size_mm2: float | None, name: str, nothing: Unknown, unknown: list[Unknown]
) -> float | None:
    """Return a cable's length; what is not known of it goes to `unknown`."""
    if cable is None:
        unknown.append(nothing)
    elif size_mm2 is None:
        unknown.append(_not_given("size", name))
    elif cable.length is None:
        unknown.append(_not_given("length", name))
    return cable.length if cable is not None else None


def _segments(
    wiring: Wiring,
    sizes: Sizes,
    unknown: list[Unknown],
    *,
    source: str = BOARD,
    ohm_of: OhmOf = rate_ohm,
    conductor_c: float = conductors.PVC_HOTTEST_C,
) -> list[network.Segment]:
    """List all pairs of conductors; what the plan leaves out goes to `unknown`, as nothing.

    The cable is one of them where the board is the source.
    """
    segments = [_cable_segment(wiring, sizes, unknown, conductor_c)] if source == BOARD else []
    segments += [_link_segment(link, sizes, unknown, conductor_c) for link in wiring.links]
    for piece in wiring.pieces:
        size_mm2 = sizes.leads_mm2 or piece.lead.size_mm2
        if size_mm2 is None:
            unknown.append(_not_given("size", f"lead {piece.lead.id}"))
        elif piece.length is None:
            why = f"lead {piece.lead.id} goes to a junction box that is not drawn"
            unknown.append(Unknown(why=why, write="Draw the `junction_box` of its room."))
        ohm = _loop_ohm(size_mm2, piece.length, conductor_c)
        segments.append(
            network.Segment(name=piece.name, start=piece.start, end=piece.end, loop_ohm=ohm)
        )
    for element in wiring.fed_through:
        ohm = _strip_line(element, ohm_of).busbar_ohm
        name, start, end = (f"{element.id}{part}" for part in (" through", ".start", ".end"))
        segments.append(network.Segment(name=name, start=start, end=end, loop_ohm=ohm))
    return segments


def _not_given(key: str, name: str) -> Unknown:
    return Unknown(why=f"the {key} of {name} is not given", write=f"Write the `{key}` of {name}.")


def _loop_ohm(
    size_mm2: float | None, length: float | None, conductor_c: float = conductors.PVC_HOTTEST_C
) -> float:
    if size_mm2 is None or length is None:
        return 0.0
    return conductors.compute_loop_resistance(size_mm2, length, temperature_c=conductor_c)


def _loads(wiring: Wiring, ohm_of: OhmOf = rate_ohm) -> Iterable[network.Load]:
    for name, element in wiring.elements.items():
        ends = wiring.ends.get(name, ())
        if len(ends) > 1:
            ohm = _strip_line(element, ohm_of).end_ohm
            for end in ends:
                yield network.Load(name=f"{name}.{end}", node=f"{name}.{end}", ohm=ohm)
        elif ends:
            yield network.Load(name=name, node=f"{name}.{ends[0]}", ohm=ohm_of(element))
        else:
            yield network.Load(name=name, node=f"{name}.start", ohm=ohm_of(element))


def _strip_line(element: Element, ohm_of: OhmOf) -> network.StripLine:
    per_m = element.film.busbar_resistance_ohm_m or 0.0
    return network.model_strip_line(per_m * element.length / 1000, ohm_of(element))
