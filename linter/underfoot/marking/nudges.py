"""Finds copies that were moved a little everywhere: which cells differ, and in what pattern.

A cell is one coordinate of a place, or one figure. Two plans that were drawn apart agree in some
cells by chance; how surprising that is follows from how the class itself chose.
"""

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.marking.content import Spot
from underfoot.marking.traits import RoomTraits, Traits
from underfoot.marking.turns import TURNS

# What was moved by no more is the same choice, touched up: a place (mm), a figure (its share).
NUDGE = 60.0
NUDGED_SHARE = 0.15
# Strips of a copy lie so near to the first one's, when all were moved together.
STRIPS_NEAR = 150.0
# So much of the free cells must be the same or touched up, and so many of them.
LEAST_NEAR = 0.85
LEAST_CELLS = 4
# A cell in which so many pairs of the class agree as well is not free.
NOT_FREE = 0.5
# The class counts as much as this many pairs against what one would think beforehand.
_BEFOREHAND = 5.0
# A place is free over about so much of a wall (mm).
_FREE_WALL = 2000.0

Cell = tuple[int, str, int]


class Near(Struct, frozen=True, kw_only=True):
    """How near two plans are: free cells that are the same, touched up, and all of them.

    `chance` is how often two plans of this class that were drawn apart would come so near.
    """

    same: int
    nudged: int
    cells: int
    chance: float
    farthest: float
    places: int = 0
    places_near: int = 0

    @property
    def share(self) -> float:
        """The part of the free cells that agree."""
        return (self.same + self.nudged) / self.cells if self.cells else 0.0

    @property
    def is_alike(self) -> bool:
        """Whether nearly all agrees, where the things are as well as what they measure."""
        enough = self.cells >= LEAST_CELLS and self.share >= LEAST_NEAR
        return enough and self.places_near >= LEAST_NEAR * self.places


class Spread:
    """How a class chose in every cell; `given` is what the brief itself has there."""

    def __init__(self, plans: Sequence[Traits], brief: Traits | None = None) -> None:
        self.given = dict(_list_cells(brief)) if brief is not None else {}
        self._figures = {id(traits): dict(_list_figures(traits)) for traits in plans}
        chosen: dict[Cell, list[float]] = {}
        for traits in plans:
            for cell, value in _list_cells(traits):
                chosen.setdefault(cell, []).append(value)
        self._chosen = {cell: sorted(values) for cell, values in chosen.items()}
        self._known: dict[tuple[Cell, float], float] = {}

    def figures_of(self, traits: Traits) -> dict[Cell, float]:
        """Return the figures of one of the class's plans by cell."""
        return self._figures[id(traits)]

    def chance(self, cell: Cell, apart: float, value: float) -> float:
        """Say how often two would be no farther apart in a cell, this pair itself aside."""
        key = cell, round(apart, 1)
        if key not in self._known:
            values = self._chosen.get(cell, [])
            pairs = len(values) * (len(values) - 1) // 2
            near = sum(
                bisect_right(values, one + apart + 0.5) - place - 1
                for place, one in enumerate(values)
            )
            before = min(1.0, _thought(cell, apart, value))
            known = (max(0, near - 1) + _BEFOREHAND * before) / (max(0, pairs - 1) + _BEFOREHAND)
            self._known[key] = min(1.0, known)
        return self._known[key]


def _thought(cell: Cell, apart: float, value: float) -> float:
    if cell[0] < 0:
        return 0.2 + 2 * apart / max(abs(value), 1e-9)
    return (2 * apart + 20) / _FREE_WALL


def _list_cells(traits: Traits) -> Iterator[tuple[Cell, float]]:
    for number, room in enumerate(traits.rooms):
        yield from _list_places(number, room)
    yield from _list_figures(traits)


def _list_places(number: int, room: RoomTraits) -> Iterator[tuple[Cell, float]]:
    met: dict[str, int] = {}
    for kind, (x, y) in room.spots:
        met[kind] = place = met.get(kind, -1) + 1
        yield (number, f"{kind} {place}", 0), x
        yield (number, f"{kind} {place}", 1), y


def _list_figures(traits: Traits) -> Iterator[tuple[Cell, float]]:
    met: dict[str, int] = {}
    for name, value in traits.figures:
        met[name] = place = met.get(name, -1) + 1
        yield (-1, f"{name} {place}", 0), value


