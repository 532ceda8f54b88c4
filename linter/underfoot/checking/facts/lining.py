"""Boards and sheets as they are cut: what of each lies on the floor, and which come from one."""

from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts

# What differs by less is the same size (mm), and what is smaller is no piece (mm2).
CLOSE = 0.5
_NO_PIECE = 1.0


class CutPiece(Struct, frozen=True, kw_only=True):
    """What of a board or sheet lies on the floor: its name, and its place among the others.

    `long` and `wide` are how far it reaches along and across the board or sheet, mm.
    """

    name: str
    place: int
    shape: Any
    long: float
    wide: float
    is_whole: bool

    @property
    def is_rectangle(self) -> bool:
        """Whether it is cut straight across and along, and nothing out of it."""
        return bool(self.shape.area > self.long * self.wide - CLOSE)


class CutBoards(Struct, frozen=True, kw_only=True):
    """A layer of boards as it is cut; `board` is a whole board's length and width, if known.

    `begun` are the boards that are cut: the pieces that come from each, by their place in
    `pieces`, the longest first. Each is as wide as a board; saw cuts are not counted.
    """

    board: tuple[float, float] | None
    pieces: tuple[CutPiece, ...]
    begun: tuple[tuple[int, ...], ...]

    @property
    def whole(self) -> int:
        """How many boards are laid whole."""
        return sum(piece.is_whole for piece in self.pieces)

    @property
    def count(self) -> int:
        """How many boards the layer takes."""
        return self.whole + len(self.begun)

    @property
    def laid(self) -> float:
        """How much floor the boards cover, each counted by itself, mm2."""
        return float(sum(piece.shape.area for piece in self.pieces))


@hangs_on("outline", "fixtures", "insulation")
def cut_boards(room: RoomFacts) -> tuple[CutBoards, ...]:
    """Cut each layer of boards to the floor, and the cut ones from as few boards as come to hand.

    The longest is cut first, from the first board that has enough left.
    """
    insulation = room.drawn.insulation
    size = insulation.board.size if insulation is not None and insulation.board else None
    return tuple(_cut_layer(room, layer.names, layer.corners, layer.polygons, size)
                 for layer in room.boards)  # fmt: skip


@hangs_on("outline", "fixtures", "membrane")
def cut_sheets(room: RoomFacts) -> tuple[CutPiece, ...]:
    """Return what of each sheet lies on the floor; `is_whole` where all of it does."""
    laid = room.sheets
    return _find_pieces(room, laid.names, laid.corners, laid.polygons, None)


@hangs_on("outline", "fixtures", "membrane")
def cut_lengths(room: RoomFacts) -> tuple[tuple[int, float], ...]:
    """Return how long each sheet that lies on the floor is cut, by its place, mm.

    One of a run is as long as what of it lies on the floor; one that is drawn as it is drawn.
    """
    membrane, sheets = room.drawn.membrane, room.sheets
    drawn = set() if membrane is None else {sheet.path for sheet in membrane.pieces}
    lengths = []
    for piece in cut_sheets(room):
        start, end = sheets.corners[piece.place][:2]
        is_drawn = sheets.paths[piece.place] in drawn
        lengths.append((piece.place, float(np.hypot(*(end - start))) if is_drawn else piece.long))
    return tuple(lengths)


def _cut_layer(
    room: RoomFacts,
    names: tuple[str, ...],
    corners: np.ndarray,
    polygons: Any,
    size: tuple[float, float] | None,
) -> CutBoards:
    pieces = _find_pieces(room, names, corners, polygons, size)
    begun: list[list[int]] = []
    left: list[float] = []
    if size is not None:
        cut = [(min(piece.long, size[0]), place) for place, piece in enumerate(pieces)
               if not piece.is_whole]  # fmt: skip
        for long, place in sorted(cut, key=lambda each: -each[0]):
            at = next((at for at, rest in enumerate(left) if rest >= long - CLOSE), None)
            if at is None:
                left.append(size[0] - long)
                begun.append([place])
            else:
                left[at] -= long
                begun[at].append(place)
    return CutBoards(board=size, pieces=pieces, begun=tuple(map(tuple, begun)))


def _find_pieces(
    room: RoomFacts,
    names: tuple[str, ...],
    corners: np.ndarray,
    polygons: Any,
    size: tuple[float, float] | None,
) -> tuple[CutPiece, ...]:
    """Find what lies on the floor; without a `size` whole is what lies as it is drawn."""
    shapes = shapely.intersection(polygons, room.floor)
    pieces = []
    for place, (name, ring, shape) in enumerate(zip(names, corners, shapes, strict=True)):
        if shape.area < _NO_PIECE:
            continue
        if shape.geom_type == "GeometryCollection":
            # It touches the floor's edge elsewhere too.
            shape = shapely.union_all([each for each in shape.geoms if each.area > 0])
        along, across = ring[1] - ring[0], ring[3] - ring[0]
        whole = np.hypot(*along) * np.hypot(*across) if size is None else size[0] * size[1]
        pieces.append(
            CutPiece(
                name=name,
                place=place,
                shape=shape,
                long=_reach(shape, along),
                wide=_reach(shape, across),
                is_whole=bool(shape.area > whole - CLOSE),
            )
        )
    return tuple(pieces)


def _reach(shape: Any, way: np.ndarray) -> float:
    """Return how far a shape reaches in a direction."""
    along = shapely.get_coordinates(shape) @ (way / np.hypot(*way))
    return float(along.max() - along.min())
