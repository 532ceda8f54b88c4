"""The quarter turns and mirrors that lay a plan on one that is drawn another way round."""

from collections.abc import Mapping

from underfoot.marking.content import Spot

Turn = tuple[int, int, int, int]
AS_DRAWN: Turn = (1, 0, 0, 1)
TURNS: Mapping[str, Turn] = {
    "as drawn": AS_DRAWN,
    "mirrored left to right": (-1, 0, 0, 1),
    "mirrored top to bottom": (1, 0, 0, -1),
    "turned by 180°": (-1, 0, 0, -1),
    "turned by 90°": (0, -1, 1, 0),
    "turned by 270°": (0, 1, -1, 0),
    "mirrored and turned by 90°": (0, 1, 1, 0),
    "mirrored and turned by 270°": (0, -1, -1, 0),
}


def turn_place(turn: Turn, spot: Spot) -> Spot:
    """Say where a place goes when the plan is turned about the origin."""
    a, b, c, d = turn
    x, y = spot
    return a * x + b * y, c * x + d * y
