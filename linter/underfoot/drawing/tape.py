"""What a tape is held to in a room: faces of walls and corners; the ways from them to a place.

Everything is measured square from walls; what lies beside a wall from that wall, and along it from
its end; a strip's stop along the strip's own edge; where none of these will do, from two corners.
"""

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.svg import Point

# What lies this near to a wall, or to the line of the last place, needs no dimension.
NEAR = 1.0
# A wall within so much of a right angle (its cosine) is square to a way.
_SQUARE = 0.01
_FLAT = (0.5, 0.25, 0.75, 0.1, 0.9)
# A tape from two corners says more the nearer to a right angle its two ways meet (their sine).
_SHARPEST = 0.35
# What lies this near to a wall is measured off it and along it; walls of shorter stretches are the
# facets of a curve (mm).
_BESIDE, _SHORT = 200.0, 200.0
# A wall that a strip's edge meets at a smaller angle (its sine) says too little of where to stop.
_BLUNT = 0.5


class Measure(Struct, frozen=True, kw_only=True):
    """A straight way from a wall's face or a corner to a place; `may_shift` along the wall."""

    start: Point
    end: Point
    may_shift: bool = True

    @property
    def length(self) -> float:
        """How long it is, in mm."""
        return math.dist(self.start, self.end)


class Wanted(Struct, frozen=True, kw_only=True):
    """A dimension of a thing; one of the `ways` is drawn, the best first."""

    layer: str
    item: str
    what: str
    ways: tuple[Measure, ...]

    @property
    def in_words(self) -> str:
        """Say the dimension, and between what it is taken."""
        best = self.ways[0]
        return (
            f"{best.length:.0f} from the {'wall' if best.may_shift else 'corner'} at "
            f"{best.start[0]:.0f}, {best.start[1]:.0f} to {best.end[0]:.0f}, {best.end[1]:.0f}"
        )


