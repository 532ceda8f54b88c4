"""A room laid by a tape: what its first sheet's dimension lines say, and the table beside them.

Nothing here asks how the dimensions were chosen. The drawn ends say which wall or corner a tape is
held to and what is meant; where that is comes from the wall itself and the figure alone.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tests.underfoot.drawing.measured import Measured
from tests.underfoot.drawing.rooms import SVG, places_of
from underfoot.checking.facts import RoomFacts

Array = NDArray[np.float64]
_TOLD = re.compile(
    r"(.*?): (\d+(?:\.\d+)?) from the (?:wall|corner) at (-?\d+), (-?\d+) to (-?\d+), (-?\d+)$"
)
# What the eye tells apart on paper (mm); how true a thing must be laid (mm of the room).
_EYE, TRUE = 0.4, 5.0


class Laid(Struct, frozen=True, kw_only=True):
    """A line that a tape gave: `drawn` and `value` are how far along `way` it is, and `what`."""

    way: Array
    drawn: float
    value: float
    what: str


class Taped(Struct, frozen=True, kw_only=True):
    """A tape held to a corner: where, the drawn end, and the figure."""

    corner: Array
    end: Array
    figure: float


class ByTape:
    """What a room's sheets tell an installer who has the room before him."""

    def __init__(self, facts: RoomFacts, sheets: Sequence[Measured], untold: Sequence[str]) -> None:
        self.facts, self.first, self.untold = facts, sheets[0], untold
        (outline,) = self.first.of_class("outline")
        (corners,) = places_of(outline.get("d") or "")
        self._paper, self._corner = np.array(corners[0]), np.array(facts.drawn.outline[0], float)
        self.eye = _EYE * self.first.scale
        self.lines: list[Laid] = []
        self.taped: list[Taped] = []
        self.wrong: list[str] = []
        for each in self.first.dimensions:
            start, end = (self._in_room(at) for at in each.ends)
            self._hold(start, end, float(each.figure), each.what)
        for line in untold:
            if found := _TOLD.match(line):
                start, end = (np.array([float(found[k]), float(found[k + 1])]) for k in (3, 5))
                self._hold(start, end, float(found[2]), found[1])
        for row in self.first.root.iter(f"{SVG}g"):
            if row.get("data-dimension") and row.get("class") != "measure":
                self._read_row(row)

    def _in_room(self, at: Sequence[float]) -> Array:
        x, y = (np.array(at) - self._paper) * self.first.scale
        return np.array(self._corner + np.array([x, -y]))

    @cached_property
    def faces(self) -> list[tuple[Array, Array, float]]:
        """The faces of walls and structures: where each begins, which way it runs, how far."""
        floor, faces = self.facts.floor, []
        for part in getattr(floor, "geoms", [floor]):
            for ring in (part.exterior, *part.interiors):
                places = np.array(ring.coords)
                for one, other in pairwise(places):
                    long = float(np.hypot(*(other - one)))
                    faces.append((one, (other - one) / long, long))
        return faces

    def faces_at(self, at: Array, near: float) -> Iterator[tuple[Array, Array, float]]:
        """Yield the faces that a place lies on."""
        for start, way, long in self.faces:
            along, off = (at - start) @ way, abs(_cross(way, at - start))
            if off <= near and -near <= along <= long + near:
                yield start, way, long

    def _hold(self, start: Array, end: Array, figure: float, what: str) -> None:
        way = (end - start) / np.hypot(*(end - start))
        corners = [np.array(each) for each in self.facts.outline.exterior.coords]
        corner = min(corners, key=lambda each: float(np.hypot(*(each - start))))
        is_from_corner = np.hypot(*(corner - start)) <= self.eye
        if is_from_corner:
            self.taped.append(Taped(corner=corner, end=end, figure=figure))
        for face, along, _ in self.faces_at(start, self.eye):
            if abs(_cross(along, way)) > 0.9999:
                # Square from the wall: a figure of the table has its ends in whole mm alone.
                way = np.array([along[1], -along[0]]) * np.sign(_cross(way, along))
                value = float(face @ way) + figure
                self.lines.append(Laid(way=way, drawn=float(end @ way), value=value, what=what))
                return
        if not is_from_corner:
            if not self._hold_along_edge(start, end, figure, what):
                self.wrong.append(f"{what} is measured from no wall and no corner")
            return
        for _, along, _ in self.faces_at(end, self.eye):
            if abs(_cross(along, way)) > 0.01:
                continue
            way = along * np.sign(along @ way)
            value = float(corner @ way) + figure
            self.lines.append(Laid(way=way, drawn=float(end @ way), value=value, what=what))
            return

    def _hold_along_edge(self, start: Array, end: Array, figure: float, what: str) -> bool:
        """Hold a tape along the edge of a strip, drawn on, from the wall that it meets."""
        way = (end - start) / np.hypot(*(end - start))
        at = [each for strip in self.facts.corners for each in np.array(strip)
              if np.hypot(*(each - end)) < self.eye]  # fmt: skip
        for face, along, _ in self.faces_at(start, self.eye):
            slope = _cross(way, along)
            # At half a right angle or so an edge that lies 5 mm aside errs by as much.
            if at and abs(slope) > 0.49 and self._is_edge(at[0], way):
                reach = _cross(face - at[0], along) / slope
                value = float((at[0] + reach * way) @ way) + figure
                self.lines.append(Laid(way=way, drawn=float(end @ way), value=value, what=what))
                return True
        return False

    def _is_edge(self, at: Array, way: Array) -> bool:
        """Tell whether a strip's long edge runs so from its corner."""
        return any(
            min(float(np.hypot(*(each - at))) for each in np.array(strip)) < 0.1
            and abs(_cross(np.array(line[1]) - np.array(line[0]), way))
            < 1e-3 * np.hypot(*(np.array(line[1]) - np.array(line[0])))
            for strip, line in zip(self.facts.corners, self.facts.connections, strict=True)
        )

    def _read_row(self, row: ElementTree.Element) -> None:
        """Add up a row's figures from the wall that it begins or ends at."""
        what = row.get("data-dimension")
        (marks,) = [each for each in row if each.get("class") == "chain"]
        strokes = [np.array(places_of(each.get("d") or "")[0]) for each in marks]
        axis = 0 if abs(strokes[0][0][1] - strokes[0][1][1]) < 1e-6 else 1
        stops = sorted(float(self._in_room(each.mean(axis=0))[axis]) for each in strokes[2::2])
        figures = [float(each.text or "") for each in row.iter(f"{SVG}text")]
        steps = []
        for low, high in pairwise(stops):
            # Whole mm that add up to the whole: each is within 1 mm.
            if figures and abs(figures[0] - (high - low)) <= 1.1:
                steps.append(figures.pop(0))
                continue
            told = re.compile(
                rf"{what}: ([\d.]+) along {'xy'[axis]}, from (-?[\d.]+) to (-?[\d.]+)"
            )
            found = [match for line in self.untold if (match := told.match(line))]
            steps += [float(each[1]) for each in found if abs(float(each[2]) - low) < 1.0][:1]
        if len(steps) != len(stops) - 1:
            self.wrong.append(f"a row of {what} lacks a figure")
            return
        ends = [each[axis] for each in self.facts.outline.exterior.coords]
        way = np.eye(2)[axis]
        sums = np.concatenate([[0.0], np.cumsum(steps)])
        for place, offset in ((0, 0.0), (-1, sums[-1])):
            held = [each for each in ends if abs(each - stops[place]) < self.eye]
            if held:
                self.lines += (
                    Laid(way=way, drawn=stop, value=held[0] - offset + total, what=f"row {what}")
                    for stop, total in zip(stops, sums.tolist(), strict=True)
                )
                return
        self.wrong.append(f"a row of {what} begins at no corner")

    def is_laid(self, way: Array, at: float, *names: str) -> bool:
        """Tell whether a line square to a way is laid true by dimensions whose names begin so."""
        for name in names:
            for each in self.lines:
                sign = float(each.way @ way)
                if (
                    abs(sign) > 0.9999
                    and each.what.startswith(name)
                    and abs(each.drawn * sign - at) < self.eye
                    and abs(each.value * sign - at) <= TRUE
                ):
                    return True
        return False

    def is_taped(self, at: Array) -> bool:
        """Tell whether two tapes from corners meet true at a place."""
        held = [each for each in self.taped if np.hypot(*(each.end - at)) < self.eye]
        for place, one in enumerate(held):
            for other in held[place + 1 :]:
                ways = [at - each.corner for each in (one, other)]
                long = [float(np.hypot(*way)) for way in ways]
                sine = abs(_cross(ways[0], ways[1])) / long[0] / long[1]
                off = max(abs(long[0] - one.figure), abs(long[1] - other.figure))
                if sine > 0.05 and off / sine <= TRUE:
                    return True
        return False

    def is_on_face(self, way: Array, at: Array) -> bool:
        """Tell whether a place lies on a wall square to a way."""
        return any(abs(along @ way) < 1e-3 for _, along, _ in self.faces_at(at, 1.5))


def _cross(one: Array, other: Array) -> float:
    return float(one[0] * other[1] - one[1] * other[0])
