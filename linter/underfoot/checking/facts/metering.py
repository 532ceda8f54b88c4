"""The facts of metering: what an ohmmeter reads of strips, leads and circuits, and where."""

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts.circuit import (
    allow_side_by_side,
    element_conductance_band,
    rate_side_by_side,
)
from underfoot.checking.facts.facts import Facts
from underfoot.checking.facts.feed import BOX
from underfoot.checking.facts.linking import Unknown, find_all_boxes, gather_circuit_leads
from underfoot.checking.facts.wiring import (
    BOARD,
    LeadPiece,
    OhmOf,
    Wiring,
    find_all_wirings,
    find_wiring,
    rate_ohm,
    solve_wiring,
)
from underfoot.physics.network import Flow
from underfoot.plan import Element

METERED_AT_C = 20.0
"""How warm the copper is taken to be when it is metered: the floor is off."""

# The resistance seen does not hang on the voltage.
_ANY_V = 1.0


class Metered(Struct, frozen=True, kw_only=True):
    """What is read: as rated, and within which band the strips' tolerances put it, in ohm.

    `strips` are those that the reading takes in; `unknown` is what the plan leaves out, which is
    taken as nothing.
    """

    rated_ohm: float
    least_ohm: float
    most_ohm: float
    strips: tuple[str, ...]
    unknown: tuple[Unknown, ...] = ()


def meter_strips(elements: Iterable[Element]) -> Metered:
    """Read strips by themselves, side by side: what a test's readings are held against."""
    listed = tuple(elements)
    band = allow_side_by_side(listed)
    return Metered(
        rated_ohm=rate_side_by_side(listed),
        least_ohm=band.least_ohm,
        most_ohm=band.most_ohm,
        strips=tuple(element.id for element in listed),
    )


def meter_circuits_at_box(facts: Facts) -> dict[str, Metered | None]:
    """Read each circuit with strips at its junction box, its leads and links before the strips.

    Nothing else is joined to the box. None where no lead joins a strip to it.
    """
    leads, boxes = facts.once(gather_circuit_leads), facts.once(find_all_boxes)
    found: dict[str, Metered | None] = {}
    for protection in facts.protections.values():
        for circuit in protection.circuits:
            alone = replace(protection, circuits=(circuit,), current_a=circuit.current_a)
            wiring = find_wiring(alone, leads, boxes[protection.id])
            found[circuit.id] = _meter(wiring, _first_box(wiring))
    return found


def meter_protections_at_board(facts: Facts) -> dict[str, Metered | None]:
    """Read all that hangs on each protection at the board, through its cable."""
    wirings = facts.once(find_all_wirings)
    return {name: _meter(wiring, BOARD) for name, wiring in wirings.items()}


def meter_leads_at_box(facts: Facts) -> dict[str, Metered | None]:
    """Read each lead that begins at a junction box there, alone, all others off the box.

    None where it joins no strip. Leads that begin at a strip are read through the one before.
    """
    found: dict[str, Metered | None] = {}
    for wiring in facts.once(find_all_wirings).values():
        at_box = {BOX, *(node for link in wiring.links for node in (link.start, link.end))}
        off = tuple(_take_off(piece, at_box) for piece in wiring.pieces)
        touching: dict[str, list[LeadPiece]] = {}
        for piece in off:
            for node in {_strip_of(piece.start), _strip_of(piece.end)}:
                touching.setdefault(node, []).append(piece)
        for lead in wiring.leads:
            node = _own_end(lead.id)
            if node in touching:
                beyond = _follow(node, touching)
                part = _narrow(wiring, beyond)
                found[lead.id] = _meter(part, node)
    return found


def _first_box(wiring: Wiring) -> str:
    """Find the box that a circuit's own leads begin at, the one where the cable ends first."""
    ends = dict.fromkeys(end for piece in wiring.pieces for end in (piece.start, piece.end))
    boxes = [end for end in ends if end.startswith(BOX)]
    return BOX if BOX in boxes or not boxes else boxes[0]


def _own_end(lead: str) -> str:
    return f"{BOX}, end of {lead}"


def _take_off(piece: LeadPiece, at_box: set[str]) -> LeadPiece:
    own = _own_end(piece.lead.id)
    return replace(
        piece,
        start=own if piece.start in at_box else piece.start,
        end=own if piece.end in at_box else piece.end,
    )


def _strip_of(node: str) -> str:
    """Both ends of a strip are joined by its busbars; a lead's own end stands for itself."""
    return node if node.startswith(BOX) else node.partition(".")[0]


def _follow(node: str, touching: dict[str, list[LeadPiece]]) -> tuple[LeadPiece, ...]:
    found: dict[str, LeadPiece] = {}
    waiting, seen = [node], {node}
    while waiting:
        for piece in touching[waiting.pop()]:
            found[piece.name] = piece
            for end in (_strip_of(piece.start), _strip_of(piece.end)):
                if end not in seen:
                    seen.add(end)
                    waiting.append(end)
    return tuple(found.values())


def _narrow(wiring: Wiring, pieces: tuple[LeadPiece, ...]) -> Wiring:
    strips = {_strip_of(end) for piece in pieces for end in (piece.start, piece.end)}
    return replace(
        wiring,
        links=(),
        pieces=pieces,
        ends={name: ends for name, ends in wiring.ends.items() if name in strips},
        elements={name: each for name, each in wiring.elements.items() if name in strips},
    )


def _meter(wiring: Wiring, source: str) -> Metered | None:
    rated, unknown = _solve(wiring, source, rate_ohm)
    fed = {name.partition(".")[0] for name in rated.load_v}
    if not fed:
        return None
    return Metered(
        rated_ohm=_ANY_V / rated.source_a,
        least_ohm=_ANY_V / _solve(wiring, source, _least_ohm)[0].source_a,
        most_ohm=_ANY_V / _solve(wiring, source, _most_ohm)[0].source_a,
        strips=tuple(name for name in wiring.elements if name in fed),
        unknown=unknown,
    )


def _solve(wiring: Wiring, source: str, ohm_of: OhmOf) -> tuple[Flow, tuple[Unknown, ...]]:
    return solve_wiring(wiring, _ANY_V, source=source, ohm_of=ohm_of, conductor_c=METERED_AT_C)


def _least_ohm(element: Element) -> float:
    return 1 / element_conductance_band(element)[1]


def _most_ohm(element: Element) -> float:
    return 1 / element_conductance_band(element)[0]
