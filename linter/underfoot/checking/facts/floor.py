"""The facts of a floor's layers: boards and sheets as they really lie."""

from typing import Any

import numpy as np
from msgspec import Struct
from shapely import Polygon

from underfoot.physics import courses, heated, rectangles
from underfoot.plan import BoardPiece, Courses, MembraneSheet, Room

Floats = np.ndarray

_NO_CORNERS = np.empty((0, 4, 2))
_NO_POLYGONS = np.empty(0, dtype=object)


class LaidBoards(Struct, frozen=True, kw_only=True):
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

    @property
    def together(self) -> Any:
        """What the whole rectangles cover together."""
        return heated.joined(self.corners)


class LaidSheets(Struct, frozen=True, kw_only=True):
    """The sheets of a vapour barrier: (n,) names, paths, whole rectangles as polygons.

    `unlaid` is True where runs have no width, their sheet not being given.
    """

    names: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()
    corners: Floats = _NO_CORNERS
    polygons: Floats = _NO_POLYGONS
    unlaid: bool = False

    @property
    def together(self) -> Any:
        """What the sheets cover together."""
        return heated.joined(self.corners)


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
                    LaidBoards(
                        path=layer.path,
                        names=(),
                        paths=(),
                        corners=empty,
                        polygons=rectangles.polygons(empty),
                        unlaid=True,
                    )
                )
                continue
            region = outline if layer.over is None else Polygon(layer.over)
            length, width = insulation.board.size
            found = courses.lay_courses(region, length, width, layer.along, layer.stagger)
            names = tuple(
                f"{number}-{course}-{board}"
                for course, board in zip(found.course.tolist(), found.board.tolist(), strict=True)
            )
            laid.append(
                LaidBoards(
                    path=layer.path,
                    names=names,
                    paths=(layer.path,) * len(names),
                    corners=found.corners,
                    polygons=found.polygons,
                    along=layer.along,
                    course=found.course,
                )
            )
        else:
            corners = _corners(layer.pieces)
            laid.append(
                LaidBoards(
                    path=layer.path,
                    names=tuple(piece.id for piece in layer.pieces),
                    paths=tuple(piece.path for piece in layer.pieces),
                    corners=corners,
                    polygons=rectangles.polygons(corners),
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
        names=tuple(names),
        paths=tuple(paths),
        corners=all_corners,
        polygons=rectangles.polygons(all_corners),
        unlaid=unlaid,
    )


def _corners(pieces: tuple[BoardPiece, ...] | tuple[MembraneSheet, ...]) -> Floats:
    return rectangles.corners(
        np.array([piece.at for piece in pieces], dtype=float).reshape(-1, 2),
        np.array([piece.length for piece in pieces], dtype=float),
        np.array([piece.width for piece in pieces], dtype=float),
        np.array([piece.angle_deg for piece in pieces], dtype=float),
        np.array([piece.along == "y" for piece in pieces], dtype=bool),
    )