class Tape:
    """The faces that a tape can be held to, and the ways of the room."""

    def __init__(self, facts: RoomFacts) -> None:
        floor = facts.floor
        parts = [part for part in getattr(floor, "geoms", [floor]) if not part.is_empty]
        rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
        faces = [
            (ring.coords[place], ring.coords[place + 1])
            for ring in rings
            for place in range(len(ring.coords) - 1)
        ]
        self.faces = np.array(faces, dtype=float).reshape(-1, 2, 2)
        along = self.faces[:, 1] - self.faces[:, 0]
        self.lengths = np.hypot(along[:, 0], along[:, 1])
        self.along = along / np.where(self.lengths > 0, self.lengths, 1.0)[:, None]
        self.floor = floor.buffer(NEAR, join_style="mitre")
        shapely.prepare(self.floor)
        ring = [(float(x), float(y)) for x, y in facts.outline.exterior.coords]
        self.walls = [wall for wall in pairwise(ring) if math.dist(*wall) >= _SHORT]
        self.corners = list(dict.fromkeys(ring))
        self.angle = self._find_angle()

    def _find_angle(self) -> float:
        """Find the direction of the most walls, in degrees below 90; that of x where it is one."""
        shares: dict[float, float] = {}
        for (dx, dy), length in zip(self.along.tolist(), self.lengths.tolist(), strict=True):
            angle = round(math.degrees(math.atan2(dy, dx)) % 90.0, 1) % 90.0
            shares[angle] = shares.get(angle, 0.0) + length
        return max(shares, key=lambda angle: (round(shares[angle], 3), angle == 0.0, -angle))

    def axes(self) -> tuple[Point, Point]:
        """Return the two ways that the walls run."""
        return axes_at(self.angle)

    def wall_beside(self, at: Point) -> tuple[Point, Point] | None:
        """Find the wall that a place lies beside, one that runs as most walls do where it may."""
        if not self.walls:
            return None
        starts, ways, lengths = self._walls_ways
        away = np.array(at) - starts
        along = (away * ways).sum(axis=1)
        off = np.abs(ways[:, 0] * away[:, 1] - ways[:, 1] * away[:, 0])
        beside = (off <= _BESIDE) & (along >= -NEAR) & (along <= lengths + NEAR)
        near = [
            (round(float(off[place]), 1), not self.is_aligned(ways[place].tolist()), place)
            for place in np.flatnonzero(beside).tolist()
        ]
        return self.walls[min(near)[2]] if near else None

    @cached_property
    def _walls_ways(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Where each wall begins, which way it runs, and how long it is."""
        walls = np.array(self.walls, dtype=float).reshape(-1, 2, 2)
        along = walls[:, 1] - walls[:, 0]
        lengths = np.hypot(along[:, 0], along[:, 1])
        return walls[:, 0], along / lengths[:, None], lengths

    def is_aligned(self, way: Sequence[float]) -> bool:
        """Tell whether a way runs as most walls do, or square to them."""
        return min(abs(along_axis(way, axis)) for axis in self.axes()) < _SQUARE

    def along_wall(self, wall: tuple[Point, Point], at: Point) -> tuple[Measure, ...]:
        """Measure along a wall, from its ends to where a place is square off it."""
        (x, y), (u, v) = wall
        long = math.dist(*wall)
        share = ((at[0] - x) * (u - x) + (at[1] - y) * (v - y)) / long**2
        foot = (x + (u - x) * share, y + (v - y) * share)
        ways = sorted(
            (Measure(start=end, end=foot, may_shift=False) for end in wall),
            key=lambda way: way.length,
        )
        return tuple(way for way in ways if way.length > NEAR and self.sees(way.start, foot))

    def sees(self, one: Point, other: Point) -> bool:
        """Tell whether a tape can be held straight over the floor between two places."""
        return bool(self.floor.covers(shapely.LineString([one, other])))

    def to_wall(self, at: Point, way: Point, blunt: float | None = None) -> Measure | None:
        """Measure from the first face that lies in a way, where it is square to it.

        A `blunt` one will do whose angle to the way has at least that sine.
        """
        dx, dy = way
        start = self.faces[:, 0] - np.array(at)
        across = self.along[:, 0] * dy - self.along[:, 1] * dx
        with np.errstate(divide="ignore", invalid="ignore"):
            away = (self.along[:, 0] * start[:, 1] - self.along[:, 1] * start[:, 0]) / across
            spot = (dx * start[:, 1] - dy * start[:, 0]) / across
        hits = (
            (np.abs(across) > 1e-9)
            & (away > -NEAR)
            & (spot >= -1e-3)
            & (spot <= self.lengths + 1e-3)
        )
        if not hits.any():
            return None
        # Of two faces that meet there, the square one.
        away = np.where(hits, away, np.inf)
        near = np.flatnonzero(hits & (away <= away.min() + 1e-3))
        face = int(near[np.argmax(np.abs(across[near]))])
        if abs(across[face]) < (1.0 - _SQUARE**2 / 2 if blunt is None else blunt):
            return None
        far = max(float(away[face]), 0.0)
        return Measure(start=(at[0] + dx * far, at[1] + dy * far), end=at, may_shift=blunt is None)

    def along_edge(self, ends: Sequence[Point], way: Point) -> Measure | None:
        """Measure from the wall ahead, along a strip's edges, to the nearer end of its stop."""
        found = [self.to_wall(end, way, _BLUNT) for end in ends]
        told = [each for each in found if each is not None and each.length > 2 * NEAR]
        return min(told, key=lambda each: round(each.length, 3), default=None)

    def from_corners(self, at: Point) -> tuple[Measure, ...]:
        """Measure from two corners that see a place, those that fix it best."""
        seen = [
            Measure(start=corner, end=at, may_shift=False)
            for corner in self.corners
            if math.dist(corner, at) > NEAR and self.sees(corner, at)
        ]
        pairs = [
            (abs(_sine(one, other)) < _SHARPEST, one.length + other.length, place, one, other)
            for place, one in enumerate(seen)
            for other in seen[place + 1 :]
        ]
        if not pairs:
            return tuple(seen[:1])
        *_, one, other = min(pairs, key=lambda pair: pair[:3])
        return (one, other)


def axes_at(angle_deg: float) -> tuple[Point, Point]:
    angle = math.radians(angle_deg)
    cosine, sine = round(math.cos(angle), 12), round(math.sin(angle), 12)
    return (cosine, sine), (-sine, cosine)


def _sine(one: Measure, other: Measure) -> float:
    (x, y), (u, v), (at_x, at_y) = one.start, other.start, one.end
    return ((x - at_x) * (v - at_y) - (y - at_y) * (u - at_x)) / (one.length * other.length)


def along_axis(at: Sequence[float], axis: Point) -> float:
    return at[0] * axis[0] + at[1] * axis[1]


def set_out(
    tape: Tape, layer: str, item: str, what: str, places: Sequence[tuple[Point, bool]]
) -> Iterator[Wanted]:
    """Dimension the places of a line; those that are `known` say where it comes from."""
    last: Point | None = None
    for place, (at, known) in enumerate(places):
        if not known:
            after = places[place + 1][0] if place + 1 < len(places) else None
            wall = tape.wall_beside(at)
            is_square = True
            for axis in _axes_beside(tape, wall):
                if last is None or abs(along_axis(at, axis) - along_axis(last, axis)) > NEAR:
                    ways = _from_walls(tape, [at, *_level_with(at, after, axis)], axis)
                    if ways is None and wall is not None:
                        ways = tape.along_wall(wall, at) or None
                    is_square = is_square and ways is not None
                    if ways:
                        yield Wanted(layer=layer, item=item, what=what, ways=ways)
            for way in () if is_square else tape.from_corners(at):
                yield Wanted(layer=layer, item=item, what=what, ways=(way,))
        last = at


def _axes_beside(tape: Tape, wall: tuple[Point, Point] | None) -> tuple[Point, Point]:
    """Return the ways in which a place beside a wall is measured: off that wall and along it."""
    if wall is None:
        return tape.axes()
    (x, y), (u, v) = wall
    long = math.dist(*wall)
    way = ((u - x) / long, (v - y) / long)
    return tape.axes() if tape.is_aligned(way) else ((-way[1], way[0]), way)


def _level_with(at: Point, after: Point | None, axis: Point) -> list[Point]:
    """Return places further on where the line goes on at the same distance."""
    if after is None or abs(along_axis(at, axis) - along_axis(after, axis)) > NEAR:
        return []
    return [
        (at[0] + (after[0] - at[0]) * share, at[1] + (after[1] - at[1]) * share)
        for share in (0.3, 0.6, 0.85)
    ]


def _from_walls(tape: Tape, spots: Sequence[Point], axis: Point) -> tuple[Measure, ...] | None:
    """Measure square from walls along an axis, the nearest first.

    Nothing is to be measured on a wall; None where no wall is square.
    """
    ways = [
        tape.to_wall(spot, (sign * axis[0], sign * axis[1])) for sign in (-1, 1) for spot in spots
    ]
    square = sorted((way for way in ways if way is not None), key=lambda way: round(way.length, 3))
    if not square:
        return None
    return tuple(square) if square[0].length > NEAR else ()


def edge_to_wall(
    tape: Tape,
    layer: str,
    item: str,
    what: str,
    edge: Sequence[Point],
    way: Point,
    off: float = 0.0,
) -> Wanted | None:
    """Measure an edge from the wall that it looks at, at one of several places along it.

    The edge of what is a face itself is looked from a little `off` it.
    """
    (x, y), (u, v) = edge
    spots = [(x + (u - x) * share, y + (v - y) * share) for share in _FLAT]
    ways = [tape.to_wall((x + off * way[0], y + off * way[1]), way) for x, y in spots]
    found = tuple(
        Measure(start=each.start, end=spot)
        for each, spot in zip(ways, spots, strict=True)
        if each is not None and math.dist(each.start, spot) > 2 * NEAR
    )
    return Wanted(layer=layer, item=item, what=what, ways=found) if found else None
