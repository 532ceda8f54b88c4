"""Dimensions inside the room, each a line of its own beside what it sets out (ISO 129-1)."""

import math
from collections.abc import Iterable, Iterator, Sequence

import shapely
from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.dimensions import ABOVE, BELOW, CLEAR, TICK, draw_figure
from underfoot.drawing.labels import beside, is_within
from underfoot.drawing.lettering import SMALL, width_of
from underfoot.drawing.occupancy import (
    Patch,
    Taken,
    is_free,
    near,
    nothing_taken,
    take,
    touches,
    turned_patch,
)
from underfoot.drawing.outline import WALL
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import whole_length
from underfoot.drawing.svg import Point, area, group, line
from underfoot.drawing.tape import Measure, Wanted

# How far a line may lie off its place, along the wall that it starts at (mm on paper).
_SHIFTS = (0.0, 4.5, -4.5, 9.0, -9.0, 14.0, -14.0, 20.0, -20.0, 30.0, -30.0)
_SHARES = (0.5, 0.28, 0.72, 0.12, 0.88)
_GOOD = 3.0
_ON_WALL = 1.0
# Lines nearer than this that share so much of their way look like one.
_SIDE_BY_SIDE = 1.2
_SHARED = 1.5


class DrawnMeasure(Struct, frozen=True, kw_only=True):
    """A dimension at its place on paper: its line from wall to place, and its figure."""

    wanted: Wanted
    text: str
    foot: Point
    start: Point
    end: Point
    line: tuple[Point, Point]
    middle: Point
    turn_deg: float
    patch: Patch


class Grounds(Struct, frozen=True, kw_only=True):
    """What figures keep off: lettering and signs; other lines; and rather also `ways`.

    No line lies along one of the `ways`, which it would hide, or along another line.
    """

    taken: Taken
    lines: Taken
    ways: Taken


def place_measures(
    scene: Scene, wanted: Iterable[Wanted], grounds: Grounds
) -> tuple[list[DrawnMeasure], list[Wanted]]:
    """Find a place for each dimension; give also those that got none.

    No figure covers anything taken or lies on a line, and no line runs through a figure.
    """
    placed: list[DrawnMeasure] = []
    without: list[Wanted] = []
    figures = nothing_taken()
    for each in wanted:
        found = _find(scene, each, grounds, figures)
        if found is None:
            without.append(each)
            continue
        placed.append(found)
        take(grounds.taken, found.patch)
        take(figures, found.patch)
        for stroke in _strokes(found):
            take(grounds.lines, stroke)
    return placed, without


def _strokes(drawn: DrawnMeasure) -> Iterator[tuple[Point, Point]]:
    yield drawn.line
    if math.dist(drawn.foot, drawn.end) > 0.01:
        yield (drawn.foot, drawn.end)


def _find(scene: Scene, wanted: Wanted, grounds: Grounds, figures: Taken) -> DrawnMeasure | None:
    best: tuple[float, DrawnMeasure] | None = None
    for rank, way in enumerate(wanted.ways):
        for shift in _SHIFTS if way.may_shift else (0.0,):
            cost = _dearer(wanted, rank) + 0.3 * abs(shift)
            if best is not None and cost >= best[0]:
                continue
            if shift and not _is_on_wall(scene, way, shift):
                continue
            for extra, tried in _tries(scene, wanted, way, shift):
                if best is not None and cost + extra >= best[0]:
                    continue
                more = _cost(scene, tried, grounds, figures)
                if more is not None and (best is None or cost + extra + more < best[0]):
                    best = (cost + extra + more, tried)
        if best is not None and best[0] < _GOOD:
            break
    return None if best is None else best[1]


def _dearer(wanted: Wanted, rank: int) -> float:
    """Weigh a later way: one from the far wall is worse than one from the near wall elsewhere."""
    farther = wanted.ways[rank].length > wanted.ways[0].length + 1.0
    return min(0.4 * rank, 2.0) + (5.0 if farther else 0.0)


def _is_on_wall(scene: Scene, way: Measure, shift: float) -> bool:
    """Tell whether the shifted line still begins at the face of its wall."""
    (x, y), (u, v) = way.start, way.end
    long = math.dist(way.start, way.end)
    off = shift * scene.view.scale / long
    start = shapely.Point(x - (v - y) * off, y + (u - x) * off)
    return bool(scene.facts.floor.boundary.distance(start) <= _ON_WALL)


