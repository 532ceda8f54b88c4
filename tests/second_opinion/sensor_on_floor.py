"""What is wrong with a sensor and its way, and with boxes near baths, as drawn."""

import math
from collections.abc import Iterator
from typing import Any

import shapely
from shapely import LineString, Point
from shapely.ops import substring

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.load_limits import is_selv
from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected, Severity
from underfoot_rules.mutations.drawn import LOW, Drawn, Spot, cable_needed, heated
from underfoot_rules.mutations.expand_rows import mm


def sensor_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge the sensor of one room; UnclearError where that is too close to tell."""
    if room.sensor is None or not room.strips:
        return
    spot = Point(room.sensor)
    away = min(strip.shape.distance(spot) for strip in room.strips.values())
    if away > 0 and exceeds(away, 0.001, 0.0005):
        yield error("sensor-under-element", room.id)
    else:
        depth = heated(room).boundary.distance(spot)
        # A sensor drawn in the very middle of two strips lies at the limit, which it meets.
        if abs(depth - 500) > 1e-7 and falls_short(depth, 500, 0.01):
            yield expect("sensor-depth", room.id)
        if _is_on_seam(room, spot):
            yield warning("sensor-seam", room.id)
    yield from _near_things(room, spot)
    yield from near_lead_faults(room)
    need = cable_needed(room)
    told = room.data["sensor"].get("cable")
    if need is not None and told is not None and exceeds(need, mm(told), 5):
        yield error("sensor-cable-reach", room.id)


def _is_on_seam(room: Drawn, spot: Any) -> bool:
    """Tell whether the conduit lies across a seam, and a place beside it would surely do."""
    half = mm(((room.data["sensor"].get("conduit")) or {}).get("width", 12)) / 2
    strips = [strip.shape for strip in room.strips.values()]
    above = min(range(len(strips)), key=lambda which: strips[which].distance(spot))
    near = False
    for which, shape in enumerate(strips):
        gap = shape.distance(strips[above])
        if which == above or shape.distance(spot) > half + 11 or not falls_short(gap, 10, 1e-4):
            continue
        off = max(shape.distance(spot) - gap, 0.0)
        near = near or (abs(off - half) > 1e-7 and falls_short(off, half, 0.01))
    if not near:
        return False
    floor = heated(room)
    low_x, low_y, high_x, high_y = floor.bounds
    step = max(50.0, math.ceil(max(high_x - low_x, high_y - low_y) / 60 / 50) * 50)
    taken = [
        f.shape.buffer(300.1 if f.kind == "heat source" else 0.1)
        for f in room.fixtures.values()
        if f.stands or (f.clear is not None and f.clear < LOW)
    ]
    edges = [shape.exterior for shape in strips]
    deep = floor.boundary.distance(spot) > 499.99
    seams = shapely.union_all(shapely.buffer(edges, half - 0.1))
    if deep and floor.buffer(-499.9).difference(seams).is_empty:
        return False  # the seam is the only place deep enough
    # Any circle so large holds a place of the grid that is searched.
    taken += shapely.buffer(edges, half + 0.1).tolist()
    left = floor.buffer(-500.1).difference(shapely.union_all(taken))
    if left.buffer(-0.72 * step).is_empty:
        raise UnclearError
    return True


def _near_things(room: Drawn, spot: Any) -> Iterator[Expected]:
    for fixture in room.fixtures.values():
        if fixture.kind == "heat source" and falls_short(fixture.shape.distance(spot), 300, 0.1):
            yield warning("sensor-near-heat", room.id, fixture.id)
        low = fixture.clear is not None and fixture.clear < LOW
        if fixture.stands or low:
            inside = fixture.shape.distance(spot) == 0
            if fixture.shape.boundary.distance(spot) < 0.1:
                raise UnclearError
            if inside:
                yield warning("sensor-covered", room.id, fixture.id)


def near_lead_faults(room: Drawn) -> Iterator[Expected]:
    """Judge the sensor's way beside the leads, its first 300 mm aside."""
    if len(room.sensor_way) < 2:
        return
    way = LineString(room.sensor_way)
    if way.length <= 300:
        return
    tail = substring(way, 300, way.length)
    for lead in room.leads.values():
        near = tail.intersection(lead.line.buffer(50, quad_segs=32)).length
        crosses = tail.intersects(lead.line)
        if not crosses and tail.distance(lead.line) < 0.1:
            raise UnclearError
        if crosses and not tail.crosses(lead.line):
            raise UnclearError
        if crosses or (near > 0 and exceeds(near, 300, 1)):
            yield warning("sensor-near-lead", room.id, lead.id)


def bath_faults(plan: Data, room: Drawn, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Judge the box of a room, and its thermostat where that hangs, by the baths near them."""
    thermostat = room.data.get("thermostat")
    selv = is_selv(plan)  # may be switched in zone 2
    if room.box is not None:
        found = _zone(room.box, room)
        if found is not None and not (selv and found[1] == 2):
            fixture, zone = found
            severity: Severity = "warning" if zone == 2 else "error"
            yield expect("bath-zone", room.id, "junction-box", fixture, severity=severity)
    if not thermostat:
        return
    where = drawn.get(thermostat.get("room", room.id))
    at = thermostat.get("at")
    spot = (mm(at[0]), mm(at[1])) if at else room.box
    if where is None or spot is None:
        return
    found = _zone(spot, where)
    if found is not None and not (selv and found[1] == 2):
        yield error("bath-zone", room.id, "thermostat", found[0])


def _zone(spot: Spot, room: Drawn) -> tuple[str, int] | None:
    """Return the bath whose zone a thing on the wall is in, and the zone's number."""
    near: list[tuple[float, str, int]] = []
    for fixture in room.fixtures.values():
        if fixture.kind not in ("bath", "shower", "open shower"):
            continue
        source = fixture.shape
        reach, zone = 600.0, 2
        if fixture.kind == "open shower":
            reach, zone = 1200.0, 1
            source = Point(fixture.outlet) if fixture.outlet else source
        link = shapely.shortest_line(Point(spot), source)
        walls = [each.shape for each in room.fixtures.values() if each.kind == "structure"]
        if link.length < reach + 1 and (
            not room.outline.buffer(0.01).covers(link) or any(w.intersects(link) for w in walls)
        ):
            raise UnclearError  # the way goes round a wall, or stops at it
        if falls_short(link.length, reach, 0.5):
            near.append((link.length, fixture.id, zone if link.length > 1 else 1))
    if len(near) > 1:
        raise UnclearError
    return (near[0][1], near[0][2]) if near else None
