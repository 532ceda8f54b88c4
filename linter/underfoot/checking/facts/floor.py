"""The facts of a floor's layers: boards and sheets as they really lie."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from underfoot.physics import courses, rectangles
from underfoot.plan import Courses, Piece, Room, Sheet

Floats = np.ndarray


@dataclass(frozen=True, slots=True)
class LaidBoards:
    """One layer of insulation: (n,) names, paths, whole rectangles, and what the room leaves.

    `course` (n,) is the number of a board's course from 1, None in a layer laid piece by piece.
    `unlaid` is True where the board's size is not known, so that courses cannot be laid.
    """

    path: str
    names: tuple[str, ...]
    paths: tuple[str, ...]
    corners: Floats
    polygons: Floats
    along: str | None = None
    course: Floats | None = None
    unlaid: bool = False


@dataclass(frozen=True, slots=True)
class LaidSheets:
    """The sheets of a vapour barrier: (n,) names, paths, whole rectangles as polygons.

    `unlaid` is True where runs have no width, their sheet not being given.
    """

    names: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()
    corners: Floats = field(default_factory=lambda: np.empty((0, 4, 2)))
    polygons: Floats = field(default_factory=lambda: np.empty(0, dtype=object))
    unlaid: bool = False


@dataclass(frozen=True, slots=True)
class Lap:
    """How two neighbouring sheets lie: the width of their lap, 0 with the gap between them."""

    first: int
    second: int
    width: float
    gap: float
    shape: Any


def lay_boards(room: Room, outline: Polygon) -> tuple[LaidBoards, ...]:
    """Lay every layer of a room's insulation, from the subfloor up."""
    insulation = room.insulation
    if insulation is None:
        return ()
    laid = []
    for number, layer in enumerate(insulation.layers, 1):
        if isinstance(layer, Courses):
            if insulation.board is None:
                empty = np.empty((0, 4, 2))
                laid.append(
                    LaidBoards(layer.path, (), (), empty, rectangles.polygons(empty), unlaid=True)
                )
                continue
            region = outline if layer.over is None else Polygon(layer.over)
            length, width = insulation.board.size
            found = courses.lay_courses(region, length, width, layer.along, layer.stagger)
            names = tuple(
                f"{number}-{course}-{board}"
                for course, board in zip(
                    found.course.tolist(), found.board.tolist(), strict=True
                )
            )
            laid.append(
                LaidBoards(
                    layer.path,
                    names,
                    (layer.path,) * len(names),
                    found.corners,
                    found.polygons,
                    layer.along,
                    found.course,
                )
            )
        else:
            corners = _corners(layer.pieces)
            laid.append(
                LaidBoards(
                    layer.path,
                    tuple(piece.id for piece in layer.pieces),
                    tuple(piece.path for piece in layer.pieces),
                    corners,
                    rectangles.polygons(corners),
                )
            )
    return tuple(laid)


def lay_sheets(room: Room, outline: Polygon) -> LaidSheets:
    """Lay the runs and pieces of a room's membrane."""
    membrane = room.membrane
    if membrane is None:
        return LaidSheets()
    names: list[str] = []
    paths: list[str] = []
    corners: list[Floats] = []
    unlaid = False
    for runs in membrane.runs:
        if membrane.sheet is None:
            unlaid = True
            continue
        region = outline if runs.over is None else Polygon(runs.over)
        found = courses.lay_runs(region, membrane.sheet.width, runs.along, runs.overlap)
        start = len(names)
        names += [f"R{start + place}" for place in range(1, len(found.corners) + 1)]
        paths += [runs.path] * len(found.corners)
        corners.append(found.corners)
    names += [sheet.id for sheet in membrane.pieces]
    paths += [sheet.path for sheet in membrane.pieces]
    corners.append(_corners(membrane.pieces))
    all_corners = np.concatenate(corners)
    return LaidSheets(
        tuple(names), tuple(paths), all_corners, rectangles.polygons(all_corners), unlaid
    )


def find_laps(sheets: LaidSheets, outline: Polygon, minimum: float) -> tuple[Lap, ...]:
    """Find how neighbouring sheets lap, or how far apart they lie where within `minimum`.

    Sheets are neighbours where what they share, or the gap between them, lies in the room and
    no third sheet covers all of it.
    """
    from underfoot.physics.shapes import least_width

    polygons = sheets.polygons
    if len(polygons) < 2:
        return ()
    tree = shapely.STRtree(polygons)
    pairs = tree.query(polygons, predicate="dwithin", distance=minimum).T
    laps = []
    for i, j in sorted((int(i), int(j)) for i, j in pairs if i < j):
        shared = shapely.intersection(polygons[i], polygons[j])
        gap = 0.0
        if shared.area <= 1e-6:
            shared = shapely.shortest_line(polygons[i], polygons[j])
            gap = float(shared.length)
            shared = shared if gap > 0 else shapely.intersection(polygons[i], polygons[j])
            width = 0.0
        else:
            width = float(least_width(np.array([shared]))[0])
        if not shapely.intersects(outline, shared):
            continue
        if width > 0 and shapely.intersection(outline, shared).area <= 1e-6:
            continue
        others = [k for k in tree.query(shared, predicate="covered_by") if k not in (i, j)]
        if others:
            continue
        laps.append(Lap(i, j, width, gap, shared))
    return tuple(laps)


def _corners(pieces: tuple[Piece, ...] | tuple[Sheet, ...]) -> Floats:
    return rectangles.corners(
        np.array([piece.at for piece in pieces], dtype=float).reshape(-1, 2),
        np.array([piece.length for piece in pieces], dtype=float),
        np.array([piece.width for piece in pieces], dtype=float),
        np.array([piece.angle_deg for piece in pieces], dtype=float),
        np.array([piece.along == "y" for piece in pieces], dtype=bool),
    )
