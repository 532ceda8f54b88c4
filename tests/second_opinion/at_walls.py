"""What is wrong with what hangs on walls, and with what is drawn beyond them."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import shapely
from shapely import LineString, Point, Polygon

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn, Fixture, Spot
from underfoot_rules.mutations.expand_rows import mm

# On a wall; half of a box; free before it (mm).
ON_WALL, HALF, FREE = 100.0, 40.0, 300.0


def hanging_faults(room: Drawn, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Judge the junction box of a room, and its thermostat where that hangs."""
    box = room.data.get("junction_box")
    if box and room.box is not None:
        yield from _box_faults(room, room.box, mm(box["height"]) if "height" in box else None)
    thermostat = room.data.get("thermostat")
    if not thermostat:
        return
    where = drawn[thermostat.get("room", room.id)]
    at = thermostat.get("at")
    spot = (mm(at[0]), mm(at[1])) if at else room.box if where is room else None
    if spot is not None:
        found = _thermostat_fault(where, spot, thermostat, bool(at))
        if found is not None:
            yield expect("thermostat-place", room.id, "thermostat", severity=found)


def _box_faults(room: Drawn, spot: Spot, height: float | None) -> Iterator[Expected]:
    items = ("junction-box",)
    before = fixtures_before(room, spot)
    for fixture in room.fixtures.values():
        if fixture.kind != "heat source" and not fixture.clearance:
            continue
        near = fixture.shape.distance(Point(spot))
        if (
            near == 0
            or falls_short(near, fixture.clearance, 0.1)
            or (fixture.kind == "heat source" and fixture in before)
        ):
            yield error("box-place", room.id, *items)
            return
    outside = room.outline.distance(Point(spot))
    if exceeds(from_wall(room, spot), ON_WALL, 0.1):
        in_floor = outside == 0 and (height is None or height < 50)
        if in_floor:
            yield error("box-place", room.id, *items)
        else:
            yield warning("box-reach", room.id, *items)
    elif _is_out_of_reach(room, height) or any(_hides(fixture, height) for fixture in before):
        yield warning("box-reach", room.id, *items)


def _is_out_of_reach(room: Drawn, height: float | None) -> bool:
    if height is None:
        return False
    ceiling = room.data.get("height")
    return height < 50 or (ceiling is not None and height >= mm(ceiling))


def _hides(fixture: Fixture, height: float | None) -> bool:
    if fixture.height is None:
        return True
    if height is None:
        raise UnclearError
    return exceeds(fixture.height, height, 0.1)


def _thermostat_fault(room: Drawn, spot: Spot, told: Data, own_place: bool) -> Any:
    near = [
        (fixture.shape.distance(Point(spot)), fixture.clearance)
        for fixture in room.fixtures.values()
        if fixture.kind == "heat source"
    ]
    hot = [each for each in near if falls_short(each[0], max(500.0, each[1]), 0.1)]
    if len(hot) > 1:
        raise UnclearError
    if hot:
        distance, clearance = hot[0]
        return "error" if distance == 0 or falls_short(distance, clearance, 0.1) else "warning"
    if own_place and exceeds(from_wall(room, spot), ON_WALL, 0.1):
        return "warning"
    height = mm(told["height"]) if "height" in told else None
    hidden = any(_hides(fixture, height) for fixture in fixtures_before(room, spot))
    return "warning" if hidden else None


def from_wall(room: Drawn, spot: Spot) -> float:
    """Return the distance from the nearest wall, column or chimney breast."""
    walls = [room.outline.exterior]
    walls += [f.shape for f in room.fixtures.values() if f.kind == "structure"]
    return min(float(wall.distance(Point(spot))) for wall in walls)


def fixtures_before(room: Drawn, spot: Spot) -> list[Fixture]:
    """List what stands before a thing that hangs on a wall, by the wall that leaves it freest."""
    standing = [f for f in room.fixtures.values() if f.kind in ("floor-mounted", "heat source")]
    if not standing:
        return []
    solid = [f.shape for f in room.fixtures.values() if f.kind == "structure"]
    open_floor = room.outline.difference(shapely.union_all(solid))
    found = []
    for line in (room.outline.exterior, *(shape.exterior for shape in solid)):
        for start, end in pairwise(line.coords):
            floor = _floor_before(start, end, spot, open_floor)
            if floor is None:
                continue
            shared = [(fixture, fixture.shape.intersection(floor).area) for fixture in standing]
            if any(0 < area < 50 for _, area in shared):
                raise UnclearError
            found.append([fixture for fixture, area in shared if area])
    return min(found, key=len, default=[])


def _floor_before(start: Spot, end: Spot, spot: Spot, open_floor: Any) -> Any:
    """Return the open floor within reach of one side of a wall; None if the thing is not on it."""
    side = LineString((start, end))
    if side.length < 1e-6 or exceeds(side.distance(Point(spot)), ON_WALL, 0.1):
        return None
    foot = side.interpolate(side.project(Point(spot)))
    ux, uy = ((b - a) / side.length for a, b in zip(start, end, strict=True))
    floors = []
    for way in (1, -1):
        corners = [
            (foot.x + s * ux - way * t * uy, foot.y + s * uy + way * t * ux)
            for s, t in ((-HALF, 0.01), (HALF, 0.01), (HALF, FREE), (-HALF, FREE))
        ]
        middle = Point(foot.x - way * uy, foot.y + way * ux)
        if open_floor.buffer(1e-6).covers(middle):
            floors.append(Polygon(corners))
    if len(floors) > 1:
        raise UnclearError
    return floors[0] if floors else None


def outside_faults(room: Drawn) -> Iterator[Expected]:
    """Find fixtures and joints that lie outside the room, or reach too far through its walls."""
    things: list[tuple[tuple[str, ...], Any, bool]] = [
        ((f.id,), f.shape, f.kind in ("structure", "fixings")) for f in room.fixtures.values()
    ]
    things += [((name,), line, True) for name, line in room.joints.items()]
    for fixture in room.fixtures.values():
        if fixture.outlet is not None:
            things.append(((fixture.id, "outlet"), Point(fixture.outlet), False))
    for items, shape, goes_on in things:
        beyond = shape.difference(room.outline)
        if beyond.is_empty:
            continue
        far = max(
            room.outline.distance(Point(corner)) for corner in shapely.get_coordinates(beyond)
        )
        whole = shape.area or shape.length
        left = shape.intersection(room.outline)
        inside = left.area if shape.area else left.length
        if far < 1e-6 or (goes_on and whole and exceeds(inside, 1, 0.9)):
            continue
        if exceeds(far, 50, 0.05):
            yield warning("drawn-outside-room", room.id, *items)
