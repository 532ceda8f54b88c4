"""Leads along the walls, in the border that no strip covers, from the box to each strip."""

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import islice, pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.laying.doors import Doors
from underfoot.laying.frame import Point, write_mm
from underfoot.laying.strips import LaidStrip, name_rows
from underfoot.plan import Fixture

_SAME = 1e-6
# The middle of the border between wall and strips, and how far leads lie apart there, mm.
_MIDDLE, APART = 30.0, 10.0
# Ways beside leads that are drawn already, in the order in which they are tried, and how much of
# one may lie near to these where it crosses them, mm.
_BESIDE, _MOST_CROSSED = (30.0, 40.0, 20.0, 50.0, 12.0), 300.0
# How far leads keep from stoves and from what is screwed down; the check decides, mm.
_FROM_HEAT, _FROM_FIXINGS = 306.0, 56.0
# From a strip's end to its lead's way along the wall is no farther than this, mm.
_FARTHEST = 700.0
# A lead comes back from a strip's end so much farther along, as a share of the distance, mm.
_SLANT, _LEAST_BACK, _MOST_BACK = 0.35, 25.0, 200.0
# Ends this near to one line are joined straight along it, mm.
_IN_LINE = 0.5


class LeadRing(Struct, frozen=True, kw_only=True):
    """A closed way round the room that leads may take, and how far along it its corners are."""

    ring: Any
    length: float
    corners: tuple[Point, ...]
    places: tuple[float, ...]

    def place(self, point: Point) -> float:
        """Return how far along it a point is passed."""
        return float(self.ring.project(shapely.Point(point)))

    def point(self, at: float) -> Point:
        """Return the point so far along it."""
        at %= self.length
        last = bisect_right(self.places, at) - 1
        (ax, ay), (bx, by) = self.corners[last], self.corners[(last + 1) % len(self.corners)]
        end = self.places[last + 1] if last + 1 < len(self.places) else self.length
        share = (at - self.places[last]) / (end - self.places[last])
        return ax + share * (bx - ax), ay + share * (by - ay)

    def between(self, start: float, end: float, sign: int) -> list[Point]:
        """List the corners passed from one place to another, onwards (1) or backwards (-1)."""
        until = (sign * (end - start)) % self.length
        passed = sorted(
            (ahead, number)
            for number, place in enumerate(self.places)
            if _SAME < (ahead := (sign * (place - start)) % self.length) < until - _SAME
        )
        return [self.corners[number] for _, number in passed]


def make_way(ring: Any) -> LeadRing:
    """Make a way of a closed ring."""
    corners = shapely.get_coordinates(ring)
    sides = np.hypot(*np.diff(corners, axis=0).T)
    there = sides > 0
    return LeadRing(
        ring=ring,
        length=float(sides.sum()),
        corners=tuple((x, y) for x, y in corners[:-1][there].tolist()),
        places=tuple((np.cumsum(sides) - sides)[there].tolist()),
    )


class End(Struct, frozen=True, kw_only=True):
    """The joined end of a strip, and where straight from it the way passes."""

    piece: LaidStrip
    drop: Point
    at: float

    @property
    def strip(self) -> str:
        """The strip's id."""
        return self.piece.id

    @property
    def point(self) -> Point:
        """Where the strip is joined."""
        return self.piece.point


def list_ways(
    outline: Any,
    fixtures: Sequence[tuple[Fixture, Any]],
    near: Any,
    count: int,
    drawn: Sequence[Any] = (),
    doors: Doors | None = None,
) -> list[LeadRing]:
    """List a way along the walls for each of so many leads, the nearest to the wall first.

    `near` is what the way must pass; of a floor in parts the part nearest to it counts. No way lies
    on a lead that is `drawn` already, or where a threshold's screws go; empty where there are too
    few ways.
    """
    offs = [_MIDDLE + APART * (place - (count - 1) / 2) for place in range(count)]
    floor = outline
    if doors is not None and doors.screwed:
        # Leads side by side stay so where they pass a doorway.
        passed = doors.lead_past(min(_BESIDE if drawn else offs))
        floor = outline.difference(shapely.union_all(passed))
    if not drawn:
        ways = [_find_way(floor, fixtures, near, off) for off in offs]
    else:
        taken = shapely.union_all(drawn).buffer(APART - 1.0)
        found = ((off, _find_way(floor, fixtures, near, off)) for off in _BESIDE)
        free = ((off, way) for off, way in found if way and _is_free(way, taken))
        ways = [way for _, way in sorted(islice(free, count), key=lambda each: each[0])]
    whole = [way for way in ways if way is not None]
    return whole if len(whole) == count else []


def _is_free(way: LeadRing, taken: Any) -> bool:
    return float(way.ring.intersection(taken).length) <= _MOST_CROSSED


