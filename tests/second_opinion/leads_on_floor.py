"""What is wrong with the leads of one room as drawn."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import translate

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.saying import error, expect, warning
from tests.second_opinion.strips_on_floor import length_inside
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn, Fixture, Lead, Strip
from underfoot_rules.mutations.expand_rows import mm


def lead_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge each lead's way; UnclearError where that is too close to tell."""
    for lead in room.leads.values():
        if exceeds(length_outside(lead.line, lead.width, room), 1, 0.1):
            yield error("lead-outside-room", room.id, lead.id)
        for strip in room.strips.values():
            if exceeds(_length_under(lead, strip), 1, 0.1):
                yield error("lead-under-element", room.id, lead.id, strip.id)
        yield from _crosses_joints(lead, room)
        for fixture in room.fixtures.values():
            items = (lead.id, fixture.id)
            if meets(lead.line, lead.width, fixture):
                yield error("lead-under-fixture", room.id, *items)
            least = max(300.0 if fixture.kind == "heat source" else 0.0, fixture.clearance)
            away = max(fixture.shape.distance(lead.line) - lead.width / 2, 0)
            if least > 0 and falls_short(away, least, 0.1):
                yield error("lead-near-heat", room.id, *items)
        yield from _under_nails(plan, room, lead.line, lead.width, lead.id)
        if _is_thinner_than_copper(room.data["leads"][lead.id]):
            yield error("lead-thickness", room.id, lead.id)
            continue
        deep = insulation_below(plan, room, lead.thickness)
        lies_in = room.data["leads"][lead.id].get("recessed") is not False
        if deep is not None and lies_in and exceeds(lead.thickness, deep, 0.01):
            yield error("lead-thickness", room.id, lead.id)
    yield from _together(plan, room)
    if len(room.sensor_way) > 1:
        way = LineString(room.sensor_way)
        yield from _under_nails(plan, room, way, conduit_width(room), "sensor")


def _is_thinner_than_copper(told: Data) -> bool:
    """Compare what the lead is said to take across its length with two bare conductors."""
    if "thickness" not in told or "size" not in told:
        return False
    copper_mm2, thickness = read_quantity(told["size"], "mm2"), mm(told["thickness"])
    if "width" in told:
        return falls_short(mm(told["width"]) * thickness, 2 * copper_mm2, 0.001)
    return falls_short(math.pi * thickness**2 / 4, copper_mm2, 0.001)


def bodies_of(line: Any, width: float) -> list[tuple[Any, Any]]:
    """Return the straight pieces of a line, each with the area that it takes with its width."""
    pieces = [LineString(pair) for pair in pairwise(line.coords) if math.dist(*pair) > 1e-3]
    return [(each, each.buffer(width / 2 - 0.001, cap_style="flat")) for each in pieces]


def _beside(piece: Any, shape: Any) -> float:
    """Return how much of a straight piece a shape lies beside."""
    spans = []
    for part in shapely.get_parts(shape):
        if part.area > 0:
            along = [piece.project(Point(each)) for each in shapely.get_coordinates(part)]
            spans.append((min(along), max(along)))
    total, reached = 0.0, 0.0
    for low, high in sorted(spans):
        total += max(0.0, high - max(low, reached))
        reached = max(reached, high)
    return total


def length_within(line: Any, width: float, shape: Any) -> float:
    """Return the length of a line of which some of the width lies in a shape."""
    if line.distance(shape) > width:
        return 0.0
    return sum(_beside(piece, body.intersection(shape)) for piece, body in bodies_of(line, width))


def length_outside(line: Any, width: float, room: Drawn) -> float:
    """Return the length outside the room: of the middle, and of the width off the box."""
    grown = room.outline.buffer(0.001)
    middle = float(line.difference(grown).length)
    beyond = [
        (piece, body) for piece, body in bodies_of(line, width) if not room.outline.covers(body)
    ]
    if not beyond:
        return middle
    at_box = Point(room.box).buffer(300, quad_segs=256) if room.box else Polygon()
    wide = sum(_beside(piece, body.difference(grown).difference(at_box)) for piece, body in beyond)
    return max(middle, wide)


def meets(line: Any, width: float, fixture: Fixture) -> bool:
    """Tell whether a lead or conduit lies in what bars it, or too near to fixings."""
    bars = fixture.kind in ("fixings", "structure") or (fixture.stands and fixture.on_subfloor)
    if not bars:
        return False
    if exceeds(length_within(line, width, fixture.shape), 1, 0.1):
        return True
    away = max(fixture.shape.distance(line) - width / 2, 0)
    return fixture.kind == "fixings" and falls_short(away, 50, 0.1)


def _length_under(lead: Lead, strip: Strip) -> float:
    """Return the length under a strip; between joints a lead lies beside the strips' ends."""
    total = 0.0
    if lead.line.distance(strip.shape) > lead.width:
        return total
    for (start, first), (end, second) in pairwise(lead.stops):
        if math.dist(start, end) < 1e-3:
            continue
        piece = LineString((start, end))
        if piece.distance(strip.shape) > lead.width:
            continue
        body = piece.buffer(lead.width / 2 - 0.001, cap_style="flat")
        under = _beside(piece, body.intersection(strip.shape))
        joints = (first is not None) + (second is not None)
        if under > 0 and (joints == 2 or (joints == 1 and strip.id in lead.strips)):
            wide = shapely.union_all(
                [
                    translate(strip.shape, aside * strip.across[0], aside * strip.across[1])
                    for aside in (-lead.width / 2, 0.0, lead.width / 2)
                ]
            )
            inside = length_inside(piece, wide)
            if inside > 0:
                total += min(inside, under)
            continue
        total += under
    return total


