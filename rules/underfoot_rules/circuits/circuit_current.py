"""A circuit that draws more than one circuit, or its film's connectors, should."""

from underfoot.api.facts import (
    CircuitFacts,
    Facts,
    each_circuit,
    find_currents_behind,
    gather_circuit_leads,
)
from underfoot.api.plan import Film
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    join_names,
)
from underfoot_rules.basis import COMMON_PRACTICE, MAKER
from underfoot_rules.circuits.split_circuit import advise_division


def check(
    subject: Subject[CircuitFacts], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the sum of its strips' currents at the supply voltage.

    On the mains with one limit for all; at extra-low voltage, where currents are large, what goes
    through one lead with what the film's connectors may carry.
    """
    circuit = subject.payload
    stated = [film for film in circuit.films if film.largest_current_a is not None]
    if stated:
        film = min(stated, key=lambda film: film.largest_current_a or 0.0)
        finding = _judge_connectors(circuit, film, facts)
        if finding is not None:
            return finding
    if not above(circuit.current_a, limits["maximum"]):
        return None
    if not facts.plan.supply.is_extra_low:
        return Finding(
            message=f"Circuit {circuit.id} draws {{measured}}; one circuit may draw at most "
            "{limit}.",
            remedy=advise_division(circuit, facts),
            measured=circuit.current_a,
            most=limits["maximum"],
            limit_key="maximum",
        )
    unstated = [film.id for film in circuit.films if film.largest_current_a is None]
    if unstated and above(_through_one_lead(circuit, facts), limits["maximum"]):
        return CannotTell(
            why=f"what the connectors of {join_names(unstated)} may carry is not given",
            write=f"Write `largest_current` with {join_names(unstated)}, as the maker states it.",
        )
    return None


def _judge_connectors(circuit: CircuitFacts, film: Film, facts: Facts) -> Finding | None:
    most_a = film.largest_current_a or 0.0
    # No lead carries more than the whole circuit: most need no closer look.
    if not above(circuit.current_a, most_a):
        return None
    through_a = _through_one_lead(circuit, facts)
    if not above(through_a, most_a):
        return None
    return Finding(
        message=f"Circuit {circuit.id} sends {{measured}} through one lead and its first "
        f"connector; the maker of {film.id} allows at most {{limit}}.",
        remedy="Take a lead of its own to some of the strips, or divide them over more circuits.",
        measured=through_a,
        most=most_a,
        basis=MAKER,
        related=(film.path,),
    )


def _through_one_lead(circuit: CircuitFacts, facts: Facts) -> float:
    """Return the greatest current in a lead of the circuit, in A; its whole current without one."""
    leads = facts.once(gather_circuit_leads).get(circuit.id, ())
    if not leads:
        return circuit.current_a
    currents = facts.once(find_currents_behind, circuit.protection)
    most_a = max(currents.get(laid.lead.id, 0.0) for _, laid in leads)
    return most_a or circuit.current_a


RULE = Rule(
    finds="a circuit whose own current is above the limit, or above what its connectors bear",
    why="Too much current heats connectors, leads and the thermostat's contact where none can see.",
    unit="A",
    basis=COMMON_PRACTICE,
    subjects=each_circuit,
    check=check,
    limits=(at_most("maximum", 10, "A", "greatest current of one circuit on the mains"),),
    electrical=True,
    protects_life=True,
)
