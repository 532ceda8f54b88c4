"""What a tape must find inside a room: strips that stop short, fixtures, sensor, leads.

Everything is measured square from walls; where no wall stands square, from two corners.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import (
    Block,
    find_blocks,
    gather,
    runs_along_y,
    side_of_wall,
    strung_together,
    wall_at,
)
from underfoot.drawing.svg import Point
from underfoot.plan import Stop

# What lies this near to a wall, or to the line of the last place, needs no dimension.
_NEAR = 1.0
# A wall within so much of a right angle (its cosine) is square to a way.
_SQUARE = 0.01
_FLAT = (0.5, 0.25, 0.75, 0.1, 0.9)
# A tape from two corners says more the nearer to a right angle its two ways meet (their sine).
_SHARPEST = 0.35


class Measure(Struct, frozen=True, kw_only=True):
    """A straight way from a wall's face or a corner to a place; `may_shift` along the wall."""

    start: Point
    end: Point
    may_shift: bool = True

    @property
    def length(self) -> float:
        """How long it is, in mm."""
        return math.dist(self.start, self.end)


class Wanted(Struct, frozen=True, kw_only=True):
    """A dimension of a thing; one of the `ways` is drawn, the best first."""

    layer: str
    item: str
    what: str
    ways: tuple[Measure, ...]

    @property
    def in_words(self) -> str:
        """Say the dimension, and between what it is taken."""
        best = self.ways[0]
        return (
            f"{best.length:.0f} from the {'wall' if best.may_shift else 'corner'} at "
            f"{best.start[0]:.0f}, {best.start[1]:.0f} to {best.end[0]:.0f}, {best.end[1]:.0f}"
        )


def find_wanted(facts: RoomFacts, layers: Collection[str]) -> list[Wanted]:
    """Find every dimension inside a room that the rows outside it do not give."""
    tape = _Tape(facts)
    finders = (
        ("strips", _strips),
        ("fixtures", _fixtures),
        ("fixtures", _joints),
        ("coverings", _coverings),
        ("controls", _controls),
        ("sensor", _sensor),
        ("leads", _leads),
    )
    return [each for layer, find in finders if layer in layers for each in find(facts, tape)]


class _Tape:
    """The faces that a tape can be held to, and the ways of the room."""

    def __init__(self, facts: RoomFacts) -> None:
        floor = facts.floor
        parts = [part for part in getattr(floor, "geoms", [floor]) if not part.is_empty]
        rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
        faces = [
            (ring.coords[place], ring.coords[place + 1])
            for ring in rings
            for place in range(len(ring.coords) - 1)
        ]
        self.faces = np.array(faces, dtype=float).reshape(-1, 2, 2)
        along = self.faces[:, 1] - self.faces[:, 0]
        self.lengths = np.hypot(along[:, 0], along[:, 1])
        self.along = along / np.where(self.lengths > 0, self.lengths, 1.0)[:, None]
        self.floor = floor.buffer(_NEAR, join_style="mitre")
        shapely.prepare(self.floor)
        self.corners = list(dict.fromkeys((x, y) for x, y in facts.outline.exterior.coords))
        self.angle = self._find_angle()

    def _find_angle(self) -> float:
        """Find the direction of the most walls, in degrees below 90; that of x where it is one."""
        shares: dict[float, float] = {}
        for (dx, dy), length in zip(self.along.tolist(), self.lengths.tolist(), strict=True):
            angle = round(math.degrees(math.atan2(dy, dx)) % 90.0, 1) % 90.0
            shares[angle] = shares.get(angle, 0.0) + length
        return max(shares, key=lambda angle: (round(shares[angle], 3), angle == 0.0, -angle))

    def axes(self) -> tuple[Point, Point]:
        """Give the two ways that the walls run."""
        return _axes(self.angle)

    def to_wall(self, at: Point, way: Point) -> Measure | None:
        """Measure from the first face that lies in a way, where it is square to it."""
        dx, dy = way
        start = self.faces[:, 0] - np.array(at)
        across = self.along[:, 0] * dy - self.along[:, 1] * dx
        with np.errstate(divide="ignore", invalid="ignore"):
            away = (self.along[:, 0] * start[:, 1] - self.along[:, 1] * start[:, 0]) / across
            spot = (dx * start[:, 1] - dy * start[:, 0]) / across
        hits = (
            (np.abs(across) > 1e-9)
            & (away > -_NEAR)
            & (spot >= -1e-3)
            & (spot <= self.lengths + 1e-3)
        )
        if not hits.any():
            return None
        # Of two faces that meet there, the square one.
        away = np.where(hits, away, np.inf)
        near = np.flatnonzero(hits & (away <= away.min() + 1e-3))
        face = int(near[np.argmax(np.abs(across[near]))])
        if abs(across[face]) < 1.0 - _SQUARE**2 / 2:
            return None
        far = max(float(away[face]), 0.0)
        return Measure(start=(at[0] + dx * far, at[1] + dy * far), end=at)

    def from_corners(self, at: Point) -> tuple[Measure, ...]:
        """Measure from two corners that see a place, those that fix it best."""
        seen = [
            Measure(start=corner, end=at, may_shift=False)
            for corner in self.corners
            if math.dist(corner, at) > _NEAR and self.floor.covers(shapely.LineString([corner, at]))
        ]
        pairs = [
            (abs(_sine(one, other)) < _SHARPEST, one.length + other.length, place, one, other)
            for place, one in enumerate(seen)
            for other in seen[place + 1 :]
        ]
        if not pairs:
            return tuple(seen[:1])
        *_, one, other = min(pairs, key=lambda pair: pair[:3])
        return (one, other)


