"""Ways to damage a filled floor, each with the finding that it must bring."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from tests.geometry_oracles.raster import closed, distance_between
from tests.real_outlines.filling import WIDTH, Filled

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Damage:
    """A change to the room (JSON Merge Patch) and what must be found: rule, items, measure."""

    change: Data
    rule: str
    items: tuple[str, ...]
    measured: float
    severity: str = "error"
    within: float = 0.01


def _first(filled: Filled) -> str:
    """Return the longest strip, the first of equal ones."""
    return max(filled.strips, key=lambda name: filled.strips[name].length)


def _moved(filled: Filled, name: str, dx: float, dy: float) -> tuple[Data, np.ndarray]:
    at = np.add(filled.room["elements"][name]["at"], (dx, dy))
    corners = np.add(filled.corners(name), (dx, dy))
    return {"elements": {name: {"at": at.tolist()}}}, corners


def _to_the_wall(filled: Filled, name: str) -> tuple[np.ndarray, float]:
    """Return the shortest way from a strip to a wall, as a unit vector, and its length."""
    strip = shapely.Polygon(filled.corners(name))
    line = shapely.shortest_line(strip, filled.outline.polygon.exterior)
    (start, end) = shapely.get_coordinates(line)
    away = float(np.hypot(*(end - start)))
    return (end - start) / away, away


def near_a_wall(filled: Filled) -> Damage | None:
    """A strip is laid 30 mm from a wall."""
    name = _first(filled)
    way, away = _to_the_wall(filled, name)
    change, corners = _moved(filled, name, *(way * (away - 30.0)))
    walls = closed(filled.outline.corners)
    if not filled.outline.polygon.contains(shapely.Polygon(corners)):
        return None
    return Damage(change, "wall-clearance", (name,), distance_between(closed(corners), walls))


def through_a_wall(filled: Filled) -> Damage | None:
    """A strip is laid 40 mm through a wall."""
    name = _first(filled)
    way, away = _to_the_wall(filled, name)
    change, corners = _moved(filled, name, *(way * (away + 40.0)))
    floor = shapely.Polygon(filled.outline.corners)
    beyond = shapely.Polygon(corners).difference(floor)
    # Its farthest corner outside, unless the walls are so near that a side lies farther.
    points = shapely.points(shapely.get_coordinates(beyond.segmentize(1.0)))
    far = float(shapely.distance(floor.exterior, points).max())
    return Damage(change, "element-outside-room", (name,), far, within=1.0)


def doubled(filled: Filled) -> Damage:
    """A strip is laid twice, 100 mm beside itself."""
    name = _first(filled)
    twin = {**filled.room["elements"][name]}
    strip = filled.strips[name]
    twin["at"] = filled.plane(strip.x, strip.y + 100.0)
    lap = min(400.0, strip.length)
    return Damage({"elements": {"Z9": twin}}, "element-overlap", (name, "Z9"), lap)


def under_a_cupboard(filled: Filled) -> Damage:
    """A cupboard is put on a strip."""
    name = _first(filled)
    x, y = filled.corners(name).mean(axis=0)
    fixture = {"kind": "floor-mounted", "at": [x - 100, y - 100], "size": [200, 200]}
    return Damage({"fixtures": {"cupboard": fixture}}, "fixture-clearance", (name, "cupboard"), 0.0)


def _across(filled: Filled, name: str) -> list[list[float]]:
    """Return a line across the middle of a strip, ending 20 mm beyond both sides."""
    strip = filled.strips[name]
    x = strip.x + strip.length / 2
    return [filled.plane(x, strip.y - 20.0), filled.plane(x, strip.y + WIDTH + 20.0)]


def across_a_joint(filled: Filled) -> Damage:
    """A movement joint was forgotten."""
    name = _first(filled)
    joint = {"J1": _across(filled, name)}
    return Damage({"joints": joint}, "joint-crossing", (name, "J1"), WIDTH)


def over_a_lead(filled: Filled) -> Damage:
    """A lead is taken across, below a strip."""
    name = _first(filled)
    lead = {"circuit": "C1", "size": "1.5 mm2", "recessed": True, "route": _across(filled, name)}
    return Damage({"leads": {"W1": lead}}, "lead-under-element", ("W1", name), WIDTH)


def lead_through_the_wall(filled: Filled) -> Damage:
    """A lead goes 200 mm straight out through the first wall."""
    a, b = filled.outline.corners[:2]
    middle, run = (a + b) / 2, (b - a) / np.hypot(*(b - a))
    out = np.array((run[1], -run[0]))
    floor = shapely.Polygon(filled.outline.corners)
    if floor.contains(shapely.Point(middle + out)):
        out = -out
    route = [(middle - 30 * out).tolist(), (middle + 200 * out).tolist()]
    lead = {"circuit": "C1", "size": "1.5 mm2", "recessed": True, "route": route}
    outside = shapely.LineString(route).difference(floor).length
    return Damage({"leads": {"W1": lead}}, "lead-outside-room", ("W1",), outside)


def sensor_in_the_cold(filled: Filled) -> Damage | None:
    """The sensor is put where no strip lies."""
    polygon, heated = filled.outline.polygon, filled.heated
    cold = polygon.buffer(-5).difference(heated.buffer(20))
    if cold.is_empty:
        return None
    place = cold.representative_point()
    away = heated.distance(place)
    change = {"sensor": {"at": [place.x, place.y]}}
    return Damage(change, "sensor-under-element", (), away, within=0.05)


def half_a_bed(filled: Filled) -> Damage:
    """Boards are laid under half the room only."""
    floor = filled.outline.polygon
    low_x, low_y, high_x, high_y = floor.bounds
    middle = (low_x + high_x) / 2
    over = [[low_x, low_y], [middle, low_y], [middle, high_y], [low_x, high_y]]
    layers = [{"courses": "x", "stagger": 600, "over": over}]
    bare = 100 * floor.difference(shapely.Polygon(over)).area / floor.area
    return Damage({"insulation": {"layers": layers}}, "insulation-cover", (), bare)


def short_laps(filled: Filled) -> Damage | None:
    """Sheets 1 m wide lap by 60 mm only."""
    low_x, low_y, high_x, _ = filled.outline.polygon.bounds
    lap = shapely.box(low_x, low_y + 940, high_x, low_y + 1000)
    if filled.outline.polygon.intersection(lap).area < 100:
        return None
    pieces = {
        f"M{number}": {
            "at": [low_x, low_y + 940 * number], "along": "x", "length": high_x - low_x,
            "width": 1000,
        }
        for number in range(2)
    }  # fmt: skip
    change = {"membrane": {"runs": None, "pieces": pieces}}
    return Damage(change, "membrane-overlap", ("M0", "M1"), 60.0)


def too_narrow(filled: Filled) -> Damage | None:
    """One strip is cut from a roll 400 mm wide: beside the next it leaves a gap of 100 mm."""
    for name, strip in filled.strips.items():
        for other, beside in filled.strips.items():
            facing = min(strip.x + strip.length, beside.x + beside.length)
            facing -= max(strip.x, beside.x)
            if beside.band == strip.band + 1 and facing >= 100:
                change = {"elements": {name: {"film": "film-narrow"}}}
                first, second = sorted((name, other))
                return Damage(change, "strip-gap", (first, second), 100.0, "warning")
    return None


def mostly_bare(filled: Filled) -> Damage | None:
    """Only the longest strip is left."""
    if len(filled.strips) < 3:
        return None
    kept = _first(filled)
    left = Filled(filled.outline, filled.angle, {kept: filled.strips[kept]}, {}, 0.0)
    change = {"elements": {name: None for name in filled.strips if name != kept}}
    return Damage(change, "floor-coverage", (), left.share, "warning", within=0.1)


DAMAGES: tuple[Callable[[Filled], Damage | None], ...] = (
    near_a_wall,
    through_a_wall,
    doubled,
    under_a_cupboard,
    across_a_joint,
    over_a_lead,
    lead_through_the_wall,
    sensor_in_the_cold,
    half_a_bed,
    short_laps,
    too_narrow,
    mostly_bare,
)
