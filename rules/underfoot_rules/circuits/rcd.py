"""Protection without an RCD, or with one that trips too late."""

from underfoot.api.facts import Facts, ProtectionFacts
from underfoot.api.rules import Finding, Limits, Rule, Subject, above, at_most
from underfoot_rules.basis import standard
from underfoot_rules.circuits.residual import find_rcd_of


def subjects(facts: Facts) -> tuple[Subject[ProtectionFacts], ...]:
    """Every protection that carries strips; none where the supply is SELV."""
    return () if facts.plan.supply.is_selv else facts.protection_subjects


def check(subject: Subject[ProtectionFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Look for an RCD, its own or its group's, and compare its residual current."""
    protection = subject.payload
    rcd_ma = facts.once(find_rcd_of)[protection.id].rated_ma
    if rcd_ma is None:
        return Finding(
            message=f"No RCD is given for {protection.whose}.",
            remedy=f"Protect it by an RCD of {limits['maximum']:g} mA or less, and state it: "
            f"`rcd: {limits['maximum']:g} mA`.",
        )
    if not above(rcd_ma, limits["maximum"]):
        return None
    return Finding(
        message=f"The RCD of {protection.whose} trips at {{measured}}; at most {{limit}} is "
        "allowed.",
        remedy="Use an RCD of {limit} or less.",
        measured=rcd_ma,
        most=limits["maximum"],
        limit_key="maximum",
    )


RULE = Rule(
    finds="protection with no RCD, or one that trips at too great a residual current",
    why="A nail through the film can make the floor live: only an RCD disconnects in time.",
    unit="mA",
    basis=standard("IEC 60364-7-753, 753.415.1"),
    subjects=subjects,
    check=check,
    limits=(at_most("maximum", 30, "mA", "greatest residual current"),),
    electrical=True,
    protects_life=True,
)
