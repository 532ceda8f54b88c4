"""A breaker that is missing, too small for the current, or too large for the conductors."""

from __future__ import annotations

from underfoot.api import (
    METHODS,
    CannotTell,
    Carrying,
    Facts,
    Finding,
    Limit,
    Limits,
    ProtectionFacts,
    Rule,
    Subject,
    Unknown,
    above,
    find_cable_capacity,
    find_lead_capacity,
    find_rating_at_least,
    find_rating_at_most,
    written,
)
from underfoot_rules.basis import standard


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every protection that carries strips."""
    return facts.protection_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Ask that current, breaker and conductors rise in that order."""
    protection: ProtectionFacts = subject.thing
    asked_a = protection.current_a * limits["of_current"] / 100
    known, unknown = _capacities(protection, facts, limits)
    weakest, weakest_name = min(
        ((carrying.current_a, name) for name, carrying in known.items()),
        default=(float("inf"), ""),
    )
    fitting = _fitting(asked_a, weakest, weakest_name)
    breaker_a = protection.circuit.breaker_a
    if breaker_a is None:
        return Finding(
            message=f"No breaker is given for {protection.whose}, which draws "
            f"{_drawn(protection, limits)}.",
            remedy=fitting,
        )
    if above(asked_a, breaker_a):
        return Finding(
            message=f"The breaker of {protection.whose} is rated {{limit}}, but the strips draw "
            f"{_drawn(protection, limits, breaker_a)}.",
            remedy=fitting,
            measured=asked_a,
            most=breaker_a,
            limit_key="of_current" if limits["of_current"] != 100 else None,
            details=_details(protection),
        )
    if above(breaker_a, weakest):
        return Finding(
            message=f"The breaker of {protection.whose} is rated {{measured}}, but {weakest_name} "
            "can carry only {limit}.",
            remedy=fitting,
            measured=breaker_a,
            most=weakest,
            details=tuple((name, carrying.how) for name, carrying in known.items()
                          if above(breaker_a, carrying.current_a)),
        )  # fmt: skip
    return CannotTell(*unknown[0]) if unknown else None


def _capacities(
    protection: ProtectionFacts, facts: Facts, limits: Limits
) -> tuple[dict[str, Carrying], list[Unknown]]:
    """Find what each conductor can carry, by its name, and what is not known."""
    of_leads = limits.of("cable-capacity")
    method = METHODS[round(of_leads["lead_method"])]
    found: dict[str, Carrying | Unknown] = {
        "the cable": find_cable_capacity(protection.circuit.cable, protection.id)
    }
    for circuit in protection.circuits:
        for _, laid in facts.circuit_leads.get(circuit.id, ()):
            lead = laid.lead
            found[f"lead {lead.id}"] = find_lead_capacity(lead, method, of_leads["lead_ambient"])
    known = {name: each for name, each in found.items() if isinstance(each, Carrying)}
    return known, [each for each in found.values() if isinstance(each, Unknown)]


def _fitting(asked_a: float, weakest_a: float, weakest_name: str) -> str:
    """Name the standard rating that suits both, or what must be stronger for one."""
    least = find_rating_at_least(asked_a)
    if least is None:
        return "Divide the strips over more circuits: no standard rating carries so much."
    if least <= weakest_a + 1e-6:
        most = find_rating_at_most(weakest_a) if weakest_a != float("inf") else None
        if most is None or most == least:
            return f"Use a breaker rated {least:g} A."
        return f"Use a breaker rated {least:g} A, or up to {most:g} A."
    return (
        f"The current asks for a breaker rated {least:g} A, but {weakest_name} can carry only "
        f"{written(weakest_a, 'A')}: make that stronger too, or divide the strips over more "
        "circuits."
    )


def _drawn(protection: ProtectionFacts, limits: Limits, apart_from: float | None = None) -> str:
    share = limits["of_current"]
    drawn = written(protection.current_a, "A", apart_from)
    if share == 100:
        return drawn if apart_from is None else "{measured}"
    asked = written(protection.current_a * share / 100, "A") if apart_from is None else "{measured}"
    return f"{drawn} × {written(share, '%')} = {asked}"


def _details(protection: ProtectionFacts) -> tuple[tuple[str, str], ...]:
    if len(protection.circuits) < 2:
        return ()
    return tuple((f"circuit {c.id}", written(c.current_a, "A")) for c in protection.circuits)


RULE = Rule(
    id="breaker-rating",
    topic="circuits",
    severities=("error",),
    finds="protection without a breaker, or a breaker too small for the current or too large for "
    "the conductors",
    why="Too small it trips on a cold evening; too large it lets the cable burn before it trips.",
    unit="A",
    basis=standard("IEC 60364-4-43, 433.1"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(
        Limit("of_current", 100, "%", "share of the current that a breaker is sized for", "higher"),
    ),
    electrical=True,
    protects_life=True,
)
