"""The facts of conductors: what cables and leads can carry."""

from functools import lru_cache
from math import inf
from typing import cast

from msgspec import Struct

from underfoot.api.facts import Unknown
from underfoot.api.physics import conductors
from underfoot.api.plan import Cable, Lead
from underfoot.api.rules import above, below, format_quantity, format_size, join_names

METHODS = ("A1", "A2", "B1", "B2", "C")
"""Reference methods of IEC 60364-5-52 that a plan may name."""

SIZES_MM2 = (1.5, 2.5, 4.0, 6.0, 10.0)
"""Sizes that table B.52.2 is read for."""

TABLE_AMBIENT_C = 30.0
"""The air for which table B.52.2 holds, the coolest that is taken where a plan does not give it."""

WARMEST_AMBIENT_C = 60.0
"""The warmest air that table B.52.14 lists, the warmest taken where a plan does not give it."""


class Carrying(Struct, frozen=True, kw_only=True):
    """What a conductor can carry, in A: `sure_a` for sure, `most_a` at best, and how it was found.

    Where the two differ `missing` says what would tell. `best_a` is the most that the tables give
    for its size, however it lies: infinite where the size is not given. `stated_a` is the
    designer's figure.
    """

    sure_a: float
    most_a: float
    best_a: float
    how: str
    missing: Unknown | None = None
    stated_a: float | None = None

    @property
    def is_overstated(self) -> bool:
        """Whether the designer's figure is above all that the tables give for the size."""
        return self.stated_a is not None and above(self.stated_a, self.best_a)


def find_cable_capacity(cable: Cable, name: str) -> Carrying | Unknown:
    """Find what a cable or a link can carry, in whatever ways its plan leaves open."""
    return _find_capacity(
        name,
        (cable.size_mm2, cable.size_text),
        METHODS if cable.method is None else (cable.method,),
        (TABLE_AMBIENT_C, WARMEST_AMBIENT_C) if cable.ambient_c is None else (cable.ambient_c,),
        cable.capacity_a,
    )


def find_lead_capacity(lead: Lead, method: str, ambient_c: float) -> Carrying | Unknown:
    """Find what a lead can carry; no plan says how leads lie, so that its own figure goes first."""
    size = (lead.size_mm2, lead.size_text)
    return _find_capacity(
        f"lead {lead.id}", size, (method,), (ambient_c,), lead.capacity_a, stated_first=True
    )


# Three rules ask for the same few conductors.
@lru_cache(maxsize=1024)
def _find_capacity(
    name: str,
    size: tuple[float | None, str | None],
    methods: tuple[str, ...],
    ambients_c: tuple[float, ...],
    stated_a: float | None,
    *,
    stated_first: bool = False,
) -> Carrying | Unknown:
    size_mm2, text = size
    if size_mm2 is None:
        if stated_a is None:
            return Unknown(
                why=f"the size of {name} is not given", write=f"Write the `size` of {name}."
            )
        how = f"{format_quantity(stated_a, 'A')}, the designer's figure"
        return Carrying(
            sure_a=stated_a, most_a=stated_a, best_a=inf, how=how, missing=None, stated_a=stated_a
        )
    read = _read_tables(name, size_mm2, format_size(size_mm2, text), methods, ambients_c)
    if stated_a is None:
        return read
    most_a, most = read.most_a, read.how
    if stated_first:
        most_a = read.best_a
        most = f"{format_size(size_mm2, text)} carries at most {format_quantity(read.best_a, 'A')}"
    stated = format_quantity(stated_a, "A")
    carries_a, how = stated_a, f"{stated}, the designer's figure"
    if above(stated_a, most_a):
        carries_a = most_a
        how = f"the designer's figure of {stated} is above what the tables give: {most}"
    return Carrying(
        sure_a=carries_a, most_a=carries_a, best_a=read.best_a, how=how, stated_a=stated_a
    )


def _read_tables(
    name: str, size_mm2: float, size: str, methods: tuple[str, ...], ambients_c: tuple[float, ...]
) -> Carrying:
    """Read a capacity from IEC 60364-5-52, tables B.52.2 and B.52.14, at best and at worst."""
    readings = [
        conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c)
        for method in methods
        for ambient_c in ambients_c
    ]
    best_a = conductors.find_best_capacity(size_mm2)
    # Of a cable that may lie anywhere, in insulation too, nothing is sure.
    sure_a = min(reading.least_a for reading in readings) if len(methods) == 1 else 0.0
    top = max(readings, key=lambda reading: reading.most_a)
    most_a, table_a = top.most_a, top.most_table_a
    lies = f"method {methods[0]}"
    if len(methods) > 1:
        most_a, table_a = best_a * top.ambient_factor, best_a
        lies = "by the best method"
    said = ", which is taken where the plan gives none" if len(ambients_c) > 1 else ""
    most = "" if top.basis == "exact" else "at most "
    how = (
        f"{size}, {lies}: {most}{format_quantity(table_a, 'A')}; at "
        f"{format_quantity(ambients_c[0], 'degC')}{said} "
        f"× {top.ambient_factor:g} = {format_quantity(most_a, 'A')}"
    )
    missing = _say_missing(name, size, top.basis, len(methods) > 1, len(ambients_c) > 1)
    return Carrying(sure_a=sure_a, most_a=most_a, best_a=best_a, how=how, missing=missing)


def _say_missing(
    name: str, size: str, basis: conductors.Basis, no_method: bool, no_ambient: bool
) -> Unknown | None:
    keys, why = [], []
    if no_method:
        keys.append("`method`")
        why.append(f"how {name} is laid (`method`) is not given")
    if no_ambient:
        keys.append("`ambient`")
        why.append(f"how warm it is round {name} (`ambient`) is not given")
    if basis != "exact":
        keys.append("`capacity`")
        ends = {
            "below the table": f"is smaller than {SIZES_MM2[0]:g} mm², the smallest of the table",
            "between two sizes": "lies between two sizes of the table",
            "above the table": f"is larger than {SIZES_MM2[-1]:g} mm², the largest of the table",
        }
        why.append(f"{name}, {size}, {ends[basis]}")
    if not keys:
        return None
    write = f"Write {join_names(keys)} of {name}."
    if basis == "below the table":
        write = f"Take {SIZES_MM2[0]:g} mm² or more for {name}, or write {join_names(keys)} of it."
    return Unknown(why="; ".join(why), write=write)


def find_size(current_a: float, method: str, ambient_c: float) -> float | None:
    """Find the smallest size of the table, in mm2, that carries a current; None above 10 mm2."""
    for size_mm2 in SIZES_MM2:
        found = conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c)
        if not below(found.least_a, current_a):
            return size_mm2
    return None
