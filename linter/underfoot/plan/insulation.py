"""Insulation boards below the strips and the vapour barrier above them, as the plan states them.

Courses and runs stay what the plan says; laying them out is geometry, done once in the facts.
"""

from msgspec import Struct

from underfoot.plan.materials import Board, MembraneRoll

Corners = tuple[tuple[float, float], ...]


class _Laid(Struct, frozen=True, kw_only=True):
    id: str
    path: str
    at: tuple[float, float]
    along: str
    length: float
    width: float
    angle_deg: float = 0.0
    note: str | None = None


class BoardPiece(_Laid, frozen=True, kw_only=True):
    """One board laid by hand; `length` and `width` are the board's unless cut."""


class MembraneSheet(_Laid, frozen=True, kw_only=True):
    """One sheet of the vapour barrier laid by hand; `width` is the roll's unless cut."""


class Courses(Struct, frozen=True, kw_only=True):
    """A layer laid in courses over the whole outline, or over part of it."""

    path: str
    along: str
    stagger: float = 0.0
    over: Corners | None = None
    note: str | None = None


class Pieces(Struct, frozen=True, kw_only=True):
    """A layer laid piece by piece."""

    path: str
    pieces: tuple[BoardPiece, ...]
    note: str | None = None


class Insulation(Struct, frozen=True, kw_only=True):
    """The boards of a room, layers from the subfloor up."""

    path: str
    board: Board | None
    layers: tuple[Courses | Pieces, ...]
    joints_taped: bool | None = None
    note: str | None = None


class Runs(Struct, frozen=True, kw_only=True):
    """Sheets laid side by side from the low side, each lapping the last by `overlap`."""

    path: str
    along: str
    overlap: float = 0.0
    over: Corners | None = None
    note: str | None = None


class Membrane(Struct, frozen=True, kw_only=True):
    """The vapour barrier of a room: runs, pieces, or both."""

    path: str
    sheet: MembraneRoll | None
    runs: tuple[Runs, ...] = ()
    pieces: tuple[MembraneSheet, ...] = ()
    overlaps_taped: bool | None = None
    perimeter_taped: bool | None = None
    note: str | None = None
