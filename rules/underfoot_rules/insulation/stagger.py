"""The facts of brickwork: how the end joints of a room's boards lie, course by course."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct
from shapely import Polygon

from underfoot.api.physics import rectangles, shapes
from underfoot.api.plan import Board, Courses, Pieces
from underfoot_rules.insulation.near_joints import (
    NearJoints,
    count_neighbours,
    find_courses,
    find_near_joints,
)

if TYPE_CHECKING:
    from underfoot.api.facts import RoomFacts

_ALONG = {"x": np.array((1.0, 0.0)), "y": np.array((0.0, 1.0))}


class WorstJoint(Struct, frozen=True, kw_only=True):
    """The end joint of one course that lies nearest to one of the next, and how near.

    `boards` are the two that meet there, `others` the two at the joint that it is nearest to;
    `line` runs between the two joints.
    """

    boards: tuple[str, str]
    others: tuple[str, str]
    path: str
    offset: float
    line: Any


class LayerStagger(Struct, frozen=True, kw_only=True):
    """One layer: how many pairs of courses lie side by side, and the joints that lie too near.

    `board` is the length of the whole boards of a layer laid in courses, None of one laid piece by
    piece; `in_courses` is False where such pieces do not lie in courses.
    """

    number: int
    path: str
    neighbours: int
    board: float | None
    worst: tuple[WorstJoint, ...] = ()
    in_courses: bool = True


def find_stagger(room: RoomFacts, stagger: float) -> tuple[LayerStagger, ...]:
    """Find, layer by layer, the end joints nearer than `stagger` to one of the next course.

    A layer of courses without a board's size is left out.
    """
    insulation = room.drawn.insulation
    if insulation is None:
        return ()
    found = []
    for number, layer in enumerate(insulation.layers):
        if isinstance(layer, Courses):
            if insulation.board is None:
                continue
            if course_offset(layer, insulation.board) >= stagger - 1e-6:
                count = _count_courses(layer, insulation.board, room)
                found.append(
                    LayerStagger(
                        number=number + 1,
                        path=layer.path,
                        neighbours=count - 1,
                        board=insulation.board.size[0],
                    )
                )
                continue
            length = insulation.board.size[0]
        else:
            length = None
        found.append(_judge(room, number, layer, length, stagger))
    return tuple(found)


def course_offset(layer: Courses, board: Board) -> float:
    """Return how far the end joints of every second course lie from those of the others."""
    length = board.size[0]
    short = layer.stagger % length
    return min(short, length - short)


def _count_courses(layer: Courses, board: Board, room: RoomFacts) -> int:
    corners = layer.over or room.drawn.outline
    across = [y if layer.along == "x" else x for x, y in corners]
    return max(1, math.ceil((max(across) - min(across) - rectangles.EDGE) / board.size[1]))


def _judge(
    room: RoomFacts, number: int, layer: Courses | Pieces, length: float | None, stagger: float
) -> LayerStagger:
    laid = room.boards[number]
    along = None if laid.along is None else _ALONG[laid.along]
    courses = find_courses(laid.corners, along)
    if courses is None:
        return LayerStagger(
            number=number + 1,
            path=layer.path,
            neighbours=0,
            board=length,
            in_courses=not len(laid.corners),
        )
    floor = room.floor
    if isinstance(layer, Courses) and layer.over is not None:
        floor = shapes.clip(floor, Polygon(layer.over))[0]
    pairs = find_near_joints(courses, floor, room.outline, stagger)
    return LayerStagger(
        number=number + 1,
        path=layer.path,
        neighbours=count_neighbours(courses),
        board=length,
        worst=tuple(_choose(near, laid.names, laid.paths) for near in pairs),
    )


def _choose(
    near: tuple[NearJoints, ...], names: tuple[str, ...], paths: tuple[str, ...]
) -> WorstJoint:
    """Take the nearest; of joints equally near, and of the two courses, what the names decide.

    So the same boards are named whichever way the plan is turned. A joint is named by the course
    that is laid later, going by the names.
    """
    least = near[0].offset
    candidates = []
    for joints in near:
        if joints.offset > least + 1e-6:
            break
        ends = sorted(
            (sorted(ends, key=lambda board: _spelling(names[board])) for ends in
             (joints.first, joints.second)),
            key=lambda ends: [_spelling(names[board]) for board in ends],
        )  # fmt: skip
        candidates.append((ends[1], ends[0], joints))
    boards, others, joints = min(
        candidates, key=lambda each: [_spelling(names[board]) for board in (*each[0], *each[1])]
    )
    return WorstJoint(
        boards=(names[boards[0]], names[boards[1]]),
        others=(names[others[0]], names[others[1]]),
        path=paths[boards[0]],
        offset=joints.offset,
        line=joints.line,
    )


def _spelling(name: str) -> tuple[tuple[bool, int, str], ...]:
    """Sort numbers in a name by their value: ``B9`` before ``B10``."""
    parts: list[str] = []
    for sign in name:
        if parts and parts[-1][0].isdigit() == sign.isdigit():
            parts[-1] += sign
        else:
            parts.append(sign)
    return tuple((not p[0].isdigit(), int(p) if p[0].isdigit() else 0, p) for p in parts)