def _axes(angle_deg: float) -> tuple[Point, Point]:
    angle = math.radians(angle_deg)
    cosine, sine = round(math.cos(angle), 12), round(math.sin(angle), 12)
    return (cosine, sine), (-sine, cosine)


def _sine(one: Measure, other: Measure) -> float:
    (x, y), (u, v), (at_x, at_y) = one.start, other.start, one.end
    return ((x - at_x) * (v - at_y) - (y - at_y) * (u - at_x)) / (one.length * other.length)


def _along(at: Point, axis: Point) -> float:
    return at[0] * axis[0] + at[1] * axis[1]


def _set_out(
    tape: _Tape, layer: str, item: str, what: str, places: Sequence[tuple[Point, bool]]
) -> Iterator[Wanted]:
    """Dimension the places of a line; those that are `known` say where it comes from."""
    last: Point | None = None
    for place, (at, known) in enumerate(places):
        if not known:
            after = places[place + 1][0] if place + 1 < len(places) else None
            for axis in tape.axes():
                if last is None or abs(_along(at, axis) - _along(last, axis)) > _NEAR:
                    spots = [at, *_level_with(at, after, axis)]
                    yield from _from_walls(tape, layer, item, what, spots, axis)
        last = at


def _level_with(at: Point, after: Point | None, axis: Point) -> list[Point]:
    """Give places further on where the line goes on at the same distance."""
    if after is None or abs(_along(at, axis) - _along(after, axis)) > _NEAR:
        return []
    return [
        (at[0] + (after[0] - at[0]) * share, at[1] + (after[1] - at[1]) * share)
        for share in (0.3, 0.6, 0.85)
    ]


def _from_walls(
    tape: _Tape, layer: str, item: str, what: str, spots: Sequence[Point], axis: Point
) -> Iterator[Wanted]:
    at = spots[0]
    ways = [
        tape.to_wall(spot, (sign * axis[0], sign * axis[1])) for sign in (-1, 1) for spot in spots
    ]
    square = sorted((way for way in ways if way is not None), key=lambda way: round(way.length, 3))
    if square and square[0].length <= _NEAR:
        return  # it lies on the wall
    if square:
        yield Wanted(layer=layer, item=item, what=what, ways=tuple(square))
        return
    for way in tape.from_corners(at):
        yield Wanted(layer=layer, item=item, what=what, ways=(way,))


def _edge_to_wall(
    tape: _Tape,
    layer: str,
    item: str,
    what: str,
    edge: Sequence[Point],
    way: Point,
    off: float = 0.0,
) -> Wanted | None:
    """Measure an edge from the wall that it looks at, at one of several places along it.

    The edge of what is a face itself is looked from a little `off` it.
    """
    (x, y), (u, v) = edge
    spots = [(x + (u - x) * share, y + (v - y) * share) for share in _FLAT]
    ways = [tape.to_wall((x + off * way[0], y + off * way[1]), way) for x, y in spots]
    found = tuple(
        Measure(start=each.start, end=spot)
        for each, spot in zip(ways, spots, strict=True)
        if each is not None and math.dist(each.start, spot) > 2 * _NEAR
    )
    return Wanted(layer=layer, item=item, what=what, ways=found) if found else None


