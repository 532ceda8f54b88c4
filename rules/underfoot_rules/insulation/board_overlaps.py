"""Boards laid piece by piece: which of them lie on each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from underfoot.api.physics import neighbours
from underfoot.api.plan import Pieces

if TYPE_CHECKING:
    from underfoot.api.facts import RoomFacts


class BoardOverlaps(Struct, frozen=True, kw_only=True):
    """How many pairs of boards there are, and those that share area.

    `found` holds the place of the layer, those of two boards in it, and the least width of what
    they share.
    """

    pairs: int
    found: tuple[tuple[int, int, int, float], ...]


def find_board_overlaps(room: RoomFacts) -> BoardOverlaps:
    """Find the boards that lie on each other, layer by layer.

    Boards in courses are left out: laid one after another and cut at the walls, none lies on
    another.
    """
    pairs = 0
    found: list[tuple[int, int, int, float]] = []
    insulation = room.drawn.insulation
    for number, layer in enumerate(insulation.layers if insulation is not None else ()):
        if not isinstance(layer, Pieces):
            continue
        pairs += len(layer.pieces) * (len(layer.pieces) - 1) // 2
        overlaps = neighbours.overlaps(room.boards[number].corners)
        found += [
            (number, int(i), int(j), float(width))
            for (i, j), width in zip(overlaps.pairs, overlaps.width, strict=True)
        ]
    return BoardOverlaps(pairs=pairs, found=tuple(found))
