"""A SELV source that is too weak for its strips."""

import math

from underfoot.api.facts import Facts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, above, format_quantity
from underfoot_rules.basis import MAKER


def subjects(facts: Facts) -> tuple[Subject[None], ...]:
    """The source of a SELV supply, where it feeds strips; a battery has no such rating."""
    source = facts.plan.supply.source
    if source is None or source.kind == "battery" or not facts.protections:
        return ()
    return (Subject(room=None, items=(), path=source.path),)


def check(subject: Subject[None], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the power of all circuits against the rating."""
    supply = facts.plan.supply
    circuits = [circuit for circuit in facts.circuits.values() if circuit.elements]
    load_va = math.fsum(circuit.power_w for circuit in circuits)
    rating_va = supply.source.rating_va if supply.source is not None else None
    if rating_va is None:
        return CannotTell(
            why="the rating of the supply's source is not given",
            write="Write `rating` with the source, at least "
            f"{format_quantity(math.ceil(load_va), 'VA')}.",
        )
    if not above(load_va, rating_va):
        return None
    return Finding(
        message="All circuits together load the supply's source with {measured}; it is rated "
        "{limit}.",
        remedy=f"Use a source rated {format_quantity(math.ceil(load_va), 'VA')} or more, or divide "
        "the circuits over several.",
        measured=load_va,
        most=rating_va,
        details=tuple((f"circuit {c.id}", format_quantity(c.power_w, "VA")) for c in circuits),
    )


RULE = Rule(
    finds="all circuits together above the rating of the source of a SELV supply",
    why="A transformer that carries too much for hours on end bakes the insulation that SELV rests "
    "on.",
    unit="VA",
    basis=MAKER,
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
