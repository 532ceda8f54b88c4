"""Where leads cross or lie on each other, or on themselves."""

from collections.abc import Iterator
from itertools import groupby
from operator import itemgetter
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.facts import (
    AT_THE_BOX,
    LaidLead,
    Place,
    RoomFacts,
    hangs_on,
    make_lead_bodies,
    size_lead,
)
from underfoot.api.physics import bodies, rectangles

# At a strip's joint the leads that meet there cannot but lie together.
AT_A_JOINT = 100.0
# So many of the others are named.
MOST_NAMED = 3
_MOST_TRIED = 12
# So many pairs of pieces take no memory to speak of.
_MOST_AT_ONCE = 4_000_000
# A lead that crosses itself more often is told where it does so first.
_MOST_CROSSINGS = 2000


class LeadOnLeads(Struct, frozen=True, kw_only=True):
    """A lead of which some of the width shares floor with leads before it by name.

    `on` are up to three of those, by place in the room's leads, or the lead itself; `length` is how
    far it lies on the one that it shares most with; `shape` is what it shares.
    """

    which: int
    on: tuple[int, ...]
    length: float
    shape: Any

    @property
    def place(self) -> Place:
        """A place where it lies on another."""
        x, y = shapely.get_coordinates(shapely.point_on_surface(self.shape))[0].tolist()
        return x, y


@hangs_on("leads", "elements", "junction_box")
def find_leads_together(room: RoomFacts) -> tuple[LeadOnLeads, ...]:
    """Find the leads that cross or lie on others, beyond the box and the joints they share."""
    found = {each.which: each for each in _on_themselves(room)}
    found |= {each.which: each for each in _on_others(room)}
    return tuple(found[which] for which in sorted(found))


def _on_others(room: RoomFacts) -> Iterator[LeadOnLeads]:
    if len(room.leads) < 2:
        return
    some = make_lead_bodies(room).bodies
    if room.box is not None:
        some = bodies.away_from(some, np.array([room.box]), AT_THE_BOX)
    drawn = some.polygons()
    # By their names: the order of a map says nothing.
    by_name = sorted(range(len(room.leads)), key=lambda which: room.leads[which].lead.id)
    owner = np.argsort(np.array(by_name))[some.owner]
    for ranked, pairs in groupby(_find_pairs(owner, drawn), key=itemgetter(0)):
        which = by_name[ranked]
        on: dict[int, tuple[float, Any]] = {}
        for other_ranked, pieces in groupby(pairs, key=itemgetter(1)):
            other = by_name[other_ranked]
            shape = shapely.union_all(
                [
                    shapely.intersection(drawn[a], drawn[b], grid_size=rectangles.GRID)
                    for *_, a, b in pieces
                ]
            )
            common = _joints(room.leads[which]) & _joints(room.leads[other])
            if common:
                shape = shapely.difference(shape, _at_joints(common))
            length = max(map(_length_of, shapely.get_parts(shape)), default=0.0)
            if length > rectangles.EDGE:
                on[other] = length, shape
            if len(on) == MOST_NAMED:
                break
        if on:
            shapes = shapely.union_all([shape for _, shape in on.values()])
            length = max(length for length, _ in on.values())
            yield LeadOnLeads(which=which, on=tuple(on), length=length, shape=shapes)


def _find_pairs(owner: rectangles.Ints, drawn: Any) -> Iterator[list[int]]:
    """Find a lead and an earlier one, and the pieces of both that touch; lead by lead in a heap."""
    tree = shapely.STRtree(drawn)
    everything = np.arange(len(drawn))
    is_heap = len(drawn) ** 2 > _MOST_AT_ONCE
    of_leads = (everything[owner == each] for each in np.unique(owner))
    for some in of_leads if is_heap else (everything,):
        first, second = tree.query(drawn[some], predicate="intersects")
        first = some[first]
        owners = np.stack((owner[first], owner[second], first, second), axis=1)
        owners = owners[owners[:, 1] < owners[:, 0]]
        yield from _first_others(owners[np.lexsort(owners.T[::-1])]).tolist()


def _first_others(owners: rectangles.Ints) -> rectangles.Ints:
    """Keep of rows sorted by lead and other those of each lead's first others.

    Where very many leads lie in one line, each need not be held against all.
    """
    changes = np.diff(owners[:, :2], axis=0, prepend=owners[:1, :2]) != 0
    pair = np.cumsum(changes.any(axis=1))
    starts = np.flatnonzero(np.diff(owners[:, 0], prepend=-1))
    first = np.repeat(pair[starts], np.diff(np.append(starts, len(owners))))
    kept: rectangles.Ints = owners[pair - first < _MOST_TRIED]
    return kept


def _length_of(area: Any) -> float:
    """Return how long an area is: the longer side of the least rectangle round it."""
    sides = shapely.get_coordinates(shapely.minimum_rotated_rectangle(area))
    return float(np.hypot(*np.diff(sides, axis=0).T).max(initial=0.0))


def _on_themselves(room: RoomFacts) -> Iterator[LeadOnLeads]:
    """Find the leads whose middle crosses itself or goes back over its own way."""
    for which, laid in enumerate(room.leads):
        if laid.line is None or shapely.is_simple(laid.line):
            continue
        some = make_lead_bodies(room).bodies
        pieces = shapely.linestrings(some.pieces[some.owner == which])
        one, other = shapely.STRtree(pieces).query(pieces, predicate="intersects")
        pairs = np.stack((one, other), axis=1)[one < other]
        pairs = pairs[np.lexsort(pairs.T[::-1])][:_MOST_CROSSINGS]
        one, other = pairs.T
        areas = shapely.intersection(pieces[one], pieces[other])
        shared = areas[(other > one + 1) | (shapely.length(areas) > rectangles.EDGE)]
        clear = [_at_joints(_joints(laid))]
        if room.box is not None:
            clear.append(shapely.Point(room.box).buffer(AT_THE_BOX))
        shape = shapely.difference(shapely.union_all(shared), shapely.union_all(clear))
        if not shape.is_empty:
            wide = shapely.buffer(shape, size_lead(laid.lead).width / 2)
            length = max(map(_length_of, shapely.get_parts(wide)))
            yield LeadOnLeads(which=which, on=(which,), length=length, shape=wide)


def _joints(laid: LaidLead) -> set[Place]:
    """Return the places where a lead is joined to strips."""
    kinds = [stop.kind for stop in laid.lead.route]
    if len(kinds) != len(laid.places):  # a box that is not drawn has no place
        kinds = [kind for kind in kinds if kind != "box"]
    return {place for kind, place in zip(kinds, laid.places, strict=True) if kind == "strip"}


def _at_joints(places: set[Place]) -> Any:
    points = shapely.points(np.array(sorted(places)).reshape(-1, 2))
    return shapely.union_all(shapely.buffer(points, AT_A_JOINT))
