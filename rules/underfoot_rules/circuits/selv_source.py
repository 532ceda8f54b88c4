"""A supply called SELV that is none: too high a voltage, or no source that is made for it."""

import math
import re

from underfoot.api.facts import Facts
from underfoot.api.plan import Source
from underfoot.api.rules import Finding, Limits, Rule, Subject, above, at_most
from underfoot_rules.basis import standard

PROTECTION = (
    "Until then all that mains asks for is asked for here: RCD, earthed grid, zones of a bath."
)
# Parts of IEC 61558 for safety isolating transformers, and for power supplies that hold one.
_SAFE_PARTS = {"6", "16"}


def subjects(facts: Facts) -> tuple[Subject[None], ...]:
    """The supply, where it is called SELV and feeds strips."""
    supply = facts.plan.supply
    if supply.system != "SELV" or not facts.heated_rooms:
        return ()
    return (Subject(room=None, items=(), path=supply.path),)


def check(subject: Subject[None], facts: Facts, limits: Limits) -> Finding | None:
    """Ask for extra-low voltage, then for its source, then for the source's standard."""
    supply = facts.plan.supply
    if above(supply.voltage_v, limits["greatest"]):
        return Finding(
            message="The supply is called SELV, but has {measured}; at most {limit} is extra-low "
            "voltage.",
            remedy=f"Write `system: mains`, or correct the voltage. {PROTECTION}",
            measured=supply.voltage_v,
            most=limits["greatest"],
            limit_key="greatest",
            severity="error",
        )
    source = supply.source
    if source is None or source.kind is None:
        what = "its source" if source is None else "the kind of its source"
        return Finding(
            message=f"The supply is called SELV, but {what} is not written: nothing says that the "
            "mains cannot reach the film.",
            remedy="Feed it out of a safety isolating transformer, and write it: `source: {kind: "
            f"safety isolating transformer, standard: IEC 61558-2-6, rating: {_rate(facts)} VA}}`. "
            f"{PROTECTION}",
            severity="error",
            path=source.path if source is not None else None,
        )
    if not source.is_safe:
        return Finding(
            message=f"The supply is called SELV, but its source is written as `{source.kind}`, "
            "which does not keep the mains from the film as SELV asks.",
            remedy=f"Use a safety isolating transformer (IEC 61558-2-6). {PROTECTION}",
            severity="error",
            path=source.path,
        )
    return _judge_standard(source)


def _rate(facts: Facts) -> int:
    """Return a rating, in whole hundreds of VA, that bears all circuits together."""
    load_va = math.fsum(circuit.power_w for circuit in facts.circuits.values())
    return max(100, math.ceil(load_va / 100 - 1e-6) * 100)


def _judge_standard(source: Source) -> Finding | None:
    if source.kind == "battery":
        return None
    parts = set(re.findall(r"61558-2-([0-9]+)", source.standard or ""))
    if parts & _SAFE_PARTS:
        return None
    if parts:
        return Finding(
            message=f"The source of the SELV supply is made to {source.standard}, which is not for "
            "the source of a SELV supply.",
            remedy="Use a safety isolating transformer to IEC 61558-2-6, or a power supply to "
            "IEC 61558-2-16.",
            severity="error",
            path=source.path,
        )
    said = (
        "no standard is written for it"
        if source.standard is None
        else f"{source.standard} does not say that it is a safety source"
    )
    return Finding(
        message=f"The source of the SELV supply is called a {source.kind}, but {said}.",
        remedy="Read its plate and write it: `standard: IEC 61558-2-6` for a safety isolating "
        "transformer, IEC 61558-2-16 for a power supply that holds one.",
        severity="warning",
        path=source.path,
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a supply called SELV at more than extra-low voltage, or without a source made for it",
    why="SELV is safe by its source alone: without one, the mains can stand on the film.",
    unit="V",
    basis=standard(
        "IEC 60364-4-41, 414: at most 50 V alternating, out of a safety isolating transformer to "
        "IEC 61558-2-6 or a source as safe (from memory, as is part 2-16 for power supplies)"
    ),
    subjects=subjects,
    check=check,
    limits=(at_most("greatest", 50, "V", "greatest alternating voltage of SELV"),),
    electrical=True,
    protects_life=True,
)
