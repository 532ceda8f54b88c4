"""Heat through the floor: a steady stack of layers with the film between, and a room's heat loss.

What a film gives is split by the balance of ISO 11855-2 (A.29-A.31), with the floor's surface as
the fixed resistance 1 / 10.8 m2 K/W that A.30 takes. So every rule has one share for one floor, and
a reviewer can check it with a pocket calculator. Where a *temperature* or a *limit* is asked for,
the surface follows the curve q = 8.92 dT^1.1 (equation 1 of the same part): how warm a surface
gets, and the output at which it reaches its limit, are two readings of one curve. That is the
standard's own use of the two. They differ by 0.26 K at 100 W/m2 and meet at about 7 K. To solve the
split on the curve too would move it by at most 1.3 % of the output, for 60 to 200 W/m2 over 0.3 m2
K/W or more (a test holds it to that).

The *film* can be looked at from both sides: from above it is the surface on the curve and the flux
upward through `above`; from below it is what lies beyond and the flux downward through `below`,
which the balance makes the same as the room and the flux upward through 1 / 10.8 and `above`. What
may burn is judged by the higher of the two.

Resistances are in m2 K/W, fluxes in W/m2, temperatures in degC, thicknesses in mm. `above` is the
sum of the layers between film and room, without the surface; `below` is everything from the film
down to what lies beyond, its surface or the ground with it.
"""

import math
from bisect import bisect_right
from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

FLOOR_W_M2K = 10.8
"""Heat transfer of a heated floor's surface in the resistance form, ISO 11855-2 A.30, W/m2/K."""

COOLED_FLOOR_W_M2K = 7.0
"""The same of a floor colder than the room, ISO 11855-2 equation 4."""

SURFACE_DOWN_M2K_W = 0.17
"""Surface resistance, heat flowing down, ISO 6946."""
SURFACE_OUTSIDE_M2K_W = 0.04
"""Surface resistance in the open air, ISO 6946."""

AIR_WH_M3K = 0.34
"""Heat that air holds by volume, EN 12831-1, Wh/m3/K."""

Direction = Literal["up", "level", "down"]

# ISO 6946 (2007) table 2, unventilated air layers: thickness, then up, level, down.
_AIR_LAYERS = (
    (0.0, 0.00, 0.00, 0.00), (5.0, 0.11, 0.11, 0.11), (7.0, 0.13, 0.13, 0.13),
    (10.0, 0.15, 0.15, 0.15), (15.0, 0.16, 0.17, 0.17), (25.0, 0.16, 0.18, 0.19),
    (50.0, 0.16, 0.18, 0.21), (100.0, 0.16, 0.18, 0.22), (300.0, 0.16, 0.18, 0.23),
)  # fmt: skip
_AIR_COLUMN: dict[Direction, int] = {"up": 1, "level": 2, "down": 3}


class Split(Struct, frozen=True, kw_only=True):
    """Where a film's output goes, in W/m2; negative where heat flows in from that side."""

    up_w_m2: float
    down_w_m2: float

    @property
    def output_w_m2(self) -> float:
        """What the film gives."""
        return self.up_w_m2 + self.down_w_m2

    @property
    def down_percent(self) -> float:
        """The downward share of the output; 0 where there is no output."""
        return 100.0 * self.down_w_m2 / self.output_w_m2 if self.output_w_m2 else 0.0


class FloorTemperatures(Struct, frozen=True, kw_only=True):
    """The temperatures at which a heated floor settles, and how its output is split then."""

    split: Split
    surface_c: float
    film_c: float
    sensor_c: float


def resist_layer(thickness: float, conductivity_w_mk: float) -> float:
    """Return the resistance of a layer: thickness / conductivity.

    Raises ValueError where the conductivity is not positive.
    """
    if not conductivity_w_mk > 0.0:
        raise ValueError(f"the conductivity must be above zero, not {conductivity_w_mk}")
    return thickness / 1e3 / conductivity_w_mk


def resist_air_layer(thickness: float, direction: Direction) -> float:
    """Return the resistance of a closed layer of air, by the way the heat flows.

    ISO 6946 table 2; between its steps on a straight line, above 300 mm as 300 mm.
    """
    column = _AIR_COLUMN[direction]
    index = bisect_right([step[0] for step in _AIR_LAYERS], max(thickness, 0.0)) - 1
    lower = _AIR_LAYERS[index]
    if index == len(_AIR_LAYERS) - 1:
        return lower[column]
    upper = _AIR_LAYERS[index + 1]
    part = (max(thickness, 0.0) - lower[0]) / (upper[0] - lower[0])
    return lower[column] + part * (upper[column] - lower[column])


def compute_surface_output(rise_k: float) -> float:
    """Return what a floor that is `rise_k` warmer than the room gives it, W/m2.

    8.92 dT^1.1, ISO 11855-2 equation 1 (the basic curve of EN 1264-2). A floor colder than the
    room takes 7 W/m2/K, equation 4.
    """
    if rise_k < 0.0:
        return COOLED_FLOOR_W_M2K * rise_k
    return float(8.92 * rise_k**1.1)


