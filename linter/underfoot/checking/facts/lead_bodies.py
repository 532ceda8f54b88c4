"""Leads with their width and thickness, which follow from the size where a plan gives neither."""

import math
from bisect import bisect_right

import numpy as np
from msgspec import Struct

from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts
from underfoot.physics.bodies import Bodies
from underfoot.physics.rectangles import EDGE, Bools, Ints
from underfoot.plan import Lead, Stop

# How thick one insulated conductor is, by its size in mm2: common practice in the trade, no
# source. Sheathed pairs are thicker. What lies between two sizes has the lesser's.
_THICK = {
    0.0: 2.0,
    0.75: 2.4,
    1.0: 2.6,
    1.5: 3.0,
    2.5: 3.6,
    4.0: 4.2,
    6.0: 4.7,
    10.0: 6.0,
    16.0: 7.0,
}
_SIZES = tuple(_THICK)
# What a lead whose size is not given has at least.
_LEAST_MM2 = 1.5

_Reached = tuple[Stop, tuple[float, float]]


class LeadSize(Struct, frozen=True, kw_only=True):
    """Width across both conductors and thickness of a lead; `taken_from` says where they are from.

    It is empty where the plan states the thickness.
    """

    width: float
    thickness: float
    taken_from: str


class LeadPiece(Struct, frozen=True, kw_only=True):
    """A straight piece of a lead with half of its width; `owner` is its lead's place in the room.

    `joints` counts its ends where a strip is joined.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    half: float
    owner: int
    joints: int


class LeadPieces(Struct, frozen=True, kw_only=True):
    """The leads of a room in straight pieces.

    `joined` are the strips that each lead names, as numbers (lead * strips + strip).
    """

    pieces: tuple[LeadPiece, ...]
    joined: frozenset[int]


class LeadBodies(Struct, frozen=True, kw_only=True):
    """The leads of a room as bodies, by place in its leads.

    `joints` counts the ends of each piece where a strip is joined; `joined` are the strips that
    each lead names, as sorted numbers (lead * strips + strip).
    """

    bodies: Bodies
    joints: Ints
    joined: Ints

    def lies_beside_ends(self, piece: Ints, strip: Ints, strips: int) -> Bools:
        """Tell where a piece between joints, or to one, meets a strip whose end it may pass.

        Between two joints that is any strip, to one it is those that the lead joins.
        """
        joints = self.joints[piece]
        if not len(self.joined):
            return np.zeros(len(piece), dtype=bool)
        numbers = self.bodies.owner[piece] * strips + strip
        at = np.minimum(np.searchsorted(self.joined, numbers), len(self.joined) - 1)
        named = self.joined[at] == numbers
        passes: Bools = (joints == 2) | ((joints == 1) & named)
        return passes


def size_lead(lead: Lead) -> LeadSize:
    """Return a lead's width and thickness: stated, else the least for its conductors."""
    size_mm2 = _LEAST_MM2 if lead.size_mm2 is None else lead.size_mm2
    single = _THICK[_SIZES[bisect_right(_SIZES, size_mm2 + 1e-9) - 1]]
    thickness = single if lead.thickness is None else lead.thickness
    width = max(2 * single, thickness) if lead.width is None else lead.width
    if lead.thickness is not None:
        return LeadSize(width=width, thickness=thickness, taken_from="")
    if lead.size_text is None:
        return LeadSize(
            width=width,
            thickness=thickness,
            taken_from=f"taken for {_LEAST_MM2:g} mm2, as no size is given",
        )
    return LeadSize(width=width, thickness=thickness, taken_from=f"taken for {lead.size_text}")


@hangs_on("leads", "elements", "junction_box")
def cut_leads(room: RoomFacts) -> LeadPieces:
    """Cut the leads that are drawn into straight pieces; none lies between two ends of a strip."""
    pieces = []
    joined = set()
    for which, laid in enumerate(room.leads):
        if laid.line is None:
            continue
        wide = size_lead(laid.lead).width / 2
        last: _Reached | None = None
        for stop in laid.lead.route:
            place = room.place_of_stop(stop)
            if stop.element is not None and stop.element in room.place_of:
                joined.add(which * len(room.elements) + room.place_of[stop.element])
            if place is None:
                continue
            if last is not None and _is_drawn(last, (stop, place)):
                joints = (last[0].kind == "strip") + (stop.kind == "strip")
                pieces.append(
                    LeadPiece(start=last[1], end=place, half=wide, owner=which, joints=joints)
                )
            last = stop, place
    return LeadPieces(pieces=tuple(pieces), joined=frozenset(joined))


@hangs_on("leads", "elements", "junction_box")
def make_lead_bodies(room: RoomFacts) -> LeadBodies:
    """Make bodies of the pieces of leads."""
    cut = cut_leads(room)
    pieces = cut.pieces
    bodies = Bodies(
        pieces=np.array([(each.start, each.end) for each in pieces], dtype=float).reshape(-1, 2, 2),
        owner=np.array([each.owner for each in pieces], dtype=np.intp),
        half=np.array([each.half for each in pieces], dtype=float),
    )
    joints = np.array([each.joints for each in pieces], dtype=np.intp)
    return LeadBodies(bodies=bodies, joints=joints, joined=np.array(sorted(cut.joined), np.intp))


def _is_drawn(last: _Reached, after: _Reached) -> bool:
    """Tell whether a lead has a piece between two stops: none where a strip carries it on."""
    carried_on = last[0].element is not None and last[0].element == after[0].element
    return not carried_on and math.dist(last[1], after[1]) > EDGE
