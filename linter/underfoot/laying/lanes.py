"""Where strips may lie side by side, and which of all such places heat most of the floor."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

# Places are whole millimetres; what is this much short of one is that one.
_SAME = 1e-6
# What narrower parts of the floor a strip's lane may lose before it counts as blocked, mm2.
_NOTHING = 1.0
# How much heated length a strip and a place left empty must be worth, mm: each strip more has two
# connections and two ends to be closed.
_WORTH = 200.0
_LEAP = 400.0
# Strips whose long sides face each other over less leave no gap between them, mm.
_FACING = 100.0


class Cuts(Struct, frozen=True, kw_only=True):
    """How strips are cut: every so far, no shorter and no longer than this, mm."""

    width: float
    step: float
    shortest: float
    longest: float

    def longest_in(self, space: float) -> float:
        """Return the longest strip on a cut line that a space takes; 0 where none does."""
        length = math.floor((min(space, self.longest) + _SAME) / self.step) * self.step
        return length if length >= self.shortest - _SAME else 0.0


class Space(Struct, frozen=True, kw_only=True):
    """A free stretch of a lane, from `low` to `high`, and the strip that it takes."""

    low: float
    high: float
    length: float


class Lane(Struct, frozen=True, kw_only=True):
    """A strip's width of floor that begins at `u`, with the stretches that take a strip."""

    u: float
    spaces: tuple[Space, ...]

    @property
    def heated(self) -> float:
        """The length of all its strips, mm."""
        return sum(space.length for space in self.spaces)

    @property
    def worth(self) -> float:
        """What it is worth to lay it, mm of strip."""
        return self.heated - _WORTH * len(self.spaces)


def list_lanes(floor: Any, cuts: Cuts) -> list[Lane]:
    """List the lanes over a floor that take a strip at all, by place.

    They begin where one side touches a corner of the floor, or whole strips beside such a place.
    """
    if shapely.is_empty(floor):
        return []
    left, low, right, high = shapely.bounds(floor).tolist()
    corners = shapely.get_coordinates(floor)[:, 0]
    most = math.ceil((right - left) / cuts.width) + 1
    beside = np.arange(-most, most + 1) * cuts.width
    places = (corners[:, None] + beside[None]).ravel()
    places = np.unique(np.concatenate((np.ceil(places - _SAME), np.floor(places + _SAME))))
    places = places[(places >= left - _SAME) & (places <= right - cuts.width + _SAME)]
    if not len(places):
        return []
    bands = shapely.box(places, low - 1.0, places + cuts.width, high + 1.0)
    blocked = shapely.difference(bands, floor)
    lanes = []
    for u, taken in zip(places.tolist(), blocked, strict=True):
        spaces = list_spaces(taken, low - 1.0, high + 1.0, cuts)
        if spaces:
            lanes.append(Lane(u=u, spaces=spaces))
    return lanes


def list_spaces(taken: Any, low: float, high: float, cuts: Cuts) -> tuple[Space, ...]:
    """List the stretches between what is taken of a lane that take a strip."""
    parts = shapely.get_parts(taken)
    parts = parts[shapely.area(parts) > _NOTHING]
    stretches = sorted(shapely.bounds(parts)[:, [1, 3]].tolist())
    spaces = []
    free_from = low
    for start, end in [*stretches, (high, high)]:
        # Rounded inwards: places are whole millimetres.
        a, b = math.ceil(free_from - _SAME), math.floor(start + _SAME)
        spaces += _share_out(a, b, cuts)
        free_from = max(free_from, end)
    return tuple(spaces)


def _share_out(low: float, high: float, cuts: Cuts) -> list[Space]:
    """Fill a free stretch with strips: one, or as few as can be where it is longer than a strip."""
    whole = math.floor((high - low + _SAME) / cuts.step)
    most = math.floor((cuts.longest + _SAME) / cuts.step)
    spaces = []
    for left in range(math.ceil(whole / most), 0, -1):
        steps = math.ceil(whole / left)
        whole -= steps
        # The last strip lies anywhere in what the others leave.
        until = high if left == 1 else low + steps * cuts.step
        length = cuts.longest_in(until - low)
        if length:
            spaces.append(Space(low=low, high=until, length=length))
        low = until
    return spaces


