"""The facts of leads: where they leave the room, cross joints, or run through what bars them."""

from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts.at_a_glance import is_off_walls
from underfoot.checking.facts.lead_bodies import cut_leads, make_lead_bodies
from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.facts.sensor import AT_THE_BOX, find_conduit_width
from underfoot.physics import bodies, lines
from underfoot.physics.bodies import Bodies
from underfoot.physics.rectangles import EDGE, SAME
from underfoot.plan import Fixture


class Outside(Struct, frozen=True, kw_only=True):
    """How far a lead or a conduit lies outside the room: its middle, and any of its width.

    The width counts from 300 mm off the junction box on: where it comes out of the wall it
    cannot but touch it.
    """

    middle: float
    any_width: float


INSIDE = Outside(middle=0.0, any_width=0.0)


@hangs_on("outline", "leads", "elements", "junction_box")
def find_lengths_outside(room: RoomFacts) -> tuple[Outside, ...]:
    """Measure how far each lead lies outside the outline; nought where it is not drawn."""
    drawn = [which for which, lead in enumerate(room.leads) if lead.line is not None]
    if not drawn or (
        all(shapely.covers(room.outline, room.leads[which].line) for which in drawn)
        and is_off_walls(
            room,
            [(each.start, each.end, each.half) for each in cut_leads(room).pieces],
            AT_THE_BOX,
        )
    ):
        return (INSIDE,) * len(room.leads)
    middle = np.zeros(len(room.leads))
    middle[drawn] = lines.lengths_outside(
        np.array([room.leads[which].line for which in drawn], dtype=object), room.outline
    )
    some = _off_the_box(room, make_lead_bodies(room).bodies)
    wide = bodies.lengths_outside(some, room.outline, len(room.leads))
    both = zip(middle.tolist(), wide.tolist(), strict=True)
    return tuple(
        Outside(middle=length, any_width=max(length, any_width)) for length, any_width in both
    )


def obstacles(room: RoomFacts) -> tuple[tuple[Fixture, Any], ...]:
    """List the fixtures that no lead may run through, with their outlines."""
    return tuple(
        (fixture, polygon)
        for fixture, polygon in room.fixtures
        if fixture.kind == "fixings" or fixture.stops_floor
    )


def find_lengths_within(room: RoomFacts, areas: list[Any]) -> dict[tuple[int, int], float]:
    """Measure how far leads lie within areas, by lead and area."""
    return _within(make_lead_bodies(room).bodies, areas)


def find_distances(room: RoomFacts, areas: list[Any], most: float) -> dict[tuple[int, int], float]:
    """Measure from the sides of leads to areas nearer than `most`, by lead and area."""
    return _near(make_lead_bodies(room).bodies, areas, most)


class ConduitWay(Struct, frozen=True, kw_only=True):
    """The way of the sensor's conduit as a body."""

    body: Bodies

    def lengths_within(self, areas: list[Any]) -> dict[int, float]:
        """Measure how far it lies within areas, by area."""
        return {area: length for (_, area), length in _within(self.body, areas).items()}

    def distances(self, areas: list[Any], most: float) -> dict[int, float]:
        """Measure from its sides to areas nearer than `most`, by area."""
        return {area: length for (_, area), length in _near(self.body, areas, most).items()}


def find_conduit_way(room: RoomFacts) -> ConduitWay:
    """Return the way of the sensor's conduit with its width or its channel's, the greater.

    Where neither is given, it is as wide as a line.
    """
    way = np.array(room.sensor_way)
    pieces = np.stack((way[:-1], way[1:]), axis=1)
    half = np.full(len(pieces), _half_of_conduit(room))
    return ConduitWay(body=bodies.cut_bodies(pieces, np.zeros(len(pieces), np.intp), half))


@hangs_on("outline", "sensor", "elements", "junction_box")
def find_conduit_outside(room: RoomFacts) -> Outside:
    """Measure how far the sensor's way lies outside the outline."""
    way = shapely.LineString(room.sensor_way)
    half = _half_of_conduit(room)
    pieces = [(start, end, half) for start, end in pairwise(room.sensor_way)]
    if shapely.covers(room.outline, way) and is_off_walls(room, pieces, AT_THE_BOX):
        return INSIDE
    line = np.array([way], dtype=object)
    middle = float(lines.lengths_outside(line, room.outline)[0])
    if not find_conduit_width(room):
        return Outside(middle=middle, any_width=middle)
    body = _off_the_box(room, find_conduit_way(room).body)
    wide = bodies.lengths_outside(body, room.outline, 1)
    return Outside(middle=middle, any_width=max(middle, float(wide[0])))


def _half_of_conduit(room: RoomFacts) -> float:
    return max(find_conduit_width(room) / 2, EDGE + SAME)


def _within(some: Bodies, areas: list[Any]) -> dict[tuple[int, int], float]:
    pairs, lengths = bodies.lengths_within(some, np.array(areas, dtype=object))
    return {
        (int(one), int(area)): float(length)
        for (one, area), length in zip(pairs, lengths, strict=True)
    }


def _near(some: Bodies, areas: list[Any], most: float) -> dict[tuple[int, int], float]:
    if not len(some.pieces) or not areas:
        return {}
    apart = shapely.distance(some.lines()[:, None], np.array(areas, dtype=object)[None])
    apart = np.maximum(apart - some.half[:, None], 0.0)
    found: dict[tuple[int, int], float] = {}
    for piece, area in np.argwhere(apart < most):
        pair, distance = (int(some.owner[piece]), int(area)), float(apart[piece, area])
        found[pair] = min(distance, found.get(pair, distance))
    return dict(sorted(found.items()))


def _off_the_box(room: RoomFacts, some: Bodies) -> Bodies:
    if room.box is None:
        return some
    return bodies.away_from(some, np.array([room.box]), AT_THE_BOX)
