"""A film for another voltage than the supply's, by the power that it gives there."""

import math

from underfoot.api.facts import Facts
from underfoot.api.plan import Film
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    at_most,
    below,
    format_quantity,
)
from underfoot_rules.basis import common_practice


def subjects(facts: Facts) -> tuple[Subject[Film], ...]:
    """Every film that strips are cut from."""
    return tuple(
        Subject(room=None, items=(film.id,), path=film.path, payload=film)
        for film in facts.films_in_use.values()
    )


def check(subject: Subject[Film], facts: Facts, limits: Limits) -> Finding | None:
    """Hold the power at the supply's voltage against the rated one, by the square of both."""
    film = subject.payload
    supply_v = facts.plan.supply.voltage_v
    share = 100 * (supply_v / film.voltage_v) ** 2
    if above(share, limits["most"]):
        return Finding(
            message=f"{_said(film, supply_v)} It gives {{measured}} of its rated power there; at "
            "most {limit} is allowed.",
            remedy=_remedy(film, facts),
            measured=share,
            most=limits["most"],
            limit_key="most",
            severity="error",
            related=(facts.plan.supply.path,),
        )
    if not below(share, limits["least"]):
        return None
    return Finding(
        message=f"{_said(film, supply_v)} It gives only {{measured}} of its rated power there; at "
        "least {limit} is expected.",
        remedy=_remedy(film, facts),
        measured=share,
        least=limits["least"],
        limit_key="least",
        severity="warning",
        related=(facts.plan.supply.path,),
    )


def _said(film: Film, supply_v: float) -> str:
    return (
        f"Film {film.id} is made for {format_quantity(film.voltage_v, 'V')}, but the supply has "
        f"{format_quantity(supply_v, 'V')}."
    )


def _remedy(film: Film, facts: Facts) -> str:
    supply = facts.plan.supply
    to_neutral_v = supply.voltage_v / math.sqrt(3)
    if supply.phases == 3 and abs(to_neutral_v - film.voltage_v) < 0.05 * film.voltage_v:
        return (
            f"Give the voltage between a phase and neutral, {format_quantity(to_neutral_v, 'V')}, "
            "if that is what the film is joined to; never join it between two phases."
        )
    return (
        f"Use a film made for {format_quantity(supply.voltage_v, 'V')}, or correct the film's or "
        "the supply's voltage."
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a film that gives too much or too little of its rated power at the supply's voltage",
    why="Power goes with the square of the voltage: a tenth too much is a fifth more heat.",
    unit="%",
    basis=common_practice(
        "power goes with the square of the voltage; what the supply's own tolerance (IEC 60038: "
        "230 V ± 10 %) may add comes on top of this, so it is no licence to begin above"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most("most", 110, "%", "most of its rated power that a film may give"),
        at_least("least", 90, "%", "least of its rated power that a film should give"),
    ),
    electrical=True,
    protects_life=True,
)