def _crosses_joints(lead: Lead, room: Drawn) -> Iterator[Expected]:
    for name, joint in room.joints.items():
        if not lead.line.intersects(joint):
            if lead.line.distance(joint) < 0.01:
                raise UnclearError
            continue
        ends = [*lead.line.coords, *joint.coords]
        shared = lead.line.intersection(joint)
        if shared.length > 0 or any(shared.distance(Point(end)) < 0.01 for end in ends):
            raise UnclearError
        yield warning("lead-joint", room.id, lead.id, name)


def _under_nails(plan: Data, room: Drawn, line: Any, width: float, name: str) -> Iterator[Expected]:
    """Judge what lies under coverings that are nailed, and not over strips as well."""
    taken: list[Any] = []
    for area in room.data.get("coverings") or ():
        over = (
            Polygon([(mm(x), mm(y)) for x, y in area["over"]]) if "over" in area else room.outline
        )
        floor = over.difference(shapely.union_all(taken)) if taken else over
        taken.append(over)
        if plan["materials"]["coverings"][area["covering"]].get("fixing") != "nailed":
            continue
        if any(strip.shape.intersection(floor).area > 1 for strip in room.strips.values()):
            continue
        if exceeds(length_within(line, width, floor), 1, 0.1):
            yield error("lead-under-nails", room.id, name, area["covering"])


def insulation_below(plan: Data, room: Drawn, most: float) -> float | None:
    """Return how thick a room's insulation is; UnclearError where `most` needs layers that end."""
    insulation = room.data.get("insulation")
    if not insulation or "board" not in insulation:
        return None
    board = plan["materials"]["boards"][insulation["board"]]
    if "thickness" not in board:
        return None
    whole = [each for each in insulation["layers"] if "courses" in each and "over" not in each]
    if most > mm(board["thickness"]) and len(whole) < len(insulation["layers"]):
        raise UnclearError
    return max(1, len(whole)) * mm(board["thickness"])


def _together(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge each lead with those before it by name, and with itself."""
    at_box = [Point(room.box).buffer(300, quad_segs=256)] if room.box else []
    before: list[Lead] = []
    for lead in sorted(room.leads.values(), key=lambda each: each.id):
        on = []
        if not lead.line.is_simple and exceeds(_doubled(lead, at_box), 0, 0):
            on.append(lead)
        for other in before:
            apart = (lead.width + other.width) / 2
            if lead.line.distance(other.line) > apart + 0.1:
                continue
            joints = {spot for spot, strip in lead.stops if strip}
            joints &= {spot for spot, strip in other.stops if strip}
            clear = shapely.union_all(
                [*at_box, *(Point(spot).buffer(100, quad_segs=256) for spot in joints)]
            )
            one, two = (
                shapely.union_all([body for _, body in bodies_of(each.line, each.width)])
                for each in (lead, other)
            )
            shared = one.intersection(two).difference(clear)
            if shared.area > 0 and exceeds(shared.area, 1, 1):
                on.append(other)
            elif shared.area == 0 and one.distance(two.difference(clear)) < 0.01:
                raise UnclearError
        before.append(lead)
        if on:
            deep = lead.thickness + max(each.thickness for each in on[-3:])
            board = insulation_below(plan, room, deep)
            thick = board is not None and exceeds(deep, board, 0.01)
            yield expect("lead-on-lead", room.id, lead.id, severity="error" if thick else "warning")


def _doubled(lead: Lead, at_box: list[Any]) -> float:
    """Return how much of a lead lies on itself, or a millimetre where it crosses itself."""
    joints = [Point(spot).buffer(100) for spot, strip in lead.stops if strip]
    clear = shapely.union_all([*at_box, *joints])
    pieces = [piece for piece, _ in bodies_of(lead.line, lead.width)]
    shared = [
        both
        for at, piece in enumerate(pieces)
        for after, other in enumerate(pieces[at + 1 :])
        if not (both := piece.intersection(other)).is_empty and (after > 0 or both.length > 0.01)
    ]
    left = shapely.union_all(shared).difference(clear)
    if left.is_empty:
        return -1.0
    return max(1.0, float(left.length))


def conduit_width(room: Drawn) -> float:
    """Return how wide the sensor's conduit lies, with its channel."""
    sensor = room.data["sensor"]
    told = [(sensor.get(key) or {}).get("width") for key in ("channel", "conduit")]
    return max([mm(each) for each in told if each is not None], default=0.01)


def way_faults(room: Drawn) -> Iterator[Expected]:
    """Judge the way of the sensor's conduit."""
    if len(room.sensor_way) < 2:
        return
    way, width = LineString(room.sensor_way), conduit_width(room)
    if exceeds(length_outside(way, width, room), 1, 0.1):
        yield error("sensor-way", room.id)
    for fixture in room.fixtures.values():
        hot = fixture.kind == "heat source"
        if meets(way, width, fixture) or (
            hot and exceeds(length_within(way, width, fixture.shape), 1, 0.1)
        ):
            yield error("sensor-way", room.id, fixture.id)
