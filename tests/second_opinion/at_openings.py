"""What is wrong at doors and passages, by distances from their line and the room's side of it."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from shapely import LineString, Point, Polygon

from tests.second_opinion.comparing import UnclearError, falls_short
from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn, Spot
from underfoot_rules.mutations.expand_rows import mm

# From a doorway to what screws may meet, and to a joint (mm).
SCREWS, STEP = 50.0, 250.0
# From an opening to the middle of a box, how far off its wall that may be, and how high a door is.
HALF, IN_WALL, HEAD = 40.0, 100.0, 2000.0


def opening_faults(room: Drawn, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Judge a room's openings, and its thermostat by the doors where it hangs."""
    openings: Data = room.data.get("openings") or {}
    others = any(each.data.get("openings") for each in drawn.values())
    if room.strips and others and not openings:
        yield expect("openings-missing", room.id, severity="note")
    for name, told in openings.items():
        if told["kind"] != "window":
            floor = _doorway(room, told)
            yield from _screws(room, name, told, floor)
            yield from _joints(room, name, floor)
    yield from _hung(room, room, "junction-box", room.data.get("junction_box"))
    thermostat = room.data.get("thermostat")
    if thermostat:
        yield from _hung(room, drawn[thermostat.get("room", room.id)], "thermostat", thermostat)
        where = drawn[thermostat.get("room", room.id)]
        at = thermostat.get("at")
        spot = _spot(at) if at else room.box if where is room else None
        for name, told in (where.data.get("openings") or {}).items():
            if spot is not None and told["kind"] == "door" and _hides(where, told, spot):
                items = ("thermostat", name)
                yield warning("thermostat-behind-door", room.id, *items)


def _hung(room: Drawn, where: Drawn, item: str, thing: Data | None) -> Iterator[Expected]:
    """Judge what hangs in an opening, by the walls that are left beside it."""
    for name, told in (where.data.get("openings") or {}).items():
        if not thing or "at" not in thing:
            continue
        line = LineString([_spot(told["from"]), _spot(told["to"])])
        spot = Point(_spot(thing["at"]))
        walls = [where.outline.exterior]
        walls += [
            each.shape.exterior for each in where.fixtures.values() if each.kind == "structure"
        ]
        beside = [wall.difference(line.buffer(1)) for wall in walls]
        beside = [wall for wall in beside if not wall.is_empty]
        near = min(beside, key=spot.distance)
        off = line.distance(spot)
        if min(off, near.distance(spot)) > IN_WALL - 1:
            if min(off, near.distance(spot)) < IN_WALL + 1:
                raise UnclearError
            continue
        if abs(off - near.distance(spot)) < 0.01 and off > 0.01:
            raise UnclearError
        along = 0.0
        if near.distance(spot) < off:
            along = near.interpolate(near.project(spot)).distance(line)
        if falls_short(along, HALF, 1) and _is_open_at(told, thing):
            grave = item == "junction-box" and told["kind"] != "window"
            yield expect(
                "hung-in-opening", room.id, item, name, severity="error" if grave else "warning"
            )


def _is_open_at(told: Data, thing: Data) -> bool:
    """Tell whether an opening is open at the height of what hangs there."""
    up = mm(thing["height"]) if "height" in thing else None
    if told["kind"] == "window":
        if "sill" not in told or (up is None and mm(told["sill"]) > 0):
            raise UnclearError
        if up is not None and up < mm(told["sill"]):
            return False
    return up is None or up <= HEAD


def _spot(pair: Any) -> Spot:
    return mm(pair[0]), mm(pair[1])


def _out(room: Drawn, start: Spot, end: Spot) -> Spot:
    """Return the way out of the room across a wall, by the side on which the ring's inside lies."""
    ring = list(room.outline.exterior.coords)
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))
    wide = math.dist(start, end)
    for a, b in pairwise(ring):
        wall = LineString([a, b])
        if all(wall.distance(Point(spot)) < 1 for spot in (start, end)):
            sign = 1 if area > 0 else -1
            long = math.dist(a, b)
            return sign * (b[1] - a[1]) / long, sign * (a[0] - b[0]) / long
    # Over a corner that is none: the wall's own direction will do, if the floor lies on one side.
    across = ((start[1] - end[1]) / wide, (end[0] - start[0]) / wide)
    middle = Point((start[0] + end[0]) / 2 + across[0], (start[1] + end[1]) / 2 + across[1])
    return (-across[0], -across[1]) if room.outline.contains(middle) else across


def _doorway(room: Drawn, told: Data) -> Polygon:
    start, end = _spot(told["from"]), _spot(told["to"])
    x, y = _out(room, start, end)
    return Polygon(
        [
            start,
            end,
            (end[0] + 100 * x, end[1] + 100 * y),
            (start[0] + 100 * x, start[1] + 100 * y),
        ]
    )


def _screws(room: Drawn, name: str, told: Data, floor: Polygon) -> Iterator[Expected]:
    if told.get("threshold") in ("glued", "none"):
        return
    things = {key: strip.shape.distance(floor) for key, strip in room.strips.items()}
    things |= {
        key: max(lead.line.distance(floor) - lead.width / 2, 0) for key, lead in room.leads.items()
    }
    if len(room.sensor_way) > 1:
        sensor = room.data["sensor"]
        widths = [(sensor.get(key) or {}).get("width", 0) for key in ("channel", "conduit")]
        half = max(mm(width) for width in widths) / 2
        things["sensor"] = max(LineString(room.sensor_way).distance(floor) - half, 0)
    near = [key for key, off in things.items() if falls_short(off, SCREWS, 1)]
    if near and "threshold" not in told:
        raise UnclearError
    for key in near:
        yield error("threshold-fixing", room.id, key, name)


def _joints(room: Drawn, name: str, floor: Polygon) -> Iterator[Expected]:
    joined = {stop for lead in room.leads.values() for stop in lead.named if stop}
    strips: set[str] = set()
    for stop in joined - {"junction-box"}:
        strip, _, end = stop.partition(".")
        if falls_short(Point(getattr(room.strips[strip], end)).distance(floor), STEP, 1):
            if strip in strips:
                raise UnclearError  # both ends in one doorway
            strips.add(strip)
    for strip in sorted(strips):
        yield warning("doorway-joint", room.id, strip, name)


def _hides(room: Drawn, told: Data, spot: Spot) -> bool:
    """Tell whether a leaf of a door covers a spot on the wall when it stands open."""
    if told.get("opens") in ("outwards", "slides"):
        return False
    if "opens" not in told or "hinge" not in told:
        raise UnclearError
    ends = {"from": _spot(told["from"]), "to": _spot(told["to"])}
    wide = math.dist(*ends.values())
    both = told["hinge"] == "both"
    for hinge in ends if both else (told["hinge"],):
        other = ends["to" if hinge == "from" else "from"]
        leaf = wide / 2 if both else wide
        turn = math.degrees(
            math.atan2(spot[1] - ends[hinge][1], spot[0] - ends[hinge][0])
            - math.atan2(other[1] - ends[hinge][1], other[0] - ends[hinge][0])
        )
        out = _out(room, *ends.values())
        inside = (spot[0] - ends[hinge][0]) * -out[0] + (spot[1] - ends[hinge][1]) * -out[1]
        away = abs((turn + 180) % 360 - 180)
        if not falls_short(math.dist(ends[hinge], spot), leaf, 1):
            continue
        if abs(away - 90) < 0.5 or abs(inside + 1) < 0.5:
            raise UnclearError
        if away > 90 and inside > -1:
            return True
    return False
