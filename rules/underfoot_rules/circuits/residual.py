"""The facts of residual current protection: the circuits behind one RCD, and what leaks there."""

import math
from collections.abc import Iterable

from msgspec import Struct

from underfoot.api.facts import Facts, ProtectionFacts
from underfoot.api.plan import Circuit, Element, Film
from underfoot.api.rules import join_names


class RcdFacts(Struct, frozen=True, kw_only=True):
    """One RCD and the protection that stands behind it.

    `name` is its group's, None where no circuit shares it. What the plan writes with one circuit of
    a group holds for all.
    """

    name: str | None
    protections: tuple[ProtectionFacts, ...]
    rated_ma: float | None
    type: str | None

    @property
    def whose(self) -> str:
        """Say whose RCD it is: ``circuit C1``, ``circuits C1 and C2 (R1)``."""
        if len(self.protections) == 1:
            return self.protections[0].whose
        return f"circuits {join_names([each.id for each in self.protections])} ({self.name})"


class Leakage(Struct, frozen=True, kw_only=True):
    """What leaks behind an RCD as far as the films state it, in mA; `unstated` are the others."""

    stated_ma: float
    stated: tuple[Film, ...]
    unstated: tuple[Film, ...]


def find_rcd_of(facts: Facts) -> dict[str, RcdFacts]:
    """Find the RCD that each protection stands behind, by the protection's id."""
    return {p.id: rcd for rcd in facts.once(find_rcds) for p in rcd.protections}


def find_rcds(facts: Facts) -> tuple[RcdFacts, ...]:
    """Find the RCDs that protection stands behind, those of groups first."""
    groups: dict[str, list[ProtectionFacts]] = {}
    alone: list[list[ProtectionFacts]] = []
    for protection in facts.protections.values():
        group = protection.circuit.rcd_group
        if group is None:
            alone.append([protection])
        else:
            groups.setdefault(group, []).append(protection)
    writers: dict[str, list[Circuit]] = {}
    if groups:
        for circuit in facts.plan.circuits.values():
            if circuit.rcd_group is not None:
                writers.setdefault(circuit.rcd_group, []).append(circuit)
    found = []
    for members in (*groups.values(), *alone):
        name = members[0].circuit.rcd_group
        told = [members[0].circuit] if name is None else writers[name]
        found.append(
            RcdFacts(
                name=name,
                protections=tuple(sorted(members, key=lambda each: each.id)),
                rated_ma=next((each.rcd_ma for each in told if each.rcd_ma is not None), None),
                type=next((each.rcd_type for each in told if each.rcd_type is not None), None),
            )
        )
    return tuple(found)


def find_leakage(rcd: RcdFacts) -> Leakage:
    """Add up what the strips behind an RCD leak in normal use."""
    elements = [
        element
        for protection in rcd.protections
        for circuit in protection.circuits
        for element in circuit.elements
    ]
    stated: dict[str, Film] = {}
    unstated: dict[str, Film] = {}
    for element in elements:
        kept = unstated if _leaks_ma(element) is None else stated
        kept[element.film.id] = element.film
    return Leakage(
        stated_ma=math.fsum(_known(_leaks_ma(element) for element in elements)),
        stated=tuple(stated.values()),
        unstated=tuple(unstated.values()),
    )


def _known(values: Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def _leaks_ma(element: Element) -> float | None:
    """Return what a strip leaks, in mA; None where its film does not state it."""
    film = element.film
    if film.leakage_ma_m is not None:
        return film.leakage_ma_m * element.length / 1000
    if film.leakage_ma_m2 is not None:
        return film.leakage_ma_m2 * film.width * element.length / 1e6
    return None
