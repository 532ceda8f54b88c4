"""Closed lines of straight sides and arcs -> corners that claim no floor that is not there."""

import math
from collections.abc import Iterator, Sequence
from itertools import islice

from msgspec import Struct

from underfoot.beginning.found import MOST_CORNERS, CannotBeginError, Corners, Point, area_of

CHORD_ERROR = 2.0
"""How far corners may lie from the arc that they stand for, mm."""


class Side(Struct, frozen=True):
    """A straight side."""

    start: Point
    end: Point


class Arc(Struct, frozen=True):
    """A part of an ellipse: middle + u cos t + v sin t, t from `begin` on by `sweep`.

    A circle stays one of these however it is turned, mirrored or stretched.
    """

    middle: Point
    u: Point
    v: Point
    begin: float
    sweep: float

    def at(self, angle: float, stretched: float = 1.0) -> Point:
        """Return the point at an angle, so many times as far from the middle."""
        c, s = math.cos(angle) * stretched, math.sin(angle) * stretched
        return (
            self.middle[0] + self.u[0] * c + self.v[0] * s,
            self.middle[1] + self.u[1] * c + self.v[1] * s,
        )

    @property
    def turns_left(self) -> bool:
        """Whether whoever walks along it turns left."""
        return self.sweep * (self.u[0] * self.v[1] - self.u[1] * self.v[0]) > 0

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.at(self.begin)

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.at(self.begin + self.sweep)


Piece = Side | Arc


def bulge(start: Point, end: Point, bulging: float) -> Arc:
    """Return a circle's arc between two points: its angle is four times the arctangent of a bulge.

    A bulge above 0 runs anticlockwise from start to end.
    """
    away = (1 - bulging * bulging) / (4 * bulging)
    middle = (
        (start[0] + end[0]) / 2 - (end[1] - start[1]) * away,
        (start[1] + end[1]) / 2 + (end[0] - start[0]) * away,
    )
    u = (start[0] - middle[0], start[1] - middle[1])
    return Arc(middle, u, (-u[1], u[0]), 0.0, 4 * math.atan(bulging))


def flatten(pieces: Sequence[Piece], *, floor_inside: bool, error: float = CHORD_ERROR) -> Corners:
    """Return a closed line's corners; an arc's lie on the floor's side, at most `error` from it.

    Where an arc swells out of the floor its chords do; where it swells into the floor, sides that
    touch it. `floor_inside` is False for what stands in a room. The corners come within the
    accuracy of floats; what rounds them must not round by more than it says.
    """
    rough = tuple(islice(_follow(pieces, error, None), MOST_CORNERS + 1))
    floor_is_left = (area_of(rough) > 0) is floor_inside if len(rough) > 2 else True
    corners = tuple(islice(_follow(pieces, error, floor_is_left), MOST_CORNERS + 1))
    if len(corners) > MOST_CORNERS:
        raise CannotBeginError(f"an outline has more than {MOST_CORNERS:,} corners")
    return corners


def _follow(pieces: Sequence[Piece], error: float, floor_is_left: bool | None) -> Iterator[Point]:
    """Yield each piece's corners but its end, which is where the next one begins."""
    for piece in pieces:
        yield piece.start
        if isinstance(piece, Side):
            continue
        count = _count_chords(piece, error)
        step = piece.sweep / count
        if floor_is_left is None or piece.turns_left is floor_is_left:
            for number in range(1, count):
                yield piece.at(piece.begin + step * number)
        else:
            stretched = 1 / math.cos(step / 2)
            for number in range(count):
                yield piece.at(piece.begin + step * (number + 0.5), stretched)


def _count_chords(arc: Arc, error: float) -> int:
    widest = _long_half(arc)
    # A side that touches a circle at its middle ends r (1 / cos(a / 2) - 1) away from it; a chord
    # of the same angle is nearer.
    angle = min(2 * math.acos(widest / (widest + error)), math.pi / 2) if widest else math.pi / 2
    return min(max(1, math.ceil(abs(arc.sweep) / angle - 1e-9)), MOST_CORNERS)


def _long_half(arc: Arc) -> float:
    """Half the long diameter: the greatest length of u cos t + v sin t."""
    (a, c), (b, d) = arc.u, arc.v
    whole = a * a + b * b + c * c + d * d
    apart = math.hypot(a * a + b * b - c * c - d * d, 2 * (a * c + b * d))
    return math.sqrt((whole + apart) / 2)
