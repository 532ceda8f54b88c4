"""Areas as cells, lines as points: slow, plain, and the same for every shape."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

Points = Sequence[tuple[float, float]] | np.ndarray


@dataclass(frozen=True, slots=True)
class Cells:
    """Centres of square cells over a stretch of floor, `size` wide: x, y (rows, columns)."""

    x: np.ndarray
    y: np.ndarray
    size: float

    def within(self, area: Points) -> np.ndarray:
        """Tell which centres lie in an area."""
        polygon = shapely.Polygon(area)
        shapely.prepare(polygon)
        inside: np.ndarray = shapely.contains_xy(polygon, self.x, self.y)
        return inside

    def within_any(self, areas: Iterable[Points]) -> np.ndarray:
        """Tell which centres lie in one of several areas."""
        inside = np.zeros(self.x.shape, dtype=bool)
        for area in areas:
            inside |= self.within(area)
        return inside

    def distances(self, line: Points) -> np.ndarray:
        """Measure from every centre to a line."""
        points = np.stack((self.x.ravel(), self.y.ravel()), axis=1)
        return distances_to(points, line).reshape(self.x.shape)


def cells_over(points: Points, size: float, margin: float = 0.0) -> Cells:
    """Lay cells over the box round points."""
    low = np.min(points, axis=0) - margin
    high = np.max(points, axis=0) + margin
    axes = [np.arange(a + size / 2, b, size) for a, b in zip(low, high, strict=True)]
    x, y = np.meshgrid(*axes)
    return Cells(x, y, size)


def distances_to(points: np.ndarray, line: Points) -> np.ndarray:
    """Measure from points (n, 2) to a line of any number of parts, the nearest counting."""
    line = np.asarray(line, dtype=float)
    nearest = np.full(len(points), np.inf)
    for start, end in pairwise(line):
        run = end - start
        square = float(run @ run)
        share = np.clip((points - start) @ run / square, 0, 1) if square else np.zeros(len(points))
        foot = start + share[:, None] * run
        nearest = np.minimum(nearest, np.hypot(*(points - foot).T))
    return nearest


def closed(ring: Points) -> np.ndarray:
    """Return an area's edge as a line."""
    ring = np.asarray(ring, dtype=float)
    return np.concatenate((ring, ring[:1]))


def walk(line: Points, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Return points along a line, in the middles of even steps, and how long each step is."""
    line = np.asarray(line, dtype=float)
    points, lengths = [np.empty((0, 2))], [np.empty(0)]
    for start, end in pairwise(line):
        length = float(np.hypot(*(end - start)))
        count = max(1, int(np.ceil(length / step)))
        share = (np.arange(count) + 0.5) / count
        points.append(start + share[:, None] * (end - start))
        lengths.append(np.full(count, length / count))
    return np.concatenate(points), np.concatenate(lengths)


def distance_between(one: Points, other: Points) -> float:
    """Measure the least distance between two lines, 0 where they cross: every part with every."""
    one, other = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
    if cross(one, other):
        return 0.0
    return float(min(distances_to(one, other).min(), distances_to(other, one).min()))


def cross(one: np.ndarray, other: np.ndarray) -> bool:
    """Tell whether two lines cross: to touch, or to run along, is no crossing."""
    a, b = one[:-1, None], one[1:, None]
    c, d = other[None, :-1], other[None, 1:]

    def side(p: np.ndarray, q: np.ndarray, r: np.ndarray) -> np.ndarray:
        u, v = q - p, r - p
        off = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
        # What lies within a millionth of a millimetre of a line lies on it.
        return np.where(np.abs(off) > 1e-6 * np.hypot(u[..., 0], u[..., 1]), np.sign(off), 0.0)

    apart = (side(a, b, c) * side(a, b, d) < 0) & (side(c, d, a) * side(c, d, b) < 0)
    return bool(apart.any())


def rectangle(at: Sequence[float], along: str, length: float, width: float) -> np.ndarray:
    """Return the corners of a strip, board or sheet as the plan format lays it, anticlockwise."""
    x, y = at
    if along == "x":
        return np.array([(x, y), (x + length, y), (x + length, y + width), (x, y + width)])
    if along == "y":
        return np.array([(x, y), (x + width, y), (x + width, y + length), (x, y + length)])
    angle = np.radians(float(along.removesuffix("deg")))
    u = np.array((np.cos(angle), np.sin(angle)))
    v = np.array((-u[1], u[0]))
    start = np.array((x, y))
    return np.array([start, start + length * u, start + length * u + width * v, start + width * v])
