"""The facts of conductors: what cables and leads can carry."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple, cast

from underfoot.checking.numbers import written
from underfoot.physics import conductors
from underfoot.plan import Cable, Lead

METHODS = ("A1", "A2", "B1", "B2", "C")
"""Reference methods of IEC 60364-5-52 that a plan may name."""

SIZES_MM2 = (1.5, 2.5, 4.0, 6.0, 10.0)
"""Sizes that table B.52.2 is read for."""

TABLE_AMBIENT_C = 30.0
"""The air for which table B.52.2 holds, taken where a plan does not give it."""


class Carrying(NamedTuple):
    """What a conductor can carry, in A, and how that was found."""

    current_a: float
    how: str


class Unknown(NamedTuple):
    """What the plan leaves out: `why` completes "could not be judged: ...", `write` mends it."""

    why: str
    write: str


def find_cable_capacity(cable: Cable | None, circuit: str) -> Carrying | Unknown:
    """Find what the cable of a circuit can carry; the designer's own figure goes first."""
    if cable is None:
        return Unknown(
            f"no cable is given for circuit {circuit}",
            f"Give circuit {circuit} its `cable`: size, length, method and ambient.",
        )
    if cable.capacity_a is not None:
        return _stated(cable.capacity_a)
    name = f"the cable of circuit {circuit}"
    if cable.size_mm2 is None:
        return Unknown(f"the size of {name} is not given", f"Write the `size` of {name}.")
    if cable.method is None:
        return Unknown(
            f"how {name} is laid (`method`) is not given", "Write how it is laid: `method`."
        )
    ambient_c = TABLE_AMBIENT_C if cable.ambient_c is None else cable.ambient_c
    said = ", which is taken where the plan gives none" if cable.ambient_c is None else ""
    return read_capacity(name, cable.size_mm2, cable.size_text, cable.method, ambient_c, said)


def find_lead_capacity(lead: Lead, method: str, ambient_c: float) -> Carrying | Unknown:
    """Find what a lead can carry; the designer's own figure goes first."""
    if lead.capacity_a is not None:
        return _stated(lead.capacity_a)
    if lead.size_mm2 is None:
        return Unknown(
            f"the size of lead {lead.id} is not given", f"Write the `size` of lead {lead.id}."
        )
    return read_capacity(f"lead {lead.id}", lead.size_mm2, lead.size_text, method, ambient_c)


def _stated(capacity_a: float) -> Carrying:
    return Carrying(capacity_a, f"{written(capacity_a, 'A')}, the designer's figure")


# Two rules ask for the same few conductors.
@lru_cache(maxsize=1024)
def read_capacity(
    name: str,
    size_mm2: float,
    size_text: str | None,
    method: str,
    ambient_c: float,
    said: str = "",
) -> Carrying | Unknown:
    """Read a capacity from IEC 60364-5-52, tables B.52.2 and B.52.14."""
    size = written_size(size_mm2, size_text)
    found = conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c)
    if found is None:
        return Unknown(
            f"{name} ({size}) is smaller than the table's smallest size, 1.5 mm²; "
            "give its `capacity`",
            "Give its `capacity`, or take a larger size.",
        )
    read_as = "" if found.basis == "exact" else f", read as {found.table_size_mm2:g} mm²"
    how = (
        f"{size}{read_as}, method {method}: {written(found.table_current_a, 'A')}; at "
        f"{written(ambient_c, 'degC')}{said} × {found.ambient_factor:g} = "
        f"{written(found.current_a, 'A')}"
    )
    return Carrying(found.current_a, how)


def find_size(current_a: float, method: str, ambient_c: float) -> float | None:
    """Find the smallest size of the table, in mm2, that carries a current; None above 10 mm2."""
    for size_mm2 in SIZES_MM2:
        found = conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c)
        if found is not None and found.current_a >= current_a - 1e-6:
            return size_mm2
    return None


def written_size(size_mm2: float, text: str | None = None) -> str:
    """Write a conductor's size: ``2.5 mm²``, with the gauge where the plan gives that."""
    size = f"{size_mm2:.3g} mm²"
    return f"{text} ({size})" if text is not None and "AWG" in text.upper() else size
