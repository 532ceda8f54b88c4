"""Leads along the walls, in the border that no strip covers, from the box to each strip."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.laying.frame import Frame, Point, write_mm
from underfoot.laying.rows import Laid, LaidRow
from underfoot.plan import Fixture

_SAME = 1e-6
# The middle of the border between wall and strips, and how far leads lie apart there, mm.
_MIDDLE, _APART = 30.0, 10.0
# How far leads keep from stoves and from what is screwed down; the check decides, mm.
_FROM_HEAT, _FROM_FIXINGS = 306.0, 56.0
# From a strip's end to its lead's way along the wall is no farther than this, mm.
_FARTHEST = 700.0
# A lead comes back from a strip's end so much farther along, as a share of the distance, mm.
_SLANT, _LEAST_BACK, _MOST_BACK = 0.35, 25.0, 200.0
# Ends this near to one line are joined straight along it, mm.
_IN_LINE = 0.5


class Way(Struct, frozen=True, kw_only=True):
    """A closed way round the room that leads may take, and how far along it its corners are."""

    ring: Any
    length: float
    corners: tuple[Point, ...]
    places: tuple[float, ...]

    def place(self, point: Point) -> float:
        """Give how far along it a point is passed."""
        return float(self.ring.project(shapely.Point(point)))

    def point(self, at: float) -> Point:
        """Give the point so far along it."""
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


def make_way(ring: Any) -> Way:
    """Make a way of a closed ring."""
    corners = shapely.get_coordinates(ring)
    sides = np.hypot(*np.diff(corners, axis=0).T)
    there = sides > 0
    return Way(
        ring=ring,
        length=float(sides.sum()),
        corners=tuple((x, y) for x, y in corners[:-1][there].tolist()),
        places=tuple((np.cumsum(sides) - sides)[there].tolist()),
    )


class End(Struct, frozen=True, kw_only=True):
    """The joined end of a strip: its id, the point, and where straight from it the way passes."""

    strip: str
    point: Point
    drop: Point
    at: float
    line: float


def list_ways(
    outline: Any, fixtures: Sequence[tuple[Fixture, Any]], near: Any, count: int
) -> list[Way]:
    """List a way along the walls for each of so many leads, the nearest to the wall first.

    `near` is what the way must pass; of a floor in parts the part nearest to it counts.
    """
    ways = []
    for place in range(count):
        off = _MIDDLE + _APART * (place - (count - 1) / 2)
        floor = outline
        for fixture, polygon in fixtures:
            wide = _keep_off(fixture, off)
            if wide is not None:
                floor = floor.difference(polygon.buffer(wide, join_style="mitre"))
        free = floor.buffer(-off, join_style="mitre", mitre_limit=3.0)
        parts = [part for part in shapely.get_parts(free) if part.area > 0]
        if not parts:
            return []
        part = min(parts, key=lambda each: each.distance(near))
        ways.append(make_way(part.exterior))
    return ways


def _keep_off(fixture: Fixture, off: float) -> float | None:
    """Give how much wider than drawn a fixture bars a lead's way; None where it does not."""
    least = fixture.clearance or 0.0
    if fixture.kind == "heat source":
        least = max(least, _FROM_HEAT)
    elif fixture.kind == "fixings":
        least = max(least, _FROM_FIXINGS)
    elif not fixture.stops_floor:
        return max(0.0, least - off) if least else None
    return max(0.0, least - off)


def list_ends(
    rows: Sequence[tuple[str, LaidRow]], frame: Frame, width: float, way: Way
) -> list[End] | None:
    """List the joined ends of all strips; None where the way passes one of them nowhere near."""
    found = []
    for name, row in rows:
        for number, strip in enumerate(row.strips, 1):
            if strip is None:
                continue
            end = find_end(f"{name}{number}", strip, frame, width, way)
            if end is None:
                return None
            found.append(end)
    return found


def find_end(name: str, strip: Laid, frame: Frame, width: float, way: Way) -> End | None:
    """Find a strip's joined end, and where the way passes it; None where that is too far."""
    u, v = strip.u + width / 2, strip.joined_at
    point = frame.place(u, v)
    far = frame.place(u, v + (_FARTHEST if strip.at_end else -_FARTHEST))
    met = shapely.get_coordinates(shapely.LineString([point, far]).intersection(way.ring))
    if not len(met):
        return None
    nearest = met[np.argmin(np.hypot(*(met - np.array(point)).T))]
    drop = (float(nearest[0]), float(nearest[1]))
    return End(strip=name, point=point, drop=drop, at=way.place(drop), line=v)


def order_ends(ends: Sequence[End], way: Way, start: float, sign: int) -> list[End]:
    """Put ends in the order in which a way from a place passes them."""
    return sorted(ends, key=lambda end: ((sign * (end.at - start)) % way.length, end.strip))


class Route(Struct, frozen=True, kw_only=True):
    """A lead's stops after the box: strips by id, and bends; with all its points and its length."""

    stops: tuple[str | Point, ...]
    points: tuple[Point, ...]
    length: float


def route_lead(box: Point, ends: Sequence[End], way: Way, sign: int) -> Route:
    """Lead from the box along the way, past ends in their order, to each of them."""
    place = way.place(box)
    stops: list[str | Point] = [way.point(place)]
    points: list[Point] = [box, way.point(place)]
    last: End | None = None
    for end in ends:
        if last is not None and _is_straight(last, end, ends):
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


def _back(last: End, end: End, way: Way, sign: int) -> float:
    """Give how much farther along the way a lead comes back to it from a strip's end."""
    off = math.dist(last.point, last.drop)
    ahead = (sign * (end.at - last.at)) % way.length
    return min(max(_LEAST_BACK, _SLANT * off), _MOST_BACK, ahead / 2)


def _is_straight(one: End, other: End, ends: Sequence[End]) -> bool:
    """Tell whether two ends are neighbours in a row, and lie on one line."""
    row, number = one.strip.rstrip("0123456789"), one.strip
    beside = other.strip
    if beside.rstrip("0123456789") != row or abs(one.line - other.line) > _IN_LINE:
        return False
    return abs(int(number[len(row) :]) - int(beside[len(row) :])) == 1


def write_stops(route: Route, rows: Sequence[tuple[str, LaidRow]]) -> list[Any]:
    """Write a lead's stops as a plan has them; a whole row in its order goes by its name."""
    written: list[Any] = ["junction-box"]
    whole = {
        tuple(f"{name}{number}" for number, strip in enumerate(row.strips, 1) if strip): name
        for name, row in rows
    }
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
