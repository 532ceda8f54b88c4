"""Cheap tests of whether anything at all lies where it should not, before it is measured.

Each of them looks at boxes alone. One answer spares the measuring, and is exact to the last bit;
after the other only measuring tells.
"""

import math
from collections.abc import Iterable

from underfoot.checking.facts.room import Place, RoomFacts
from underfoot.physics.rectangles import EDGE

Stretch = tuple[Place, Place, float]
"""Start and end of a straight piece and half of its width."""

# So much less than what is left out at the box is left out here, that no rounding matters (mm).
_SAFE = 1.0


def is_off_walls(room: RoomFacts, pieces: Iterable[Stretch], at_the_box: float) -> bool:
    """Tell whether no wall comes near to pieces with their width, so far from the box.

    What begins inside the room then lies inside it.
    """
    corners = room.drawn.outline
    sides = [
        (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True)
    ]
    for start, end, half in pieces:
        left = (start, end) if room.box is None else _cut_off(start, end, room.box, at_the_box)
        if left is None:
            continue
        (x, y), (to_x, to_y) = left
        half = max(half, EDGE)
        low_x, high_x = (x - half, to_x + half) if x < to_x else (to_x - half, x + half)
        low_y, high_y = (y - half, to_y + half) if y < to_y else (to_y - half, y + half)
        for side in sides:
            if (
                side[0] <= high_x and low_x <= side[2] and side[1] <= high_y and low_y <= side[3]
            ):  # fmt: skip
                return False
    return True


def _cut_off(start: Place, end: Place, box: Place, at_the_box: float) -> tuple[Place, Place] | None:
    """Cut off a piece what certainly lies nearer to the box; None where all of it does."""
    reach = at_the_box - _SAFE
    from_start, from_end = reach - math.dist(start, box), reach - math.dist(end, box)
    if from_start > 0.0 and from_end > 0.0:
        return None
    if from_start > 0.0:
        return _along(start, end, from_start), end
    return (start, _along(end, start, from_end)) if from_end > 0.0 else (start, end)


def _along(start: Place, end: Place, distance: float) -> Place:
    share = distance / math.dist(start, end)
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
