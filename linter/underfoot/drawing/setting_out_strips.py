"""What a tape must find of strips: edges of many blocks, stops that are short, rows askew."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import (
    Block,
    find_blocks,
    gather,
    is_turned,
    runs_along_y,
    strung_together,
)
from underfoot.drawing.svg import Point
from underfoot.drawing.tape import NEAR, Tape, Wanted, axes_at, edge_to_wall

_Boxes = Mapping[int, Sequence[float]] | Sequence[Sequence[float]]


class _Frame(Struct, frozen=True, kw_only=True):
    """Two ways square to each other that strips run along, and the strips' bounds in them.

    `along` is which of the two the strips' length runs; the bounds are the least of both, then the
    greatest.
    """

    facts: RoomFacts
    tape: Tape
    boxes: _Boxes
    axes: tuple[Point, Point] = ((1.0, 0.0), (0.0, 1.0))
    along: int = 1

    def at(self, spot: Sequence[float]) -> Point:
        """Return a place of the room."""
        (ax, ay), (bx, by) = self.axes
        return (spot[0] * ax + spot[1] * bx, spot[0] * ay + spot[1] * by)

    def edge(self, axis: int, stop: float, low: float, high: float) -> tuple[Point, Point]:
        """Return a line square to an axis, at a stop on it."""
        if axis == 0:
            return (self.at((stop, low)), self.at((stop, high)))
        return (self.at((low, stop)), self.at((high, stop)))

    def to_wall(
        self, place: int, what: str, axis: int, far: bool, edge: Sequence[Point]
    ) -> Wanted | None:
        """Measure an edge of a strip or a block from the wall before it, along an axis."""
        x, y = self.axes[axis]
        way = (x, y) if far else (-x, -y)
        name = self.facts.elements[place].id
        return edge_to_wall(self.tape, "strips", name, what, edge, way)

    def from_corners(self, place: int, what: str, at: Point) -> Iterator[Wanted]:
        """Measure a place of a strip from two corners."""
        name = self.facts.elements[place].id
        for way in self.tape.from_corners(at):
            yield Wanted(layer="strips", item=name, what=what, ways=(way,))


def set_out_strips(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Find what sets out the strips that the rows outside the room do not."""
    if not facts.elements:
        return
    if not facts.is_upright or is_turned(facts):
        yield from _turned(facts, tape)
        return
    frame = _Frame(facts=facts, tape=tape, boxes=facts.strip_boxes)
    blocks = find_blocks(facts)
    if not strung_together(blocks):
        for block in blocks:
            yield from _edges(frame, block)
    for block in blocks:
        along = 1 if runs_along_y(facts.elements[block.places[0]]) else 0
        turned = _Frame(facts=facts, tape=tape, boxes=facts.strip_boxes, along=along)
        yield from _short(turned, block)


def _edges(frame: _Frame, block: Block) -> Iterator[Wanted]:
    """Measure a block's lower left edges, where there are too many blocks for a row."""
    low_x, low_y, high_x, high_y = block.bounds
    first = block.places[0]
    what = f"strip {frame.facts.elements[first].id}"
    for axis, stop, low, high in ((0, low_x, low_y, high_y), (1, low_y, low_x, high_x)):
        edge = frame.edge(axis, stop, low, high)
        found = frame.to_wall(first, what, axis, False, edge)
        if found is not None:
            yield found


def _short(frame: _Frame, block: Block, told: Sequence[int] = ()) -> Iterator[Wanted]:
    """Measure the stops of strips that end before their block does; neighbours together.

    `told` are the strips whose near stop is set out already.
    """
    for far in (False, True):
        side = frame.along + (2 if far else 0)
        for run in _runs(frame, block, side):
            if far or not set(told).intersection(run):
                yield from _stop(frame, run, side, far)


def _runs(frame: _Frame, block: Block, side: int) -> list[list[int]]:
    """Gather strips that stop short at one line, side by side."""
    boxes, along = frame.boxes, frame.along
    runs: list[list[int]] = []
    for place in block.places:
        stop = boxes[place][side]
        if abs(stop - block.bounds[side]) <= NEAR:
            continue
        run = next(
            (
                run
                for run in reversed(runs)
                if abs(boxes[run[-1]][side] - stop) <= NEAR
                and abs(boxes[run[-1]][3 - along] - boxes[place][1 - along]) <= NEAR
            ),
            None,
        )
        if run is None:
            runs.append([place])
        else:
            run.append(place)
    return runs


def _stop(frame: _Frame, run: Sequence[int], side: int, far: bool) -> Iterator[Wanted]:
    """Measure a stop from the wall before it, else from that behind it.

    Where neither is square, along the strip's edge from the wall ahead, else from two corners.
    """
    boxes, along = frame.boxes, frame.along
    low = min(boxes[place][1 - along] for place in run)
    high = max(boxes[place][3 - along] for place in run)
    edge = frame.edge(along, boxes[run[0]][side], low, high)
    first, last = frame.facts.elements[run[0]].id, frame.facts.elements[run[-1]].id
    what = f"stop of {first if first == last else f'{first} to {last}'}"
    for ahead in (far, not far):
        found = frame.to_wall(run[0], what, along, ahead, edge)
        if found is not None:
            yield found
            return
    x, y = frame.axes[along]
    way = frame.tape.along_edge(edge, (x, y) if far else (-x, -y))
    if way is not None:
        name = frame.facts.elements[run[0]].id
        yield Wanted(layer="strips", item=name, what=what, ways=(way,))
        return
    yield from frame.from_corners(run[0], what, edge[0])


def _turned(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
    """Measure rows that run askew: square from walls that do so too, else from two corners."""
    angles: dict[float, list[int]] = {}
    for place, element in enumerate(facts.elements):
        turn = element.angle_deg + (90.0 if element.along == "y" else 0.0)
        angles.setdefault(round(turn % 180.0, 6), []).append(place)
    for angle, places in angles.items():
        ahead, aside = axes_at(angle)
        back = {place: facts.corners[place] @ np.array([aside, ahead]).T for place in places}
        boxes = {
            place: [*turned.min(axis=0).tolist(), *turned.max(axis=0).tolist()]
            for place, turned in back.items()
        }
        frame = _Frame(facts=facts, tape=tape, boxes=boxes, axes=(aside, ahead))
        order = sorted(places, key=lambda place: (boxes[place][0], boxes[place][1], place))
        for block in gather(boxes, order, 0):
            yield from _block_askew(frame, block)


def _block_askew(frame: _Frame, block: Block) -> Iterator[Wanted]:
    """Measure both long sides of a block and its near stop, then what stops short in it."""
    low_u, low_v, high_u, high_v = block.bounds
    first, last = block.places[0], block.places[-1]
    names = {place: frame.facts.elements[place].id for place in (first, last)}
    square = [
        frame.to_wall(place, f"strip {names[place]}", axis, far, frame.edge(axis, stop, *ends))
        for place, axis, far, stop, ends in (
            (first, 0, False, low_u, (low_v, high_v)),
            (last, 0, True, high_u, (low_v, high_v)),
            (first, 1, False, low_v, (low_u, high_u)),
        )
    ]
    found = [each for each in square if each is not None]
    if len(found) == len(square):
        yield from found
        yield from _short(frame, block)
        return
    for place, u in ((first, low_u), (last, high_u)):
        at = frame.at((u, frame.boxes[place][1]))
        yield from frame.from_corners(place, f"corner of strip {names[place]}", at)
    yield from _short(frame, block, told=(first, last))
