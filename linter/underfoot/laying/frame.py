"""The direction in which strips run, and the room seen along it."""

import math
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

Point = tuple[float, float]

# Walls that run within this of a direction run along it, degrees.
_SAME_DEG = 0.05
# A wall shorter than this gives strips no direction, mm.
_SHORTEST_WALL = 1000.0
# No more directions are tried.
_MOST = 6


class Frame(Struct, frozen=True, kw_only=True):
    """A room seen so that strips run up (v) and lie side by side to the right (u), in mm.

    `along` is the direction as a plan writes it: ``x``, ``y`` or ``30 deg``.
    """

    along: str
    run: Point
    side: Point

    def seen(self, shape: Any) -> Any:
        """Return a shape of the room as it is seen here."""
        axes = np.array((self.side, self.run)).T
        return shapely.transform(shape, lambda points: points @ axes)

    def look(self, point: Point) -> Point:
        """Return a point of the room as it is seen here."""
        x, y = point
        return (
            x * self.side[0] + y * self.side[1],
            x * self.run[0] + y * self.run[1],
        )

    def place(self, u: float, v: float) -> Point:
        """Return the point of the room at a place that is seen here."""
        return (
            u * self.side[0] + v * self.run[0],
            u * self.side[1] + v * self.run[1],
        )


def write_mm(value: float) -> float | int:
    """Write a millimetre to a tenth, as a whole number where it is one."""
    rounded = round(value, 1)
    return int(rounded) if rounded == int(rounded) else rounded


def make_frame(along: str) -> Frame:
    """Return the frame of a direction that is written as in a plan."""
    if along == "y":
        return Frame(along=along, run=(0.0, 1.0), side=(1.0, 0.0))
    if along == "x":
        return Frame(along=along, run=(1.0, 0.0), side=(0.0, 1.0))
    angle = math.radians(float(along.removesuffix("deg")))
    run = (math.cos(angle), math.sin(angle))
    return Frame(along=along, run=run, side=(-run[1], run[0]))


def list_frames(outline: Any) -> list[Frame]:
    """List the directions worth trying: along x, along y, and along the longer oblique walls."""
    corners = shapely.get_coordinates(outline.exterior)
    runs = np.diff(corners, axis=0)
    lengths = np.hypot(*runs.T)
    by_angle: dict[float, float] = {}
    for run, length in zip(runs, lengths, strict=True):
        angle = round(math.degrees(math.atan2(run[1], run[0])) % 180.0, 2)
        by_angle[angle] = by_angle.get(angle, 0.0) + float(length)
    frames = [make_frame("x"), make_frame("y")]
    for angle, length in sorted(by_angle.items(), key=lambda each: (-each[1], each[0])):
        for turned in (angle, (angle + 90.0) % 180.0):
            off = min(turned % 90.0, 90.0 - turned % 90.0)
            if off <= _SAME_DEG or length < _SHORTEST_WALL or len(frames) == _MOST:
                continue
            frame = make_frame(f"{round(turned, 2):g} deg")
            if frame not in frames:
                frames.append(frame)
    return frames


def is_direction(along: str) -> bool:
    """Tell whether a text is a direction as a plan writes it."""
    if along in ("x", "y"):
        return True
    try:
        return along.endswith("deg") and math.isfinite(float(along.removesuffix("deg")))
    except ValueError:
        return False