class Choice(Struct, frozen=True, kw_only=True):
    """Lanes side by side that are worth most, and the most that any of the lanes could heat."""

    lanes: tuple[Lane, ...]
    heated: float
    most: float


def choose_lanes(lanes: list[Lane], cuts: Cuts, gap: float) -> Choice:
    """Choose the lanes that are worth most: they butt, or lie `gap` or more apart.

    Narrower gaps stand only where no two strips face each other over them. The most lets lanes lie
    anywhere and counts no strip's connections; both are exact, by dynamic programming over
    the places, last to first.
    """
    count = len(lanes)
    starts = np.array([lane.u for lane in lanes])
    after = np.searchsorted(starts, starts + cuts.width - _SAME)
    apart = np.searchsorted(starts, starts + cuts.width + gap - _SAME)
    any_best = np.zeros(count + 1)  # most length, whatever lies between
    best = np.zeros(count + 1)  # most worth of lanes from this one on, this one taken
    best_later = np.zeros(count + 1)  # the same, of this place or any later one
    follows = np.full(count, -1)
    first_of = np.full(count + 1, -1)
    for place in range(count - 1, -1, -1):
        lane = lanes[place]
        any_best[place] = max(any_best[place + 1], lane.heated + any_best[after[place]])
        value, follow = 0.0, -1
        if apart[place] < count and best_later[apart[place]] - _LEAP > value:
            value, follow = best_later[apart[place]] - _LEAP, first_of[apart[place]]
        for nxt in range(after[place], apart[place]):
            butts = starts[nxt] - starts[place] - cuts.width < _SAME
            worth = best[nxt] - (0.0 if butts else _LEAP)
            if worth > value and (butts or not _face(lane, lanes[nxt])):
                value, follow = worth, nxt
        best[place] = lane.worth + value
        follows[place] = follow
        better = best[place] > best_later[place + 1]
        best_later[place] = best[place] if better else best_later[place + 1]
        first_of[place] = place if better else first_of[place + 1]
    chosen = []
    place = int(first_of[0]) if count else -1
    while place >= 0:
        chosen.append(lanes[place])
        place = int(follows[place])
    return Choice(
        lanes=tuple(chosen),
        heated=sum(lane.heated for lane in chosen),
        most=float(any_best[0]),
    )


def lessen_lanes(lanes: Sequence[Lane], cuts: Cuts, share: float) -> tuple[Lane, ...]:
    """Shorten strips, evenly over the room, as long as so much of their length is left.

    They are cut in pairs, the outermost lanes first, and lie in the middle of where they lay.
    """
    lengths = [[space.length for space in lane.spaces] for lane in lanes]
    left = sum(lane.heated for lane in lanes)
    least = share * left - _SAME
    count = len(lanes)
    pairs = [sorted({place, count - 1 - place}) for place in range((count + 1) // 2)]
    was = math.inf
    while left < was:
        was = left
        for pair in pairs:
            cut = [
                (place, number)
                for place in pair
                for number, length in enumerate(lengths[place])
                if length - cuts.step >= cuts.shortest - _SAME
            ]
            if left - len(cut) * cuts.step >= least:
                left -= len(cut) * cuts.step
                for place, number in cut:
                    lengths[place][number] -= cuts.step
    return tuple(
        Lane(
            u=lane.u,
            spaces=tuple(
                _in_the_middle(space, length, cuts.step)
                for space, length in zip(lane.spaces, kept, strict=True)
            ),
        )
        for lane, kept in zip(lanes, lengths, strict=True)
    )


def _in_the_middle(space: Space, length: float, about: float) -> Space:
    """Keep a shortened strip in the middle, but for so much that it may go to begin in line."""
    if length == space.length:
        return space
    low = space.low + math.floor((space.high - space.low - length) / 2)
    return Space(
        low=max(space.low, low - about / 2),
        high=min(space.high, low + length + about / 2),
        length=length,
    )


def _face(one: Lane, other: Lane) -> bool:
    return any(
        min(a.high, b.high) - max(a.low, b.low) >= _FACING for a in one.spaces for b in other.spaces
    )
