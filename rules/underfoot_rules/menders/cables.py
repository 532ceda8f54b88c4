"""Chooses sizes of cables, links and leads that bear what goes through them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from underfoot.api.facts import ProtectionFacts, find_all_wirings
from underfoot.api.physics import conductors
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below
from underfoot_rules.circuits.capacity import METHODS, SIZES_MM2, Carrying
from underfoot_rules.circuits.conducting import (
    Conductor,
    conductors_of,
    find_carrying,
    find_current_a,
    list_conductors,
)
from underfoot_rules.circuits.voltage_drop import find_sizes
from underfoot_rules.menders.in_force import limits_of
from underfoot_rules.menders.laid import is_handed_over, is_laid
from underfoot_rules.menders.spelled import parts_of, put, stands, take_out
from underfoot_rules.menders.written import Path

# Sizes in the trade below those of the tables, mm2: what SELV may be wired with.
_THIN_MM2 = (0.75, 1.0)


def take_larger_size(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest size that carries what the breaker lets through, else the current."""
    conductor = _conductor(found)
    if conductor is None or not _may_change(found, conductor):
        return
    breaker_a = conductor.protection.circuit.breaker_a or 0.0
    current_a = find_current_a(conductor, found.facts)
    for asked_a in (max(breaker_a, current_a), current_a):
        size_mm2 = _find_size(found, conductor, asked_a)
        if size_mm2 is not None:
            yield Proposal(
                says=_says(conductor, size_mm2),
                edits=(_size(found, conductor, size_mm2),),
            )


def state_no_capacity(found: ToMend) -> Iterator[Proposal]:
    """Propose to leave out a capacity that no conductor of the size ever has."""
    conductor = _conductor(found)
    if conductor is None or not _may_change(found, conductor):
        return
    carrying = find_carrying(conductor, limits_of("cable-capacity", found.facts))
    path = (*_place(found, conductor), "capacity")
    if isinstance(carrying, Carrying) and carrying.is_overstated and stands(found.data, path):
        yield Proposal(
            says=f"Leave out the capacity of {conductor.name}, which its size does not have: the "
            "tables tell what it carries.",
            edits=(take_out(path),),
        )


def take_stronger(found: ToMend) -> Iterator[Proposal]:
    """Propose a larger size where what a conductor can carry is read from the tables."""
    conductor = _conductor(found)
    if conductor is not None and _stated_a(conductor) is None:
        yield from take_larger_size(found)


def lose_less(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest cable, else the smallest leads with it, that lose little enough."""
    facts = found.facts
    protection = facts.protections[found.items[0]]
    wiring = facts.once(find_all_wirings)[protection.id]
    limits = limits_of("voltage-drop", facts)
    sizes = find_sizes(protection, wiring, facts.plan.supply.voltage_v, limits)
    if sizes is None or protection.circuit.cable is None:
        return
    changes = []
    for conductor in conductors_of(protection, facts):
        size_mm2 = sizes.leads_mm2 if conductor.lead is not None else sizes.cable_mm2
        if size_mm2 is None or size_mm2 <= (conductor.size_mm2 or 0.0):
            continue
        if not _may_change(found, conductor):
            return
        changes.append((_says(conductor, size_mm2), _size(found, conductor, size_mm2)))
    yield Proposal(
        says=" ".join(says for says, _ in changes), edits=tuple(edit for _, edit in changes)
    )


def strengthen(
    found: ToMend, protection: ProtectionFacts, rating_a: float
) -> tuple[tuple[str, Edit], ...]:
    """Give what makes all conductors behind a breaker bear its rating; nothing where none may."""
    changes = []
    for conductor in conductors_of(protection, found.facts):
        carrying = find_carrying(conductor, limits_of("cable-capacity", found.facts))
        if not isinstance(carrying, Carrying):
            return ()
        if not below(carrying.sure_a, rating_a):
            continue
        size_mm2 = _find_size(found, conductor, rating_a)
        may = _may_change(found, conductor) and _stated_a(conductor) is None
        if size_mm2 is None or not may:
            return ()
        changes.append((_says(conductor, size_mm2), _size(found, conductor, size_mm2)))
    return tuple(changes)


def _conductor(found: ToMend) -> Conductor | None:
    """Find the conductor that a finding is about by the place of its own that it names."""
    related = found.finding.related
    return next(
        (
            each.payload
            for each in list_conductors(found.facts)
            if each.payload.path is not None and each.payload.path in related
        ),
        None,
    )


def _find_size(found: ToMend, conductor: Conductor, asked_a: float) -> float | None:
    """Find the smallest size that may be used and surely carries so much where it lies."""
    limits = found.facts.limits
    is_selv = found.facts.plan.supply.is_selv
    least_mm2 = limits["conductor-size"]["smallest_selv" if is_selv else "smallest"]
    share = limits["cable-capacity"]["of_current"] / 100
    if conductor.lead is not None:
        method = METHODS[round(limits["cable-capacity"]["lead_method"])]
        ambient_c = limits["cable-capacity"]["lead_ambient"]
    else:
        cable = conductor.cable
        if cable is None or cable.method is None or cable.ambient_c is None:
            return None
        method, ambient_c = cable.method, cable.ambient_c
    own_mm2 = conductor.size_mm2 or 0.0
    for size_mm2 in (*_THIN_MM2, *SIZES_MM2):
        read = conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c)
        if (
            not below(size_mm2, least_mm2)
            and size_mm2 > own_mm2
            and not below(read.least_a, asked_a * share)
        ):
            return size_mm2
    return None


def _may_change(found: ToMend, conductor: Conductor) -> bool:
    """Tell whether a conductor is still a matter of choice, and stands in the plan's own text."""
    place = _place(found, conductor)
    if not place or not stands(found.data, place):
        return False
    if conductor.lead is not None:
        return not is_laid(found.facts, str(place[1]))
    return not is_handed_over(found.facts)


def _place(found: ToMend, conductor: Conductor) -> Path:
    return parts_of(found.data, conductor.path or "")


def _size(found: ToMend, conductor: Conductor, size_mm2: float) -> Edit:
    return put(found.data, (*_place(found, conductor), "size"), size_mm2, "mm2")


def _stated_a(conductor: Conductor) -> float | None:
    thing = conductor.lead or conductor.cable
    return None if thing is None else thing.capacity_a


def _says(conductor: Conductor, size_mm2: float) -> str:
    if conductor.lead is not None:
        return f"Lay {conductor.name} in {size_mm2:g} mm²."
    name = conductor.name
    if name == "the cable":
        name = f"the cable of circuit {conductor.protection.id}"
    return f"Run {name} in {size_mm2:g} mm²."


MENDERS = (
    Mender(rule="conductor-size", propose=take_larger_size),
    Mender(rule="cable-capacity", propose=state_no_capacity),
    Mender(rule="cable-capacity", propose=take_stronger),
    Mender(rule="voltage-drop", propose=lose_less),
)