def _strips(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    if not facts.elements:
        return
    if not facts.is_upright:
        yield from _turned(facts, tape)
        return
    blocks = find_blocks(facts)
    if not strung_together(blocks):
        for block in blocks:
            low_x, low_y, high_x, high_y = block.bounds
            yield from _edges(facts, tape, block, (low_x, low_y, high_x, high_y))
    for block in blocks:
        yield from _short(facts, tape, block)


def _edges(
    facts: RoomFacts, tape: _Tape, block: Block, bounds: tuple[float, float, float, float]
) -> Iterator[Wanted]:
    """Measure a block's lower left edges, where there are too many blocks for a row."""
    low_x, low_y, high_x, high_y = bounds
    name = facts.elements[block.places[0]].id
    for edge, way in (
        (((low_x, low_y), (low_x, high_y)), (-1.0, 0.0)),
        (((low_x, low_y), (high_x, low_y)), (0.0, -1.0)),
    ):
        found = _edge_to_wall(tape, "strips", name, f"strip {name}", edge, way)
        if found is not None:
            yield found


def _short(facts: RoomFacts, tape: _Tape, block: Block) -> Iterator[Wanted]:
    """Measure the stops of strips that end before their block does; neighbours together."""
    along = 1 if runs_along_y(facts.elements[block.places[0]]) else 0
    for far in (False, True):
        side = along + (2 if far else 0)
        way = (
            ((0.0, 1.0) if far else (0.0, -1.0)) if along else ((1.0, 0.0) if far else (-1.0, 0.0))
        )
        for run in _runs(facts, block, along, side):
            yield from _stop(facts, tape, run, along, side, way)


def _runs(facts: RoomFacts, block: Block, along: int, side: int) -> list[list[int]]:
    """Gather strips that stop short at one line, side by side."""
    boxes = facts.strip_boxes
    runs: list[list[int]] = []
    for place in block.places:
        stop = boxes[place][side]
        if abs(stop - block.bounds[side]) <= _NEAR:
            continue
        run = next(
            (
                run
                for run in reversed(runs)
                if abs(boxes[run[-1]][side] - stop) <= _NEAR
                and abs(boxes[run[-1]][3 - along] - boxes[place][1 - along]) <= _NEAR
            ),
            None,
        )
        if run is None:
            runs.append([place])
        else:
            run.append(place)
    return runs


def _stop(
    facts: RoomFacts, tape: _Tape, run: Sequence[int], along: int, side: int, way: Point
) -> Iterator[Wanted]:
    stop = facts.strip_boxes[run[0]][side]
    low = min(facts.strip_boxes[place][1 - along] for place in run)
    high = max(facts.strip_boxes[place][3 - along] for place in run)
    edge = ((low, stop), (high, stop)) if along else ((stop, low), (stop, high))
    first, last = facts.elements[run[0]].id, facts.elements[run[-1]].id
    name = first if first == last else f"{first} to {last}"
    found = _edge_to_wall(tape, "strips", first, f"stop of {name}", edge, way)
    if found is not None:
        yield found


def _turned(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    """Measure rows that run askew: square from walls that do so too, else from two corners."""
    angles: dict[float, list[int]] = {}
    for place, element in enumerate(facts.elements):
        turn = element.angle_deg + (90.0 if element.along == "y" else 0.0)
        angles.setdefault(round(turn % 180.0, 6), []).append(place)
    for angle, places in angles.items():
        ahead, aside = _axes(angle)
        back = {place: facts.corners[place] @ np.array([aside, ahead]).T for place in places}
        boxes = {
            place: [*turned.min(axis=0).tolist(), *turned.max(axis=0).tolist()]
            for place, turned in back.items()
        }
        order = sorted(places, key=lambda place: (boxes[place][0], boxes[place][1], place))
        for block in gather(boxes, order, 0):
            low_u, low_v, high_u, high_v = block.bounds

            def at(u: float, v: float, aside: Point = aside, ahead: Point = ahead) -> Point:
                return (u * aside[0] + v * ahead[0], u * aside[1] + v * ahead[1])

            first, last = facts.elements[block.places[0]].id, facts.elements[block.places[-1]].id
            start = boxes[block.places[0]][1]
            end = boxes[block.places[-1]][1]
            sides = [
                (first, ((low_u, low_v), (low_u, high_v)), (-aside[0], -aside[1])),
                (last, ((high_u, low_v), (high_u, high_v)), aside),
                (first, ((low_u, low_v), (high_u, low_v)), (-ahead[0], -ahead[1])),
            ]
            square = [
                _edge_to_wall(tape, "strips", name, f"strip {name}", [at(*a), at(*b)], way)
                for name, (a, b), way in sides
            ]
            if all(each is not None for each in square):
                yield from (each for each in square if each is not None)
                continue
            for name, u, v in ((first, low_u, start), (last, high_u, end)):
                for measure in tape.from_corners(at(u, v)):
                    yield Wanted(
                        layer="strips",
                        item=name,
                        what=f"corner of strip {name}",
                        ways=(measure,),
                    )


def _fixtures(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    """Measure the near edges of what stands or lies in a room, from the walls they look at."""
    for fixture, _ in facts.fixtures:
        for axis in tape.axes():
            spots = [_along(at, axis) for at in fixture.outline]
            ways = []
            touches = False
            for sign, stop in ((-1.0, min(spots)), (1.0, max(spots))):
                ends = [
                    (float(x), float(y))
                    for x, y in fixture.outline
                    if abs(_along((x, y), axis) - stop) <= _NEAR
                ]
                way = (sign * axis[0], sign * axis[1])
                edge = (ends[0], ends[-1])
                if _touches(facts, edge):
                    touches = True
                    continue
                off = 2 * _NEAR if fixture.stops_floor else 0.0
                name = fixture.id
                found = _edge_to_wall(tape, "fixtures", name, name, edge, way, off)
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
    return bool(facts.walls.distance(middle) <= _NEAR)


def _joints(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    for joint in facts.drawn.joints.values():
        places = [((float(x), float(y)), False) for x, y in joint.line]
        yield from _set_out(tape, "fixtures", joint.id, f"joint {joint.id}", places)


def _coverings(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    for each in facts.drawn.coverings:
        if each.over is not None:
            places = [((float(x), float(y)), False) for x, y in each.over]
            first = (places[-1][0], True)
            name = each.covering.id
            found = _set_out(tape, "coverings", name, f"edge of {name}", [first, *places])
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


def _controls(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
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
            yield from _set_out(tape, "controls", item, name, [(at, False)])
            continue
        corner = min(wall, key=lambda end: math.dist(end, at))
        if math.dist(corner, at) > _NEAR:
            way = Measure(start=corner, end=at, may_shift=False)
            yield Wanted(layer="controls", item=item, what=name, ways=(way,))


def _route(facts: RoomFacts, stops: Sequence[Stop]) -> list[tuple[Point, bool]]:
    places = []
    for stop in stops:
        at = facts.place_of_stop(stop)
        if at is not None:
            places.append(((float(at[0]), float(at[1])), stop.kind != "bend"))
    return places


def _sensor(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    sensor = facts.drawn.sensor
    if sensor is not None:
        places = [*_route(facts, sensor.route), (sensor.at, False)]
        yield from _set_out(tape, "sensor", "sensor", "sensor and its channel", places)


def _leads(facts: RoomFacts, tape: _Tape) -> Iterator[Wanted]:
    """Measure the bends of leads; what several leads share once."""
    seen: set[tuple[float, ...]] = set()
    for laid in facts.leads:
        lead = laid.lead
        for each in _set_out(tape, "leads", lead.id, f"lead {lead.id}", _route(facts, lead.route)):
            best = each.ways[0]
            way = (best.end[0] - best.start[0], best.end[1] - best.start[1])
            straight = 0 if abs(way[0]) > abs(way[1]) else 1
            # The same way off the same wall.
            key = (
                float(straight),
                round(best.start[straight], 1),
                round(best.end[straight], 1),
            )
            if best.may_shift and key in seen:
                continue
            seen.add(key)
            yield each
