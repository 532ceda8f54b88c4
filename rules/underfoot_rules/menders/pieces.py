"""Boards and sheets laid piece by piece: lengthened, moved or added where floor lies bare."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.rules import Edit, format_quantity
from underfoot_rules.menders.written import Path, change, look_up, write_length, write_point

Box = tuple[float, float, float, float]

# Sides that lie within this of each other lie in line, and what is no wider is no gap (mm).
_IN_LINE = 1.0
# A course that leaves so much bare along it was laid to the wrong line.
_OFF_LINE = 120.0


class Piece(Struct, frozen=True, kw_only=True):
    """A piece with its path in the plan, the way its length runs (0 along x) and where it lies."""

    name: str
    path: Path
    axis: int
    box: Box


class Sizes(Struct, frozen=True, kw_only=True):
    """How long and how wide a piece may be; `lap` is how far it goes over its neighbours."""

    length: float
    width: float
    lap: float = 0.0


def list_pieces(
    data: Mapping[str, Any], path: Path, names: Sequence[str], shapes: Any
) -> list[Piece]:
    """List the pieces that are written at a path and lie along x or y."""
    told = look_up(data, path) or {}
    return [
        Piece(
            name=name,
            path=(*path, name),
            axis=0 if told[name]["along"] == "x" else 1,
            box=tuple(shapely.bounds(shape).tolist()),
        )
        for name, shape in zip(names, shapes, strict=True)
        if name in told and told[name]["along"] in ("x", "y")
    ]


def cover_bare(
    data: Mapping[str, Any], path: Path, pieces: list[Piece], bare: Any, sizes: Sizes, what: str
) -> tuple[str, tuple[Edit, ...]] | None:
    """Cover what lies bare, part by part: longer pieces, a course moved, pieces added.

    Gives what to do, with the edits; None where a part of it cannot be covered.
    """
    said: list[str] = []
    edits: list[Edit] = []
    for part in sorted(shapely.get_parts(bare), key=lambda each: each.bounds):
        if part.area < 1.0 or min(_sides(part.bounds)) < 0.01:
            continue
        found = (
            _lengthen(data, pieces, part.bounds, sizes)
            or _move_course(data, pieces, part.bounds)
            or _add(data, path, pieces, part.bounds, sizes, what, len(edits))
        )
        if found is None:
            return None
        said.append(found[0])
        edits += found[1]
    return (" ".join(said), tuple(edits)) if edits else None


def write_box(data: Mapping[str, Any], piece: Piece, box: Box) -> Iterator[Edit]:
    """Write where a piece lies and how large it is, as far as that is otherwise than before."""
    told = look_up(data, piece.path)
    if math.dist(box[:2], piece.box[:2]) > 1e-3:
        at = write_point(box[0], box[1], told["at"])
        yield Edit(op="replace", path=(*piece.path, "at"), value=at)
    for key, axis in (("length", piece.axis), ("width", 1 - piece.axis)):
        size, was = _sides(box)[axis], _sides(piece.box)[axis]
        if abs(size - was) > 1e-3:
            value = write_length(size, told.get(key))
            yield change(data, (*piece.path, key), value)


def _lengthen(
    data: Mapping[str, Any], pieces: list[Piece], bare: Box, sizes: Sizes
) -> tuple[str, list[Edit]] | None:
    """Make the piece beside a bare place so much longer that it covers it."""
    for piece in pieces:
        for axis in (piece.axis, 1 - piece.axis):
            low, high = axis, axis + 2
            across = (1 - axis, 3 - axis)
            touches = (
                bare[low] <= piece.box[high] + _IN_LINE and piece.box[low] <= bare[high] + _IN_LINE
            )
            within = (
                piece.box[across[0]] <= bare[across[0]] + 0.01
                and bare[across[1]] <= piece.box[across[1]] + 0.01
            )
            if not touches or not within:
                continue
            box = list(piece.box)
            box[low], box[high] = min(bare[low], box[low]), max(bare[high], box[high])
            most = sizes.length if axis == piece.axis else sizes.width
            if box[high] - box[low] > most + 1e-6:
                continue
            key = "long" if axis == piece.axis else "wide"
            size = format_quantity(round(box[high] - box[low], 1), "mm")
            edits = list(write_box(data, piece, (box[0], box[1], box[2], box[3])))
            return f"Make {piece.name} {size} {key}.", edits
    return None


def _move_course(
    data: Mapping[str, Any], pieces: list[Piece], bare: Box
) -> tuple[str, list[Edit]] | None:
    """Move the course beyond a narrow bare strip up to the one before."""
    axis = int(np.argmin(_sides(bare)))
    by = _sides(bare)[axis]
    if by > _OFF_LINE:
        return None
    for side, sign in ((axis, -1.0), (axis + 2, 1.0)):
        edge = bare[axis + 2] if side == axis else bare[axis]
        course = [piece for piece in pieces if abs(piece.box[side] - edge) < _IN_LINE]
        first = min((piece.box[1 - axis] for piece in course), default=math.inf)
        last = max((piece.box[3 - axis] for piece in course), default=-math.inf)
        if first > bare[1 - axis] + _IN_LINE or last < bare[3 - axis] - _IN_LINE:
            continue
        edits: list[Edit] = []
        for piece in course:
            box = list(piece.box)
            box[axis] += sign * by
            box[axis + 2] += sign * by
            edits += write_box(data, piece, (box[0], box[1], box[2], box[3]))
        names = (
            f"{course[0].name} to {course[-1].name}"
            if len(course) > 2
            else " and ".join(piece.name for piece in course)
        )
        way = (("left", "right"), ("down", "up"))[axis][sign > 0]
        where = f"to the {way}" if axis == 0 else way
        return f"Move {names} by {format_quantity(round(by, 1), 'mm')} {where}.", edits
    return None


def _add(
    data: Mapping[str, Any],
    path: Path,
    pieces: list[Piece],
    bare: Box,
    sizes: Sizes,
    what: str,
    number: int,
) -> tuple[str, list[Edit]] | None:
    """Cut pieces to fit a bare place, lapped over its neighbours where sheets are laid."""
    along = pieces[0].axis if pieces else int(np.argmax(_sides(bare)))
    low = [bare[0], bare[1]]
    size = list(_sides(bare))
    for axis in (0, 1):
        low[axis] -= sizes.lap
        size[axis] += 2 * sizes.lap
    if size[1 - along] > sizes.width + 1e-6 or (sizes.lap and size[along] > sizes.length):
        return None
    told = look_up(data, path) or {}
    edits: list[Edit] = []
    start, names = low[along], []
    while start < low[along] + size[along] - 1e-6:
        long = min(sizes.length, low[along] + size[along] - start)
        name = _new_name(told, what, number + len(edits) + 1)
        at = [start, low[1]] if along == 0 else [low[0], start]
        piece: dict[str, Any] = {"at": write_point(*at), "along": "xy"[along]}
        if sizes.lap or long < sizes.length - 1e-6:
            piece["length"] = write_length(long)
        if size[1 - along] < sizes.width - 1e-6:
            piece["width"] = write_length(size[1 - along])
        edits.append(Edit(op="add", path=(*path, name), value=piece))
        names.append(name)
        start += long
    return f"Add {' and '.join(names)} where the floor lies bare.", edits


def _new_name(told: Mapping[str, Any], what: str, number: int) -> str:
    while f"{what}{number}" in told:
        number += 1
    return f"{what}{number}"


def _sides(box: Iterable[float]) -> tuple[float, float]:
    x0, y0, x1, y1 = box
    return x1 - x0, y1 - y0
