"""The ground below a floor, by ISO 13370 (slab on ground, no edge insulation).

Heat from a floor leaves through the ground to the open air around the building, so that what
counts is the floor's area and the length of its edge that lies against outside walls.

Lengths are in mm, areas in m2; resistances in m2 K/W.
"""

import math

from underfoot.physics.heat import SURFACE_DOWN_M2K_W, SURFACE_OUTSIDE_M2K_W

GROUND_W_MK = 2.0
"""Conductivity of sand or gravel, ISO 13370 (clay or silt 1.5); W/m/K."""

OUTSIDE_WALL = 300.0
"""Thickness taken for the outside walls, mm; an own default."""


def compute_floor_dimension(area_m2: float, exposed_perimeter: float) -> float:
    """Return the characteristic dimension B' in m: area over half the exposed edge.

    Infinite without an exposed edge. Raises ValueError where the area is not positive or the edge
    is negative.
    """
    if not area_m2 > 0.0 or not exposed_perimeter >= 0.0:
        raise ValueError("a floor needs an area above zero, and an edge of no less than zero")
    if exposed_perimeter == 0.0:
        return math.inf
    return area_m2 / (0.5 * exposed_perimeter / 1e3)


def compute_ground_u_value(
    area_m2: float,
    exposed_perimeter: float,
    floor_m2k_w: float,
    *,
    wall: float = OUTSIDE_WALL,
    ground_w_mk: float = GROUND_W_MK,
    surface_m2k_w: float = SURFACE_DOWN_M2K_W,
) -> float:
    """Return the U-value in W/m2/K of a floor on the ground, from the room to the open air.

    ISO 13370 equations 2 to 5. `floor_m2k_w` is the resistance of the floor's own layers,
    `surface_m2k_w` that of its upper surface. Without an exposed edge it is 0.
    """
    dimension_m = compute_floor_dimension(area_m2, exposed_perimeter)
    if math.isinf(dimension_m):
        return 0.0
    resistance_m2k_w = surface_m2k_w + floor_m2k_w + SURFACE_OUTSIDE_M2K_W
    equivalent_m = wall / 1e3 + ground_w_mk * resistance_m2k_w
    if equivalent_m < dimension_m:
        spread_m = math.pi * dimension_m
        return 2.0 * ground_w_mk / (spread_m + equivalent_m) * math.log1p(spread_m / equivalent_m)
    return ground_w_mk / (0.457 * dimension_m + equivalent_m)


def resist_ground(
    area_m2: float,
    exposed_perimeter: float,
    below_m2k_w: float,
    *,
    wall: float = OUTSIDE_WALL,
    ground_w_mk: float = GROUND_W_MK,
) -> float:
    """Return the resistance that the ground adds between a floor's underside and the open air.

    It is 1 / U less the layers `below_m2k_w` that lie between the film and the ground. U is taken
    from the film's own plane, which is as warm as a room with no surface resistance; that gives
    the ground a little less than the usual reading from the room, and errs to the greater loss.
    Without an exposed edge it is infinite: no heat is lost to the open air.
    """
    u_value_w_m2k = compute_ground_u_value(
        area_m2,
        exposed_perimeter,
        below_m2k_w,
        wall=wall,
        ground_w_mk=ground_w_mk,
        surface_m2k_w=0.0,
    )
    return 1.0 / u_value_w_m2k - below_m2k_w if u_value_w_m2k > 0.0 else math.inf
