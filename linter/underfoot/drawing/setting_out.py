"""What a tape must find inside a room: strips that stop short, fixtures, sensor, leads."""

import math
from collections.abc import Collection, Iterator, Sequence

import shapely

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import is_turned, side_of_wall, wall_at
from underfoot.drawing.setting_out_strips import set_out_strips
from underfoot.drawing.svg import Point
from underfoot.drawing.tape import NEAR, Measure, Tape, Wanted, along_axis, edge_to_wall, set_out
from underfoot.plan import Stop

# A room of more corners than this is known by its walls' lengths alone.
_MOST_CORNERS = 8


def find_wanted(facts: RoomFacts, layers: Collection[str]) -> list[Wanted]:
    """Find every dimension inside a room that the rows outside it do not give."""
    tape = Tape(facts)
    finders = (
        ("strips", set_out_strips),
        ("fixtures", _fixtures),
        ("fixtures", _joints),
        ("coverings", _coverings),
        ("controls", _controls),
        ("sensor", _sensor),
        ("leads", _leads),
        ("dimensions", _diagonals),
    )
    return [each for layer, find in finders if layer in layers for each in find(facts, tape)]


def _fixtures(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Measure the near edges of what stands or lies in a room, from the walls they look at."""
    for fixture, _ in facts.fixtures:
        for axis in tape.axes():
            spots = [along_axis(at, axis) for at in fixture.outline]
            ways = []
            touches = False
            for sign, stop in ((-1.0, min(spots)), (1.0, max(spots))):
                ends = [
                    (float(x), float(y))
                    for x, y in fixture.outline
                    if abs(along_axis((x, y), axis) - stop) <= NEAR
                ]
                way = (sign * axis[0], sign * axis[1])
                edge = (ends[0], ends[-1])
                if _touches(facts, edge):
                    touches = True
                    continue
                off = 2 * NEAR if fixture.stops_floor else 0.0
                name = fixture.id
                found = edge_to_wall(tape, "fixtures", name, name, edge, way, off)
                if found is not None:
                    ways.append(found)
            if ways and not touches:
                best = sorted(ways, key=lambda each: each.ways[0].length)
                yield Wanted(
                    layer="fixtures",
                    item=fixture.id,
                    what=fixture.id,
                    ways=tuple(way for each in best for way in each.ways),
                )


def _touches(facts: RoomFacts, edge: Sequence[Point]) -> bool:
    (x, y), (u, v) = edge
    middle = shapely.Point((x + u) / 2, (y + v) / 2)
    return bool(facts.walls.distance(middle) <= NEAR)


def _joints(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    for joint in facts.drawn.joints.values():
        places = [((float(x), float(y)), False) for x, y in joint.line]
        yield from set_out(tape, "fixtures", joint.id, f"joint {joint.id}", places)


def _coverings(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    for each in facts.drawn.coverings:
        if each.over is not None:
            places = [((float(x), float(y)), False) for x, y in each.over]
            first = (places[-1][0], True)
            name = each.covering.id
            found = set_out(tape, "coverings", name, f"edge of {name}", [first, *places])
            yield from _once(found)


def _once(found: Iterator[Wanted]) -> Iterator[Wanted]:
    """Leave out what has been measured: the other end of an edge."""
    seen = set()
    for each in found:
        best = each.ways[0]
        key = tuple(round(best.end[k] - best.start[k], 1) for k in (0, 1))
        if key not in seen:
            seen.add(key)
            yield each


def _controls(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Measure box and thermostat where no row outside the room does."""
    room = facts.drawn
    thermostat = room.thermostat
    own = thermostat is not None and thermostat.room in (None, room.id)
    places = {
        "junction box": facts.box,
        "thermostat": thermostat.at if thermostat is not None and own else None,
    }
    for name, at in places.items():
        if at is None or side_of_wall(facts, at) is not None:
            continue
        wall = wall_at(facts, at)
        item = name.replace(" ", "-")
        if wall is None:
            yield from set_out(tape, "controls", item, name, [(at, False)])
            continue
        corner = min(wall, key=lambda end: math.dist(end, at))
        if math.dist(corner, at) > NEAR:
            way = Measure(start=corner, end=at, may_shift=False)
            yield Wanted(layer="controls", item=item, what=name, ways=(way,))


def _route(facts: RoomFacts, stops: Sequence[Stop]) -> list[tuple[Point, bool]]:
    places = []
    for stop in stops:
        at = facts.place_of_stop(stop)
        if at is not None:
            places.append(((float(at[0]), float(at[1])), stop.kind != "bend"))
    return places


def _sensor(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    sensor = facts.drawn.sensor
    if sensor is not None:
        places = [*_route(facts, sensor.route), (sensor.at, False)]
        yield from set_out(tape, "sensor", "sensor", "sensor and its channel", places)


def _leads(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Measure the bends of leads; what several leads share once."""
    seen: set[tuple[float, ...]] = set()
    for laid in facts.leads:
        lead = laid.lead
        for each in set_out(tape, "leads", lead.id, f"lead {lead.id}", _route(facts, lead.route)):
            key = _line_of(each.ways[0])
            if key in seen:
                continue
            seen.add(key)
            yield each


def _diagonals(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Measure across a turned room whose walls are not square: their lengths say no angle."""
    ring = [(float(x), float(y)) for x, y in facts.outline.exterior.coords[:-1]]
    walls = zip(ring, ring[1:] + ring[:1], strict=True)
    ways = [((u - x) / math.dist(*wall), (v - y) / math.dist(*wall))
            for wall in walls for (x, y), (u, v) in [wall]]  # fmt: skip
    if not is_turned(facts) or len(ring) > _MOST_CORNERS or all(map(tape.is_aligned, ways)):
        return
    fans = []
    for place, corner in enumerate(ring):
        others = [ring[(place + step) % len(ring)] for step in range(2, len(ring) - 1)]
        fans.append([Measure(start=corner, end=other, may_shift=False) for other in others
                     if tape.sees(corner, other)])  # fmt: skip
    for way in max(fans, key=len):
        yield Wanted(layer="dimensions", item=facts.id, what="diagonal", ways=(way,))


def _line_of(way: Measure) -> tuple[float, ...]:
    """Return what is equal where the same way is measured off the same wall or the same place."""
    (x, y), (u, v) = way.start, way.end
    if not way.may_shift:
        return tuple(round(each, 1) for each in (x, y, u, v))
    dx, dy = (u - x) / way.length, (v - y) / way.length
    return (round(dx, 3), round(dy, 3), round(x * dx + y * dy, 1), round(way.length, 1))
