"""A contact behind a breaker that lets more through than the contact is made for."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    format_at_least,
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import common_practice
from underfoot_rules.thermostat.switching import list_breakers, list_thermostats


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the largest breaker before a contact against what the contact can switch."""
    thermostat = subject.payload.drawn.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    breakers = list_breakers(facts.switched.get(subject.room or "", ()), facts.plan)
    if not breakers:
        return None
    contactor = thermostat.contactor
    what, contact_a = (
        ("thermostat", thermostat.switches_a)
        if contactor is None
        else ("contactor", contactor.rating_a)
    )
    if contact_a is None:
        return not_given.SWITCHES if contactor is None else not_given.CONTACTOR_RATING
    circuit = max(breakers, key=lambda name: breakers[name])
    if not above(breakers[circuit], contact_a):
        return None
    stronger = f"a {what} that switches at least {format_at_least(breakers[circuit], 'A')}"
    smaller = f"a breaker rated at most {format_quantity(contact_a, 'A')}"
    may_be_smaller = not above(facts.protections[circuit].current_a, contact_a)
    return Finding(
        message=f"The {what} of room {subject.room} switches at most {{limit}}, but the breaker of "
        f"circuit {circuit}, which protects it, is rated {{measured}}.",
        remedy=f"Fit {smaller}, or {stronger}." if may_be_smaller else f"Fit {stronger}.",
        measured=breakers[circuit],
        most=contact_a,
        details=tuple(
            (f"breaker of circuit {name}", format_quantity(breaker_a, "A"))
            for name, breaker_a in breakers.items()
        ),
        related=(facts.plan.circuits[circuit].path,),
    )


RULE = Rule(
    finds="a thermostat or contactor behind a breaker larger than its contact is made for",
    why="A breaker opens by its own rating: it does not save a contact that is made for less.",
    unit="A",
    basis=common_practice("a switch is protected by a breaker no larger than its own rating"),
    severities=("warning",),
    subjects=list_thermostats,
    check=check,
    electrical=True,
)