def _find_way(
    outline: Any, fixtures: Sequence[tuple[Fixture, Any]], near: Any, off: float
) -> LeadRing | None:
    floor = outline
    for fixture, polygon in fixtures:
        wide = _keep_off(fixture, off)
        if wide is not None:
            floor = floor.difference(polygon.buffer(wide, join_style="mitre"))
    free = floor.buffer(-off, join_style="mitre", mitre_limit=3.0)
    parts = [part for part in shapely.get_parts(free) if part.area > 0]
    if not parts:
        return None
    return make_way(min(parts, key=lambda each: each.distance(near)).exterior)


def _keep_off(fixture: Fixture, off: float) -> float | None:
    """Return how much wider than drawn a fixture bars a lead's way; None where it does not."""
    least = fixture.clearance or 0.0
    if fixture.kind == "heat source":
        least = max(least, _FROM_HEAT)
    elif fixture.kind == "fixings":
        least = max(least, _FROM_FIXINGS)
    elif not fixture.stops_floor:
        return max(0.0, least - off) if least else None
    return max(0.0, least - off)


def list_ends(pieces: Sequence[LaidStrip], way: LeadRing) -> list[End] | None:
    """List the joined ends of strips; None where the way passes one of them nowhere near."""
    ends = [find_end(piece, way) for piece in pieces]
    found = [end for end in ends if end is not None]
    return found if len(found) == len(ends) else None


def find_end(piece: LaidStrip, way: LeadRing) -> End | None:
    """Find where the way passes a strip's joined end; None where that is too far."""
    ray = shapely.LineString([piece.point, piece.beyond(_FARTHEST)])
    met = shapely.get_coordinates(ray.intersection(way.ring))
    if not len(met):
        return None
    nearest = met[np.argmin(np.hypot(*(met - np.array(piece.point)).T))]
    drop = (float(nearest[0]), float(nearest[1]))
    return End(piece=piece, drop=drop, at=way.place(drop))


def order_ends(ends: Sequence[End], way: LeadRing, start: float, sign: int) -> list[End]:
    """Put ends in the order in which a way from a place passes them."""
    return sorted(ends, key=lambda end: ((sign * (end.at - start)) % way.length, end.strip))


class Route(Struct, frozen=True, kw_only=True):
    """A lead's stops after the box: strips by id, and bends; with all its points and its length."""

    stops: tuple[str | Point, ...]
    points: tuple[Point, ...]
    length: float


def route_lead(box: Point, ends: Sequence[End], way: LeadRing, sign: int) -> Route:
    """Lead from the box along the way, past ends in their order, to each of them."""
    place = way.place(box)
    stops: list[str | Point] = [way.point(place)]
    points: list[Point] = [box, way.point(place)]
    last: End | None = None
    for end in ends:
        if last is not None and _is_straight(last, end):
            stops.append(end.strip)
            points.append(end.point)
        else:
            if last is not None:
                # Back to the way a little farther on, so that the lead does not lie on itself.
                place = last.at + sign * _back(last, end, way, sign)
                stops.append(way.point(place))
                points.append(way.point(place))
            bends = [*way.between(place, end.at, sign), end.drop]
            stops += [*bends, end.strip]
            points += [*bends, end.point]
        place, last = end.at, end
    length = sum(math.dist(a, b) for a, b in pairwise(points))
    return Route(stops=tuple(stops), points=tuple(points), length=length)


def _back(last: End, end: End, way: LeadRing, sign: int) -> float:
    """Return how much farther along the way a lead comes back to it from a strip's end."""
    off = math.dist(last.point, last.drop)
    ahead = (sign * (end.at - last.at)) % way.length
    return min(max(_LEAST_BACK, _SLANT * off), _MOST_BACK, ahead / 2)


def _is_straight(one: End, other: End) -> bool:
    """Tell whether two ends are neighbours in a row, and lie on one line."""
    a, b = one.piece, other.piece
    return a.row == b.row and abs(a.line - b.line) <= _IN_LINE and abs(a.number - b.number) == 1


def write_stops(route: Route, pieces: Sequence[LaidStrip]) -> list[Any]:
    """Write a lead's stops as a plan has them; a whole row in its order goes by its name."""
    written: list[Any] = ["junction-box"]
    whole = name_rows(pieces)
    stops = list(route.stops)
    while stops:
        names = next(
            (names for names in whole if len(names) > 1 and tuple(stops[: len(names)]) == names),
            None,
        )
        if names is not None:
            written.append(whole[names])
            del stops[: len(names)]
            continue
        stop = stops.pop(0)
        told: Any = stop if isinstance(stop, str) else [write_mm(stop[0]), write_mm(stop[1])]
        if not isinstance(stop, str) and written[-1] == told:
            continue
        written.append(told)
    return written
