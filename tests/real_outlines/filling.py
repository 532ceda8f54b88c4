"""Floors filled with strips: side by side along the longest wall, 60 mm inside."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from tests.real_outlines.outlines import Outline

Data = dict[str, Any]

WIDTH, CUT, SHORTEST, LONGEST = 500.0, 250.0, 500.0, 8750.0
CLEAR = 60.0
# The rules' least distances to walls and fixtures, depth of the sensor, and share of the floor.
WALL, DEEP, COVERED = 50.0, 500.0, 80.0


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip in the frame of the wall it runs along: its low corner, its length, its band."""

    x: float
    y: float
    length: float
    band: int


@dataclass(frozen=True, slots=True)
class Filled:
    """A filled floor: strips in the frame turned by `angle`, and the plan data of the room."""

    outline: Outline
    angle: float
    strips: dict[str, Strip]
    room: Data
    depth: float

    def plane(self, x: float, y: float) -> list[float]:
        """Return a place of the frame as a place of the room."""
        (a, b) = _turned(np.array([[x, y]]), self.angle)[0]
        return [float(a), float(b)]

    def corners(self, name: str) -> np.ndarray:
        """Return the corners of a strip in the room."""
        s = self.strips[name]
        x, y = s.x + s.length, s.y + WIDTH
        return _turned(np.array([(s.x, s.y), (x, s.y), (x, y), (s.x, y)]), self.angle)

    @property
    def heated(self) -> shapely.Geometry:
        """All strips together; they butt to rounding."""
        areas = [shapely.Polygon(self.corners(name)).buffer(0.01) for name in self.strips]
        return shapely.union_all(areas).buffer(-0.01)

    @property
    def share(self) -> float:
        """The heated share of the floor 50 mm inside the walls, in percent."""
        reachable = self.outline.polygon.buffer(-WALL, quad_segs=16)
        return 100 * self.heated.intersection(reachable).area / reachable.area


def _turned(points: np.ndarray, angle: float) -> np.ndarray:
    cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return points @ np.array(((cosine, sine), (-sine, cosine)))


def _wall_angle(outline: Outline) -> float:
    """Return the direction of the longest wall, to a hundredth of a degree; upright exactly."""
    run = np.roll(outline.corners, -1, axis=0) - outline.corners
    longest = run[np.argmax(np.hypot(*run.T))]
    return round(float(np.degrees(np.arctan2(longest[1], longest[0]))) % 180, 2)


def fill(outline: Outline) -> Filled | None:
    """Fill a floor; None where not one strip fits."""
    angle = _wall_angle(outline)
    floor = outline.polygon.buffer(-CLEAR, quad_segs=16)
    flat = shapely.transform(floor, lambda points: _turned(points, -angle))
    if flat.is_empty:
        return None
    left, low, right, top = flat.bounds
    strips: dict[str, Strip] = {}
    for band, y in enumerate(np.arange(low, top - WIDTH + 0.01, WIDTH)):
        blocked = shapely.box(left, y, right, y + WIDTH).difference(flat)
        taken = [part.bounds[::2] for part in shapely.get_parts(blocked) if part.area > 1e-3]
        start = left
        for a, b in [*sorted(taken), (right, right)]:
            length = min(np.floor((a - start) / CUT) * CUT, LONGEST)
            if length >= SHORTEST:
                name = f"E{len(strips) + 1}"
                strips[name] = Strip(float(start), float(y), float(length), band)
            start = max(start, b)
    if not strips:
        return None
    filled = Filled(outline, angle, strips, {}, 0.0)
    sensor, depth = _deepest(filled)
    return Filled(outline, angle, strips, _room(filled, sensor), depth)


def _deepest(filled: Filled) -> tuple[list[float], float]:
    """Return the place for a sensor that lies deepest, of those every 125 mm along the strips."""
    edge = filled.heated.boundary
    places = [
        filled.plane(strip.x + along, strip.y + WIDTH / 2)
        for strip in filled.strips.values()
        for along in np.arange(125.0, strip.length, 125.0)
    ]
    depths = shapely.distance(edge, shapely.points(places))
    best = int(np.argmax(depths))
    return places[best], float(depths[best])


def _room(filled: Filled, sensor: list[float]) -> Data:
    """Return the room as plan data, complete but for its leads."""
    along = "x" if filled.angle == 0 else f"{filled.angle} deg"
    outline = filled.outline
    return {
        "outline": outline.corners.tolist(),
        "rows": None,
        "leads": {"W1": None},
        "fixtures": {
            f"pier-{number}": {"kind": "structure", "outline": hole.tolist()}
            for number, hole in enumerate(outline.holes)
        },
        "elements": {
            name: {
                "film": "film-80",
                "at": np.round(filled.plane(strip.x, strip.y), 3).tolist(),
                "along": along,
                "length": strip.length,
                "circuit": "C1",
            }
            for name, strip in filled.strips.items()
        },
        "junction_box": {"at": outline.corners[0].tolist(), "height": 450},
        "thermostat": {"at": None},
        "sensor": {"at": sensor, "route": ["junction-box"], "cable": "40 m"},
    }
