"""Copper conductors: resistance, current-carrying capacity, gauge sizes and standard ratings.

Reactance is left out: up to 16 mm2 it is far below the resistance, and the load is resistive.
"""

import math
from bisect import bisect_right
from typing import Literal

from msgspec import Struct

Strands = Literal["solid or stranded", "flexible"]
Method = Literal["A1", "A2", "B1", "B2", "C"]

COPPER_OHM_MM2_PER_M = 0.017241
"""Resistivity of annealed copper at 20 degC (IEC 60028), in ohm mm2/m."""

COPPER_PER_K = 0.00393
"""Temperature coefficient of its resistance at 20 degC (IEC 60028), per K."""

PVC_HOTTEST_C = 70.0
"""Highest conductor temperature of PVC, at which IEC 60364-5-52 states capacities, in degC."""

# IEC 60228, plain copper, highest resistance at 20 degC in ohm/km: tables 1 and 2 (class 1, 2),
# table 3 (class 5).
_OHM_PER_KM: dict[Strands, dict[float, float]] = {
    "solid or stranded": {
        0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41,
        4.0: 4.61, 6.0: 3.08, 10.0: 1.83, 16.0: 1.15,
    },
    "flexible": {
        0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98,
        4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21,
    },
}  # fmt: skip

# The largest ratio of the two tables (1.5 mm2): what fine strands cost at a size that neither
# lists.
_FLEXIBLE_RATIO = 1.1

# IEC 60364-5-52 table B.52.2: two loaded copper conductors, PVC, 70 degC, 30 degC in air, A.
_CAPACITY_SIZES = (1.5, 2.5, 4.0, 6.0, 10.0)
_CAPACITY_A: dict[Method, tuple[float, ...]] = {
    "A1": (14.5, 19.5, 26.0, 34.0, 46.0),
    "A2": (14.0, 18.5, 25.0, 32.0, 43.0),
    "B1": (17.5, 24.0, 32.0, 41.0, 57.0),
    "B2": (16.5, 23.0, 30.0, 38.0, 52.0),
    "C": (19.5, 27.0, 36.0, 46.0, 63.0),
}
# The same table, method D1, in a duct in ground of 20 degC: counted in the best case only.
_IN_GROUND_A = (22.0, 29.0, 37.0, 46.0, 60.0)

SMALLEST_LISTED_MM2, LARGEST_LISTED_MM2 = _CAPACITY_SIZES[0], _CAPACITY_SIZES[-1]
"""The ends of table B.52.2 as it is read here, in mm2."""

# IEC 60364-5-52 table B.52.14, PVC, air other than 30 degC.
_AMBIENT_FACTORS = (
    (10.0, 1.22), (15.0, 1.17), (20.0, 1.12), (25.0, 1.06), (30.0, 1.0), (35.0, 0.94),
    (40.0, 0.87), (45.0, 0.79), (50.0, 0.71), (55.0, 0.61), (60.0, 0.50),
)  # fmt: skip

STANDARD_RATINGS_A = (
    6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0,
)  # fmt: skip
"""Preferred ratings of circuit breakers, IEC 60898-1 5.3.2, in A; 8 A is from memory."""

Basis = Literal["exact", "below the table", "between two sizes", "above the table"]


class Capacity(Struct, frozen=True, kw_only=True):
    """What a conductor can carry: `least_a` for sure, `most_a` at best, one where it is listed.

    `basis` says where the size stands to the table; `least_table_a` and `most_table_a` are the
    figures there, which the ambient factor multiplies.
    """

    least_a: float
    most_a: float
    basis: Basis
    least_table_a: float
    most_table_a: float
    ambient_factor: float


def list_sizes(strands: Strands = "solid or stranded") -> tuple[float, ...]:
    """Return the sizes in mm2 whose resistance is read from IEC 60228 and not computed."""
    return tuple(_OHM_PER_KM[strands])


def find_resistance(size_mm2: float, strands: Strands = "solid or stranded") -> float:
    """Return the highest resistance in ohm/km at 20 degC of one copper conductor.

    The sizes of IEC 60228 from 0.5 to 16 mm2 are read from its tables 1 and 2 (class 1 and 2) or
    3 (class 5, flexible). For any other size, gauge sizes above all, it is resistivity / area,
    the area being the true one there; flexible then takes a tenth more, the most that the two
    tables differ by.

    Raises ValueError where the size is not positive.
    """
    for listed_mm2, ohm_per_km in _OHM_PER_KM[strands].items():
        if math.isclose(size_mm2, listed_mm2, rel_tol=1e-6):
            return ohm_per_km
    if not size_mm2 > 0.0:
        raise ValueError(f"the size must be above zero, not {size_mm2}")
    ohm_per_km = 1e3 * COPPER_OHM_MM2_PER_M / size_mm2
    return ohm_per_km * _FLEXIBLE_RATIO if strands == "flexible" else ohm_per_km