def compute_surface_rise(up_w_m2: float) -> float:
    """Return how much warmer than the room a floor must be to give it `up_w_m2`, K.

    The inverse of `compute_surface_output`: 100 W/m2 is 9.00 K.
    """
    if up_w_m2 < 0.0:
        return up_w_m2 / COOLED_FLOOR_W_M2K
    return float((up_w_m2 / 8.92) ** (1.0 / 1.1))


def split_output(
    output_w_m2: float, above_m2k_w: float, below_m2k_w: float, room_c: float, beyond_c: float
) -> Split:
    """Return how a film's output is shared between the room and what lies below.

    ISO 11855-2 A.29-A.31 solved for the flux upward, the two adding up to the output. `below` may
    be infinite: nothing then goes down.

    Raises ValueError where `above` is negative or `below` is not positive.
    """
    _check_stack(above_m2k_w, below_m2k_w)
    upward_m2k_w = 1.0 / FLOOR_W_M2K + above_m2k_w
    lost_w_m2 = (room_c - beyond_c) / below_m2k_w
    up_w_m2 = (output_w_m2 - lost_w_m2) / (1.0 + upward_m2k_w / below_m2k_w)
    return Split(up_w_m2=up_w_m2, down_w_m2=output_w_m2 - up_w_m2)


def compute_temperatures(
    split: Split, above_m2k_w: float, room_c: float, to_sensor_m2k_w: float = 0.0
) -> FloorTemperatures:
    """Return the surface, film and sensor temperatures of a floor with this split.

    The surface follows the curve; the film's is the higher of its temperatures seen from above and
    from below. The sensor lies below the film, and is colder than it by the flux downward through
    what lies between them, which is nothing where it touches the film.
    """
    surface_c = room_c + compute_surface_rise(split.up_w_m2)
    film_c = _warm_film(surface_c, split.up_w_m2, above_m2k_w, room_c)
    return FloorTemperatures(
        split=split,
        surface_c=surface_c,
        film_c=film_c,
        sensor_c=film_c - split.down_w_m2 * to_sensor_m2k_w,
    )


def hold_surface(
    surface_c: float,
    above_m2k_w: float,
    below_m2k_w: float,
    room_c: float,
    beyond_c: float,
    to_sensor_m2k_w: float = 0.0,
) -> FloorTemperatures:
    """Return the state of a floor whose surface is kept at a temperature.

    `sensor_c` is what the sensor then reads, `split.output_w_m2` the mean output that keeps the
    surface there. It is the inverse of `split_output` with `compute_temperatures`.

    Raises ValueError where `above` is negative or `below` is not positive.
    """
    _check_stack(above_m2k_w, below_m2k_w)
    up_w_m2 = compute_surface_output(surface_c - room_c)
    upward_m2k_w = 1.0 / FLOOR_W_M2K + above_m2k_w
    down_w_m2 = (room_c + upward_m2k_w * up_w_m2 - beyond_c) / below_m2k_w
    film_c = _warm_film(surface_c, up_w_m2, above_m2k_w, room_c)
    sensor_c = film_c - down_w_m2 * to_sensor_m2k_w
    return FloorTemperatures(
        split=Split(up_w_m2=up_w_m2, down_w_m2=down_w_m2),
        surface_c=surface_c,
        film_c=film_c,
        sensor_c=sensor_c,
    )


def compute_transmission(
    area_m2: float, u_value_w_m2k: float, inside_c: float, beyond_c: float
) -> float:
    """Return the heat in W that a surface lets through, EN 12831-1: U x A x dT."""
    return area_m2 * u_value_w_m2k * (inside_c - beyond_c)


def compute_ventilation(
    volume_m3: float, air_changes_1_h: float, inside_c: float, outside_c: float
) -> float:
    """Return the heat in W that changing the air takes, EN 12831-1: 0.34 x n x V x dT."""
    return AIR_WH_M3K * air_changes_1_h * volume_m3 * (inside_c - outside_c)


def add_room_loss(transmissions_w: Iterable[float], ventilation_w: float) -> float:
    """Return a room's heat loss in W: all that its surfaces let through, and its change of air."""
    return math.fsum((*transmissions_w, ventilation_w))


def _warm_film(surface_c: float, up_w_m2: float, above_m2k_w: float, room_c: float) -> float:
    """Return the film's temperature: seen from above or from below, whichever is higher."""
    from_above_c = surface_c + up_w_m2 * above_m2k_w
    from_below_c = room_c + up_w_m2 * (1.0 / FLOOR_W_M2K + above_m2k_w)
    return max(from_above_c, from_below_c)


def _check_stack(above_m2k_w: float, below_m2k_w: float) -> None:
    if not above_m2k_w >= 0.0:
        raise ValueError(f"the resistance above the film is {above_m2k_w}, less than none")
    if not below_m2k_w > 0.0:
        raise ValueError(f"the resistance below the film is {below_m2k_w}: it must be above zero")
