"""Rectangles of film, board and sheet: their corners, frames, ends and distances."""

import numpy as np
import numpy.typing as npt
import shapely
from msgspec import Struct

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]
Geometries = npt.NDArray[np.object_]

# What lies within this of an edge lies on it (mm).
EDGE = 0.001
# Two values within this of each other are one (mm).
SAME = 1e-6
# Areas are cut and united on a grid: without one, whole areas get lost where the sides of turned
# things all but coincide. Fine enough that no measure moves by SAME (mm).
GRID = 1e-7
# Directions that differ by less are parallel (rad): over 10 m they part by EDGE.
PARALLEL = 1e-7

_RIGHT, _UP, _TO_THE_LEFT = np.array((1.0, 0.0)), np.array((0.0, 1.0)), np.array((-1.0, 1.0))


class Frames(Struct, frozen=True, kw_only=True):
    """Where rectangles lie and which way they run.

    `origin` (n, 2) is the corner where the length starts and from which the width runs along
    `across`; `along`, `across` (n, 2) are unit vectors, `across` a quarter turn anticlockwise
    from `along`; `length`, `width` (n,) are in mm.
    """

    origin: Floats
    along: Floats
    across: Floats
    length: Floats
    width: Floats


def corners(
    at: npt.ArrayLike,
    length: npt.ArrayLike,
    width: npt.ArrayLike,
    angle_deg: npt.ArrayLike = 0.0,
    along_y: npt.ArrayLike = False,
) -> Floats:
    """Lay rectangles in the plane.

    `at` is (n, 2), the others (n,) or one for all. Laid along x a rectangle runs its length
    towards +x and its width towards +y from `at`; along y its length towards +y and its width
    towards +x, and `angle_deg` is then not heeded. An angle turns the rectangle laid along x
    anticlockwise about `at`. Whole quarter turns are exact.

    Returns (n, 4, 2), anticlockwise; the side from corner 0 to 1 runs from the start end along
    the length, so the start end lies between corners 3 and 0, the far end between 1 and 2.
    """
    points = np.asarray(at, dtype=np.float64).reshape(-1, 2)
    upright = np.reshape(np.asarray(along_y, np.bool_), (-1, 1))
    along = np.where(upright, _UP, directions(angle_deg) if np.any(angle_deg) else _RIGHT)
    reach = along * np.reshape(np.asarray(length, np.float64), (-1, 1))
    span = along[:, ::-1] * _TO_THE_LEFT * np.reshape(np.asarray(width, np.float64), (-1, 1))
    first = np.where(upright, points - span, points)
    last = np.where(upright, points, points + span)
    laid = np.empty((len(points), 4, 2))
    laid[:, 0], laid[:, 1], laid[:, 2], laid[:, 3] = first, first + reach, last + reach, last
    return laid


def directions(angle_deg: npt.ArrayLike) -> Floats:
    """Return the unit vectors (n, 2) at angles from +x, exact for whole quarter turns."""
    angle = np.atleast_1d(np.asarray(angle_deg, np.float64))
    quarters = angle / 90.0
    whole = quarters == np.rint(quarters)
    radians = np.deg2rad(angle)
    cosine, sine = np.cos(radians), np.sin(radians)
    if whole.any():
        cosine = np.where(whole, np.rint(cosine), cosine)
        sine = np.where(whole, np.rint(sine), sine)
    return np.stack((cosine, sine), axis=1)


def turn(points: npt.ArrayLike, about: npt.ArrayLike, angle_deg: float) -> Floats:
    """Turn points (n, 2) anticlockwise about a point, exactly for whole quarter turns."""
    centre = np.asarray(about, np.float64)
    offset = np.asarray(points, np.float64) - centre
    ((cosine, sine),) = directions(angle_deg)
    turned = np.stack(
        (
            offset[..., 0] * cosine - offset[..., 1] * sine,
            offset[..., 0] * sine + offset[..., 1] * cosine,
        ),
        axis=-1,
    )
    return turned + centre


def polygons(rectangles: Floats) -> Geometries:
    """Make shapely polygons (n,) of corners (n, 4, 2)."""
    shapes: Geometries = shapely.polygons(rectangles)
    return shapes


def frames(rectangles: Floats) -> Frames:
    """Find the frame of each rectangle of corners (n, 4, 2)."""
    origin = rectangles[:, 0]
    run = rectangles[:, 1] - origin
    length = np.hypot(run[:, 0], run[:, 1])
    along = run / length[:, None]
    across = np.stack((-along[:, 1], along[:, 0]), axis=1)
    width = ((rectangles[:, 3] - origin) * across).sum(axis=1)
    return Frames(origin=origin, along=along, across=across, length=length, width=width)


def ends(rectangles: Floats) -> tuple[Floats, Floats]:
    """Return the middles of the start ends and of the far ends, each (n, 2)."""
    start = (rectangles[:, 3] + rectangles[:, 0]) / 2.0
    far = (rectangles[:, 1] + rectangles[:, 2]) / 2.0
    return start, far


def grown(rectangles: Floats, by: float) -> Floats:
    """Move every side of the rectangles out by `by` (in, where it is negative)."""
    frame = frames(rectangles)
    out = by * frame.along
    side = by * frame.across
    moves = np.stack((-out - side, out - side, out + side, side - out), axis=1)
    return rectangles + moves


def bounds(rectangles: Floats) -> Floats:
    """Return least x, least y, greatest x, greatest y of each rectangle or piece, (n, 4)."""
    return np.concatenate((rectangles.min(axis=1), rectangles.max(axis=1)), axis=1)