def heat_resistance(at_20_ohm: float, temperature_c: float) -> float:
    """Return what a copper resistance known at 20 degC is at another temperature, by IEC 60028."""
    return at_20_ohm * (1.0 + COPPER_PER_K * (temperature_c - 20.0))


def compute_loop_resistance(
    size_mm2: float,
    length: float,
    strands: Strands = "solid or stranded",
    temperature_c: float = PVC_HOTTEST_C,
) -> float:
    """Return the resistance in ohm of a length (mm) of a pair of conductors, out and back.

    The default temperature is the highest that PVC allows, so that the drop is not told too
    small.
    """
    ohm_per_km = heat_resistance(find_resistance(size_mm2, strands), temperature_c)
    return 2.0 * ohm_per_km * length / 1e6


def find_capacity(size_mm2: float, method: Method, ambient_c: float = 30.0) -> Capacity:
    """Return what a copper conductor in PVC carries, two loaded conductors in air.

    IEC 60364-5-52 table B.52.2, 1.5 to 10 mm2, times the ambient factor of `find_ambient_factor`.
    A size between two of the table carries at least what the smaller does and at most what the
    larger does; one below 1.5 mm2 at most what that carries; one above 10 mm2 at least what that
    carries and at most in proportion to its area, since thicker conductors give off heat less well
    for what they are. Grouping, thermal insulation around the cable and burial are not in it.
    """
    least_a, most_a, basis = _read_row(_CAPACITY_A[method], size_mm2)
    factor = find_ambient_factor(ambient_c)
    return Capacity(
        least_a=least_a * factor,
        most_a=most_a * factor,
        basis=basis,
        least_table_a=least_a,
        most_table_a=most_a,
        ambient_factor=factor,
    )


def find_best_capacity(size_mm2: float) -> float:
    """Return the most in A that the tables give for a size, however it lies.

    The best of table B.52.2's methods A1 to C in air of 30 degC and D1 in ground of 20 degC; a size
    that it does not list is bounded as `find_capacity` bounds it.
    """
    rows = (*_CAPACITY_A.values(), _IN_GROUND_A)
    return max(_read_row(row, size_mm2)[1] for row in rows)


def _read_row(row: tuple[float, ...], size_mm2: float) -> tuple[float, float, Basis]:
    """Return least, most and how they were read."""
    index = bisect_right(_CAPACITY_SIZES, size_mm2 * (1.0 + 1e-6)) - 1
    if index < 0:
        return 0.0, row[0], "below the table"
    listed_mm2 = _CAPACITY_SIZES[index]
    if math.isclose(size_mm2, listed_mm2, rel_tol=1e-6):
        return row[index], row[index], "exact"
    if index + 1 < len(row):
        return row[index], row[index + 1], "between two sizes"
    return row[index], row[index] * size_mm2 / listed_mm2, "above the table"


def find_ambient_factor(ambient_c: float) -> float:
    """Return the factor on a PVC conductor's capacity in air of another temperature than 30 degC.

    IEC 60364-5-52 table B.52.14. Between two of its steps the warmer one counts: never above the
    law that the table follows, sqrt((70 - ambient) / 40), by more than its rounding, and a person
    finds the same number in the table. Colder than 10 degC counts as 10. Warmer than the table's
    60 degC the law goes on in steps of 5 K, to zero at 70.
    """
    for step_c, factor in _AMBIENT_FACTORS:
        if ambient_c <= step_c + 1e-9:
            return factor
    step_c = 5.0 * math.ceil(ambient_c / 5.0 - 1e-9)
    return math.sqrt(max(0.0, PVC_HOTTEST_C - step_c) / (PVC_HOTTEST_C - 30.0))


def find_rating_at_least(current_a: float) -> float | None:
    """Return the smallest standard breaker rating in A that carries a current; None above 125 A."""
    return next((rating for rating in STANDARD_RATINGS_A if rating >= current_a - 1e-6), None)


def find_rating_at_most(current_a: float) -> float | None:
    """Return the largest standard breaker rating in A not above a capacity; None below 6 A."""
    fitting = [rating for rating in STANDARD_RATINGS_A if rating <= current_a + 1e-6]
    return fitting[-1] if fitting else None
