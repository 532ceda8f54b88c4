"""Dimensions in DXF: in rows outside the room, and inside it from walls and corners."""

import math
from collections.abc import Collection, Iterator
from typing import Any

import shapely
from msgspec import Struct
from shapely import affinity

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import Chain, find_chains
from underfoot.drawing.dxf_marks import SMALL_LETTERS, draw_line, write
from underfoot.drawing.measures import turn_upright
from underfoot.drawing.setting_out import find_wanted
from underfoot.drawing.strips import whole_length, written_span
from underfoot.drawing.svg import Point
from underfoot.drawing.tape import Measure, Wanted

_LAYER = "dimensions"
_FIRST_CHAIN, _NEXT_CHAIN, _TICK = 500.0, 300.0, 40.0
# A figure's middle over its line; what it covers, as shares of its letters' height.
_OVER, _WIDE, _HIGH = 0.9 * SMALL_LETTERS, 0.75, 1.3
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)


class _Figure(Struct, frozen=True, kw_only=True):
    """A dimension's figure at a place that it may have."""

    way: Measure
    words: str
    middle: Point
    turn_deg: float
    covers: Any


def draw_dimensions(space: Any, facts: RoomFacts, layers: Collection[str]) -> None:
    """Draw every dimension of a room's sheet."""
    for chain in find_chains(facts):
        _draw_row(space, facts, chain)
    covered = [_strip_name(facts, place) for place in range(len(facts.elements))]
    for wanted in find_wanted(facts, layers):
        figure = _find_figure(wanted, covered)
        covered.append(figure.covers)
        _draw_inside(space, figure, f"dimension of {wanted.what}")


def _draw_row(space: Any, facts: RoomFacts, chain: Chain) -> None:
    low_x, low_y, high_x, high_y = facts.outline.bounds
    away = _FIRST_CHAIN + chain.level * _NEXT_CHAIN
    base = {
        "left": low_x - away,
        "above": high_y + away,
        "right": high_x + away,
        "below": low_y - away,
    }[chain.side]

    def at(stop: float, off: float = 0.0) -> Point:
        return (stop, base + off) if chain.along_x else (base + off, stop)

    draw_line(space, [at(chain.stops[0]), at(chain.stops[-1])], _LAYER)
    for stop in chain.stops:
        _draw_tick(space, at(stop), 0.0)
    for start, end in zip(chain.stops, chain.stops[1:], strict=False):
        place = at((start + end) / 2, SMALL_LETTERS if chain.along_x else -SMALL_LETTERS)
        turn = 0.0 if chain.along_x else 90.0
        write(space, written_span(start, end), place, _LAYER, SMALL_LETTERS, turn)


def _draw_tick(space: Any, at: Point, turn_deg: float) -> None:
    """Draw the stroke at an end, at half a right angle to a line that runs so."""
    angle = math.radians(turn_deg + 45.0)
    x, y = _TICK * math.sqrt(2) * math.cos(angle), _TICK * math.sqrt(2) * math.sin(angle)
    draw_line(space, [(at[0] - x, at[1] - y), (at[0] + x, at[1] + y)], _LAYER)


def _strip_name(facts: RoomFacts, place: int) -> Any:
    """Give about what a strip's name covers: the middle of the strip."""
    start, end = shapely.LineString(facts.connections[place]).coords
    middle = shapely.LineString([start, end]).centroid
    long = min(800.0, 0.8 * math.dist(start, end))
    name = shapely.box(middle.x - long / 2, middle.y - 50.0, middle.x + long / 2, middle.y + 50.0)
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    return affinity.rotate(name, angle, origin=middle)


def _find_figure(wanted: Wanted, covered: list[Any]) -> _Figure:
    """Find the first place that covers no other figure; where there is none, the first of all."""
    places = list(_figures(wanted))
    free = (each for each in places if not any(each.covers.intersects(other) for other in covered))
    return next(free, places[0])


def _figures(wanted: Wanted) -> Iterator[_Figure]:
    """List places for a figure: over and under its line, of the ways that are as short."""
    for way in wanted.ways:
        if way.length > wanted.ways[0].length + 1.0:
            continue
        (x, y), (u, v) = way.start, way.end
        words = whole_length(way.length)
        turn = turn_upright(math.degrees(math.atan2(v - y, u - x)))
        wide, high = len(words) * _WIDE * SMALL_LETTERS, _HIGH * SMALL_LETTERS
        angle = math.radians(turn)
        for share in _SHARES:
            for over in (_OVER, -_OVER):
                middle = (
                    x + (u - x) * share - over * math.sin(angle),
                    y + (v - y) * share + over * math.cos(angle),
                )
                box = shapely.box(
                    middle[0] - wide / 2,
                    middle[1] - high / 2,
                    middle[0] + wide / 2,
                    middle[1] + high / 2,
                )
                covers = affinity.rotate(box, turn, origin=middle)
                yield _Figure(way=way, words=words, middle=middle, turn_deg=turn, covers=covers)


def _draw_inside(space: Any, figure: _Figure, name: str) -> None:
    """Draw a dimension inside the room from its wall or corner to what it sets out."""
    draw_line(space, [figure.way.start, figure.way.end], _LAYER, name)
    for at in (figure.way.start, figure.way.end):
        _draw_tick(space, at, figure.turn_deg)
    write(space, figure.words, figure.middle, _LAYER, SMALL_LETTERS, figure.turn_deg)
