"""Chooses sizes of cables, links and leads that bear what goes through them."""

import math
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
# Nothing thicker is let into boards below a floor, mm2: common practice in the trade, no source.
_THICKEST_LEAD_MM2 = 4.0


def take_larger_size(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest size that carries what the breaker lets through, else the current."""
    conductor = _conductor(found)
    if conductor is None:
        return
    breaker_a = conductor.protection.circuit.breaker_a or 0.0
    current_a = find_current_a(conductor, found.facts)
    for asked_a in (max(breaker_a, current_a), current_a):
        larger = _take_larger(found, conductor, asked_a)
        if larger is not None:
            yield larger


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


def strengthen(found: ToMend, protection: ProtectionFacts, rating_a: float) -> tuple[Proposal, ...]:
    """Return what makes all conductors behind a breaker bear its rating; nothing where none may."""
    changes = []
    for conductor in conductors_of(protection, found.facts):
        carrying = find_carrying(conductor, limits_of("cable-capacity", found.facts))
        if not isinstance(carrying, Carrying):
            return ()
        if not below(carrying.sure_a, rating_a):
            continue
        larger = _take_larger(found, conductor, rating_a)
        if larger is None:
            return ()
        changes.append(larger)
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


def _take_larger(found: ToMend, conductor: Conductor, asked_a: float) -> Proposal | None:
    """Take the smallest size that may be used and surely carries so much where it lies.

    Of one whose capacity the designer has worked out, the larger size carries as much less than
    the tables give as this one does.
    """
    limits = found.facts.limits
    least_mm2 = limits["conductor-size"][
        "smallest_selv" if found.facts.plan.supply.is_selv else "smallest"
    ]
    asked_a *= limits["cable-capacity"]["of_current"] / 100
    stated_a = _stated_a(conductor)
    own_mm2 = conductor.size_mm2 or 0.0
    table_a = _read_table(found, conductor, own_mm2) if own_mm2 else None
    if not _may_change(found, conductor):
        return None
    derating = 1.0
    if stated_a is not None:
        if not table_a or stated_a > table_a:
            return None  # what is said of it is not worked out from its size
        derating = stated_a / table_a
    for size_mm2 in (*_THIN_MM2, *SIZES_MM2):
        if below(size_mm2, least_mm2) or size_mm2 <= own_mm2:
            continue
        most_a = _read_table(found, conductor, size_mm2)
        if most_a is None or (conductor.lead is not None and size_mm2 > _THICKEST_LEAD_MM2):
            return None
        carries_a = math.floor(10 * most_a * derating + 1e-6) / 10
        if stated_a is None and not below(most_a, asked_a):
            return _run_in(found, conductor, size_mm2)
        if stated_a is not None and not below(carries_a, asked_a):
            return _run_in(found, conductor, size_mm2, carries_a)
    return None


def _read_table(found: ToMend, conductor: Conductor, size_mm2: float) -> float | None:
    """Read what a size surely carries where the conductor lies, in A; None where it is not told."""
    limits = found.facts.limits["cable-capacity"]
    if conductor.lead is not None:
        method, ambient_c = METHODS[round(limits["lead_method"])], limits["lead_ambient"]
    else:
        cable = conductor.cable
        if cable is None or cable.method is None or cable.ambient_c is None:
            return None
        method, ambient_c = cable.method, cable.ambient_c
    return conductors.find_capacity(size_mm2, cast(conductors.Method, method), ambient_c).least_a


def _run_in(
    found: ToMend, conductor: Conductor, size_mm2: float, carries_a: float | None = None
) -> Proposal:
    says, edits = _says(conductor, size_mm2), [_size(found, conductor, size_mm2)]
    if carries_a is not None:
        says = f"{says[:-1]}, which carries {carries_a:g} A by the same derating."
        path = (*_place(found, conductor), "capacity")
        edits.append(put(found.data, path, carries_a, "A"))
    return Proposal(says=says, edits=tuple(edits))


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
    Mender(rule="cable-capacity", propose=take_larger_size),
    Mender(rule="voltage-drop", propose=lose_less),
)
