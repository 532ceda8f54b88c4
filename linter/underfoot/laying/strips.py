"""Strips as leads and sensors meet them: new ones and those drawn already, in the room's place."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts.circuit import element_current_a
from underfoot.checking.facts.room import RoomFacts
from underfoot.laying.frame import Frame, Point
from underfoot.laying.rows import Laid, LaidRow
from underfoot.plan import Element


class LaidStrip(Struct, frozen=True, kw_only=True):
    """A strip in its room: the middles of its ends, the end it is joined at, its circuit if any.

    `number` is its place in its row, from 1.
    """

    id: str
    row: str
    number: int
    start: Point
    end: Point
    width: float
    amps: float
    at_end: bool = False
    circuit: str | None = None

    @property
    def length(self) -> float:
        """How long it is, mm."""
        return math.dist(self.start, self.end)

    @property
    def run(self) -> Point:
        """The direction from start to end."""
        length = self.length
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length

    @property
    def point(self) -> Point:
        """The middle of the end that it is joined at."""
        return self.end if self.at_end else self.start

    @property
    def line(self) -> float:
        """Where along its direction it is joined."""
        return self.point[0] * self.run[0] + self.point[1] * self.run[1]

    @property
    def along(self) -> str:
        """The direction as a plan writes it."""
        degrees = round(math.degrees(math.atan2(self.run[1], self.run[0])) % 180.0, 2)
        return {0.0: "x", 180.0: "x", 90.0: "y"}.get(degrees, f"{degrees:g} deg")

    def place(self, along: float, across: float) -> Point:
        """Return a point of it: so far from its start, and such a share of its width across."""
        (x, y), off = self.run, (across - 0.5) * self.width
        return self.start[0] + along * x + off * y, self.start[1] + along * y - off * x

    def beyond(self, distance: float) -> Point:
        """Return the point so far straight on beyond its joined end."""
        off = distance if self.at_end else -distance
        return self.point[0] + off * self.run[0], self.point[1] + off * self.run[1]

    @property
    def corners(self) -> list[Point]:
        """Its four corners."""
        length = self.length
        return [
            self.place(*each) for each in ((0.0, 0.0), (length, 0.0), (length, 1.0), (0.0, 1.0))
        ]


def lay_piece(
    name: str, number: int, strip: Laid, frame: Frame, width: float, amps: float
) -> LaidStrip:
    """Put a strip of a row where it lies in the room; `amps` is the current of a millimetre."""
    u = strip.u + width / 2
    return LaidStrip(
        id=f"{name}{number}",
        row=name,
        number=number,
        start=frame.place(u, strip.start),
        end=frame.place(u, strip.start + strip.length),
        width=width,
        amps=strip.length * amps,
        at_end=strip.at_end,
    )


def lay_pieces(
    rows: Sequence[tuple[str, LaidRow]], frame: Frame, width: float, amps: float
) -> list[LaidStrip]:
    """Put all strips of rows where they lie in the room."""
    return [
        lay_piece(name, number, strip, frame, width, amps)
        for name, row in rows
        for number, strip in enumerate(row.strips, 1)
        if strip is not None
    ]


def list_drawn(room: RoomFacts) -> tuple[LaidStrip, ...]:
    """List the strips that a room has already."""
    supply_v = room.supply.voltage_v
    return tuple(
        LaidStrip(
            id=element.id,
            row=element.row or element.id,
            number=_number(element),
            start=(start[0], start[1]),
            end=(end[0], end[1]),
            width=element.film.width,
            amps=element_current_a(element, supply_v),
            at_end=element.connected == "end",
            circuit=element.circuit,
        )
        for element, (start, end) in zip(room.elements, room.connections.tolist(), strict=True)
    )


def _number(element: Element) -> int:
    """Return a strip's place in its row, after which it is named; 0 of one that is in none."""
    return 0 if element.row is None else int(element.id.removeprefix(element.row))


def unite(pieces: Sequence[LaidStrip]) -> Any:
    """Unite the strips as shapes."""
    return shapely.union_all(shapely.polygons(np.array([each.corners for each in pieces])))


def name_rows(pieces: Sequence[LaidStrip]) -> Mapping[tuple[str, ...], str]:
    """Return the rows by the ids of their strips, in order."""
    rows: dict[str, list[str]] = {}
    for each in pieces:
        if each.row != each.id:
            rows.setdefault(each.row, []).append(each.id)
    return {tuple(ids): name for name, ids in rows.items()}