def _tries(
    scene: Scene, wanted: Wanted, way: Measure, shift: float
) -> Iterator[tuple[float, DrawnMeasure]]:
    """Yield the places of a figure on its line, else on the line drawn on past one of its ends."""
    first, foot = scene.view.places((way.start, way.end))
    long = math.dist(first, foot)
    dx, dy = (foot[0] - first[0]) / long, (foot[1] - first[1]) / long
    start = (first[0] + dy * shift, first[1] - dx * shift)
    end = (foot[0] + dy * shift, foot[1] - dx * shift)
    text = whole_length(way.length)
    wide = width_of(text, SMALL)
    turn = turn_upright(math.degrees(math.atan2(dy, dx)))

    def on(away: float) -> Point:
        return (start[0] + dx * away, start[1] + dy * away)

    def drawn(away: float, off: float, reach: tuple[Point, Point]) -> DrawnMeasure:
        middle = beside(on(away), off, turn)
        return DrawnMeasure(
            wanted=wanted,
            text=text,
            foot=foot,
            start=start,
            end=end,
            line=reach,
            middle=middle,
            turn_deg=turn,
            patch=turned_patch(middle, wide + CLEAR, SMALL * 0.82, turn),
        )

    half = wide / 2 + CLEAR + TICK
    if long >= 2 * half:
        for share in _SHARES:
            for extra, off in ((0.0, ABOVE), (0.3, BELOW)):
                away = half + (long - 2 * half) * share
                yield extra + abs(share - 0.5), drawn(away, off, (start, end))
        return
    outside, inside = -WALL - half + TICK, long + half
    for extra, off in ((0.0, ABOVE), (0.3, BELOW)):
        yield extra + 0.5, drawn(outside, off, (on(outside - wide / 2), end))
        yield extra + 1.0, drawn(inside, off, (start, on(inside + wide / 2)))


def turn_upright(turn: float) -> float:
    """Turn a text so that it is read from below or from the right."""
    turn = round(turn, 6)
    while turn >= 90.0:
        turn -= 180.0
    while turn < -90.0:
        turn += 180.0
    return turn or 0.0


def _cost(scene: Scene, tried: DrawnMeasure, grounds: Grounds, figures: Taken) -> float | None:
    """Weigh a place; None where it covers something or is crossed."""
    if not is_within(scene.bounds, tried.patch) or not is_free(grounds.taken, tried.patch):
        return None
    if not is_free(grounds.lines, tried.patch):
        return None
    cost = 0.8 * min(touches(grounds.ways, tried.patch), 4)
    for stroke in _strokes(tried):
        if not is_free(figures, stroke):
            return None
        cost += 3.0 * touches(grounds.taken, stroke) + 0.7 * touches(grounds.lines, stroke)
        for ground in (grounds.ways, grounds.lines):
            cost += 8.0 * sum(_lies_along(stroke, other) for other in near(ground, stroke))
    return cost


def _lies_along(one: Patch, other: Patch) -> bool:
    """Tell whether two lines run side by side, so near that they look like one."""
    (x, y), (u, v) = one
    long = math.dist((x, y), (u, v))
    if long < 1e-6:
        return False
    dx, dy = (u - x) / long, (v - y) / long
    along = [dx * (px - x) + dy * (py - y) for px, py in other]
    off = [abs(dx * (py - y) - dy * (px - x)) for px, py in other]
    shared = min(max(along), long) - max(min(along), 0.0)
    return max(off) < _SIDE_BY_SIDE and shared > _SHARED


def measure_lines(placed: Sequence[DrawnMeasure]) -> list[tuple[Point, Point]]:
    """Return every line of the dimensions."""
    return [stroke for each in placed for stroke in _strokes(each)]


def draw_measure(drawn: DrawnMeasure) -> str:
    """Draw a dimension with its strokes, and its figure on a plate."""
    strokes = [*_strokes(drawn)]
    return group(
        *(
            line(stroke, stroke=pens.PAPER, stroke_width=0.8, stroke_opacity=0.75)
            for stroke in strokes
        ),
        *(line(stroke, stroke=pens.INK, stroke_width=pens.HAIR) for stroke in strokes),
        *(_tick(at, drawn) for at in (drawn.start, drawn.end)),
        area(drawn.patch, fill=pens.PAPER, fill_opacity=0.86, class_="plate"),
        group(draw_figure(drawn.text, drawn.middle, drawn.turn_deg), fill=pens.INK),
        class_="measure",
        data_dimension=drawn.wanted.what,
    )


def _tick(at: Point, drawn: DrawnMeasure) -> str:
    """Draw the stroke at an end, at half a right angle to the line."""
    (x, y), (u, v) = drawn.start, drawn.end
    long = math.dist(drawn.start, drawn.end)
    dx, dy = (u - x) / long * TICK, (v - y) / long * TICK
    across, down = dx + dy, dy - dx
    return line(
        [(at[0] - across, at[1] - down), (at[0] + across, at[1] + down)],
        **pens.pen(pens.INK, pens.MIDDLE),
    )
