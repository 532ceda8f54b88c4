"""A thermostat, or its contactor, that switches more current than it is made for."""

import math

from underfoot.api.facts import CircuitFacts, Facts, RoomFacts
from underfoot.api.plan import Thermostat
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    format_at_least,
    format_quantity,
    join_names,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import MAKER
from underfoot_rules.thermostat.switching import list_breakers, list_thermostats


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Add up what one contact carries: all circuits, or through a contactor each pole's."""
    thermostat = subject.payload.drawn.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    circuits = facts.switched.get(subject.room or "", ())
    if not circuits:
        return None
    if thermostat.contactor is not None:
        return _check_contactor(thermostat, circuits, facts)
    if thermostat.switches_a is None:
        return not_given.SWITCHES
    current_a = math.fsum(circuit.current_a for circuit in circuits)
    if not above(current_a, thermostat.switches_a):
        return None
    return Finding(
        message=f"The thermostat of room {subject.room} switches at most {{limit}}, but "
        f"{_named(circuits)} {_draw(circuits)} {{measured}}.",
        remedy=f"Take one that switches at least {_say_rating(current_a, circuits, facts)}, "
        "or let it switch a contactor rated for each circuit, with a pole a circuit.",
        measured=current_a,
        most=thermostat.switches_a,
        details=_currents(circuits),
    )


def _check_contactor(
    thermostat: Thermostat, circuits: tuple[CircuitFacts, ...], facts: Facts
) -> Finding | CannotTell | None:
    contactor = thermostat.contactor
    if contactor is None or contactor.rating_a is None:
        return not_given.CONTACTOR_RATING
    poles: dict[str, list[CircuitFacts]] = {}
    for circuit in circuits:
        poles.setdefault(circuit.protection, []).append(circuit)
    fullest = max(poles.values(), key=lambda on_pole: math.fsum(c.current_a for c in on_pole))
    current_a = math.fsum(circuit.current_a for circuit in fullest)
    if not above(current_a, contactor.rating_a):
        return None
    one = tuple(fullest)
    return Finding(
        message=f"The contactor is rated {{limit}}, but {_named(one)} {_draw(one)} {{measured}} "
        "through one pole.",
        remedy=f"Take a contactor rated at least {_say_rating(current_a, circuits, facts)}, "
        "or divide the strips over more circuits, each with its own pole.",
        measured=current_a,
        most=contactor.rating_a,
        details=_currents(circuits),
        related=(contactor.path,),
    )


def _say_rating(current_a: float, circuits: tuple[CircuitFacts, ...], facts: Facts) -> str:
    """Say what a contact must switch: what the strips draw, and no less than its breaker."""
    breaker_a = max(list_breakers(circuits, facts.plan).values(), default=0.0)
    if above(breaker_a, current_a):
        return f"{format_at_least(breaker_a, 'A')}, as its breaker is rated"
    return format_at_least(current_a, "A")


def _named(circuits: tuple[CircuitFacts, ...]) -> str:
    names = [circuit.id for circuit in circuits]
    return f"circuits {join_names(names)} together" if len(names) > 1 else f"circuit {names[0]}"


def _draw(circuits: tuple[CircuitFacts, ...]) -> str:
    return "draw" if len(circuits) > 1 else "draws"


def _currents(circuits: tuple[CircuitFacts, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((f"circuit {c.id}", format_quantity(c.current_a, "A")) for c in circuits)


RULE = Rule(
    finds="a thermostat or its contactor that switches less than its circuits draw",
    why="A contact that carries more than its rating welds shut or burns, and the floor stays on.",
    unit="A",
    basis=MAKER,
    subjects=list_thermostats,
    check=check,
    electrical=True,
    protects_life=True,
)
