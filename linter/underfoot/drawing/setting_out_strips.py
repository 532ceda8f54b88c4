"""What a tape must find of strips: edges of many blocks, stops that are short, rows askew."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import Block, find_blocks, gather, runs_along_y, strung_together
from underfoot.drawing.svg import Point
from underfoot.drawing.tape import NEAR, Tape, Wanted, axes_at, edge_to_wall


def set_out_strips(facts: RoomFacts, tape: Tape) -> Iterator[Wanted]:
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
    facts: RoomFacts, tape: Tape, block: Block, bounds: tuple[float, float, float, float]
) -> Iterator[Wanted]:
    """Measure a block's lower left edges, where there are too many blocks for a row."""
    low_x, low_y, high_x, high_y = bounds
    name = facts.elements[block.places[0]].id
    for edge, way in (
        (((low_x, low_y), (low_x, high_y)), (-1.0, 0.0)),
        (((low_x, low_y), (high_x, low_y)), (0.0, -1.0)),
    ):
        found = edge_to_wall(tape, "strips", name, f"strip {name}", edge, way)
        if found is not None:
            yield found


def _short(facts: RoomFacts, tape: Tape, block: Block) -> Iterator[Wanted]:
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


def _stop(
    facts: RoomFacts, tape: Tape, run: Sequence[int], along: int, side: int, way: Point
) -> Iterator[Wanted]:
    stop = facts.strip_boxes[run[0]][side]
    low = min(facts.strip_boxes[place][1 - along] for place in run)
    high = max(facts.strip_boxes[place][3 - along] for place in run)
    edge = ((low, stop), (high, stop)) if along else ((stop, low), (stop, high))
    first, last = facts.elements[run[0]].id, facts.elements[run[-1]].id
    name = first if first == last else f"{first} to {last}"
    found = edge_to_wall(tape, "strips", first, f"stop of {name}", edge, way)
    if found is not None:
        yield found


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
                edge_to_wall(tape, "strips", name, f"strip {name}", [at(*a), at(*b)], way)
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