def measure_near(ours: Traits, theirs: Traits, spread: Spread) -> Near | None:
    """Say how near two plans are; None where they are not built alike."""
    if len(ours.rooms) != len(theirs.rooms):
        return None
    counted = _Count(spread, spread.given)
    mine, yours = spread.figures_of(ours), spread.figures_of(theirs)
    for cell, value in yours.items():
        counted.add(cell, mine.get(cell), value, NUDGED_SHARE * abs(value))
    for cell in mine:
        if cell not in yours:
            counted.add(cell, mine[cell], None, 0.0)
    places = 2 * max(sum(len(room.spots) for room in one.rooms) for one in (ours, theirs))
    if counted.cells - counted.near > (1 - LEAST_NEAR) * (counted.cells + places):
        return None  # however the places may lie
    for number, (one, other) in enumerate(zip(ours.rooms, theirs.rooms, strict=True)):
        turned = _turn_onto(one, other)
        if turned is None:
            return None
        here, there = dict(_list_places(number, turned)), dict(_list_places(number, other))
        for cell in sorted({*here, *there}):
            counted.add(cell, here.get(cell), there.get(cell), NUDGE)
    return counted.sum_up()


class _Count:
    """The cells of one pair, as they are gone through."""

    def __init__(self, spread: Spread, given: dict[Cell, float]) -> None:
        self.spread, self.given = spread, given
        self.same = self.nudged = self.cells = 0
        self.chance, self.farthest = 1.0, 0.0
        self.places = self.places_near = 0
        self._together: set[tuple[str, float]] = set()

    @property
    def near(self) -> int:
        """How many agree so far."""
        return self.same + self.nudged

    def add(self, cell: Cell, ours: float | None, theirs: float | None, nudge: float) -> None:
        """Add a cell: the same, touched up, another choice, or none at all."""
        if ours is None or theirs is None:
            self.cells += 1
            self.places += cell[0] >= 0
            return
        given = self.given.get(cell)
        if given is not None and abs(given - ours) < 0.5 and abs(given - theirs) < 0.5:
            return
        apart = abs(ours - theirs)
        chance = self.spread.chance(cell, apart, theirs)
        if apart <= nudge and chance >= NOT_FREE:
            return
        self.cells += 1
        self.places += cell[0] >= 0
        if apart > nudge:
            return
        self.places_near += cell[0] >= 0
        if apart <= 0.5:
            self.same += 1
        else:
            self.nudged += 1
        if cell[0] >= 0:
            self.farthest = max(self.farthest, apart)
        # What moved together, or stands at one height, is one choice and not several.
        pattern = ("axis" if cell[0] >= 0 else cell[1], round(theirs if apart <= 0.5 else apart))
        if pattern not in self._together:
            self._together.add(pattern)
            self.chance *= chance

    def sum_up(self) -> Near:
        """Return the count."""
        return Near(
            same=self.same,
            nudged=self.nudged,
            cells=self.cells,
            chance=self.chance,
            farthest=self.farthest,
            places=self.places,
            places_near=self.places_near,
        )


def _turn_onto(mine: RoomTraits, yours: RoomTraits) -> RoomTraits | None:
    """Turn a room so that its strips lie nearest the other's; None where they do not at all."""
    if len(mine.rects) != len(yours.rects) or not mine.rects:
        return None
    best: tuple[float, RoomTraits] | None = None
    theirs = sorted(yours.rects, key=_middle)
    for turn in TURNS.values():
        turned = mine.turned(turn)
        far = max(
            max(abs(p - q) for p, q in zip((*at, *half), (*other, *size), strict=True))
            for (_, at, half), (_, other, size) in zip(
                sorted(turned.rects, key=_middle), theirs, strict=True
            )
        )
        if far > STRIPS_NEAR:
            continue
        off = sum(
            min((math.dist(at, other) for k, other in yours.spots if k == kind), default=1e4)
            for kind, at in turned.spots
        )
        if best is None or off < best[0] - 1:
            best = off, turned
    return None if best is None else best[1]


def _middle(rect: tuple[str, Spot, Spot]) -> tuple[int, int]:
    # In steps whose edges lie at no half millimetre, so that no rounding changes the order.
    (x, y) = rect[1]
    return round(x / 10 + 0.137), round(y / 10 + 0.137)
