"""Cheap tests of whether anything at all lies where it should not, before it is measured.

Each of them looks at boxes alone. One answer spares the measuring, and is exact to the last bit;
after the other only measuring tells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from underfoot.physics.rectangles import EDGE

if TYPE_CHECKING:
    from underfoot.checking.facts.room import Place, RoomFacts

Piece = tuple["Place", "Place", float]
"""Start and end of a straight piece and half of its width."""

# For more pairs than that vectors are quicker than a look at each.
_MOST_PAIRS = 512
# So much less than what is left out at the box is left out here, that no rounding matters (mm).
_SAFE = 1.0


def is_off_walls(room: RoomFacts, pieces: Iterable[Piece], at_the_box: float) -> bool:
    """Tell whether no wall comes near to pieces with their width, so far from the box.

    What begins inside the room then lies inside it.
    """
    corners = room.room.outline
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


def is_near_two(room: RoomFacts, place: Place, reach: float) -> bool:
    """Tell whether a place may lie so near to two strips."""
    if len(room.elements) > _MOST_PAIRS:
        return True
    x, y = place
    reach += EDGE
    return (
        sum(
            left - reach <= x <= right + reach and low - reach <= y <= high + reach
            for left, low, right, high in room.strip_boxes
        )
        > 1
    )


def is_under_one(room: RoomFacts, place: Place) -> bool:
    """Tell whether a place surely lies under a strip, its edge aside."""
    if not room.is_upright or len(room.elements) > _MOST_PAIRS:
        return False
    x, y = place
    return any(left < x < right and low < y < high for left, low, right, high in room.strip_boxes)


def is_off_strips(room: RoomFacts) -> bool:
    """Tell whether no lead lies under a strip with some of its width.

    Where a lead joins strips its width does not count at their ends.
    """
    pieces, joined = room.lead_pieces
    count = len(room.elements)
    if len(pieces) * count > _MOST_PAIRS or not room.is_upright:
        return False
    strips = [
        (*box, *((0.0, 1.0) if element.along == "y" or element.angle_deg % 180.0 else (1.0, 0.0)))
        for box, element in zip(room.strip_boxes, room.elements, strict=True)
    ]
    for (x, y), (to_x, to_y), half, owner, joints in pieces:
        low_x, high_x = (x, to_x) if x < to_x else (to_x, x)
        low_y, high_y = (y, to_y) if y < to_y else (to_y, y)
        for place, (left, bottom, right, top, along_x, along_y) in enumerate(strips):
            passes = joints == 2 or (joints == 1 and owner * count + place in joined)
            aside_x = -EDGE / 2 if passes and along_x else half
            aside_y = -EDGE / 2 if passes and along_y else half
            if (
                low_x <= right + aside_x
                and left - aside_x <= high_x
                and low_y <= top + aside_y
                and bottom - aside_y <= high_y
            ):
                return False
    return True
