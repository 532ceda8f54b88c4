"""How much strips side by side could heat at the very most: proved, wherever they may begin."""

import math
from typing import Any

import numpy as np
import shapely

from underfoot.laying.lanes import Cuts, Lane, list_spaces

_SAME = 1e-6
# Of a floor with walls at an angle lanes are taken together that begin within such a part of a
# strip's width.
_PARTS = 25


def bound_heated(floor: Any, cuts: Cuts, most: float) -> float:
    """Bound the length of parallel strips on a floor, mm; `most` is what lanes at corners heat.

    Where all walls run along or across the strips, in whole millimetres, some best lanes touch a
    corner or each other: pushed to one side until they do, they lose nothing. So `most` is the
    bound. Elsewhere all lanes that begin in one part of a strip's width are taken for one, as
    narrow as what they share: it heats no less than any of them, and parts of lanes that do not
    overlap lie as many parts apart as a strip is wide.
    """
    if shapely.is_empty(floor) or _is_square(floor):
        return most
    part = cuts.width / _PARTS
    left, low, right, high = shapely.bounds(floor).tolist()
    first, last = math.floor(left / part), math.floor((right - cuts.width + _SAME) / part)
    if last < first:
        return most
    starts = np.arange(first, last + 1) * part
    shared = shapely.box(starts + part, low - 1.0, starts + cuts.width, high + 1.0)
    blocked = shapely.difference(shared, floor)
    best = np.zeros(len(starts) + _PARTS)
    for place in range(len(starts) - 1, -1, -1):
        spaces = list_spaces(blocked[place], low - 1.0, high + 1.0, cuts)
        heated = Lane(u=float(starts[place]), spaces=spaces).heated
        best[place] = max(best[place + 1], heated + best[place + _PARTS])
    return max(most, float(best[0]))


def _is_square(floor: Any) -> bool:
    """Tell whether all sides run along or across, in whole millimetres."""
    for part in shapely.get_parts(floor):
        for ring in (part.exterior, *part.interiors):
            corners = shapely.get_coordinates(ring)
            if np.abs(corners - np.round(corners)).max() > _SAME:
                return False
            if np.abs(np.diff(corners, axis=0)).min(axis=1).max() > _SAME:
                return False
    return True
