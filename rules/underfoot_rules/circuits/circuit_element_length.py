"""More strip on one circuit than its film allows."""

from underfoot.api.facts import CircuitFacts, Facts, each_circuit
from underfoot.api.rules import Finding, Limits, Rule, Subject, above, at_most
from underfoot_rules.basis import COMMON_PRACTICE, MAKER
from underfoot_rules.circuits.split_circuit import advise_division


def check(subject: Subject[CircuitFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Hold metres of strip against the maker's figure, else equivalent metres against the limit."""
    circuit = subject.payload
    makers = [film for film in circuit.films if film.longest_circuit is not None]
    metres = sum(element.length for element in circuit.elements) / 1000
    if makers:
        film = min(makers, key=lambda film: film.longest_circuit or 0.0)
        most = (film.longest_circuit or 0.0) / 1000
        if above(metres, most):
            return Finding(
                message=f"Circuit {circuit.id} has {{measured}} of strip; the maker of {film.id} "
                "allows at most {limit} on one circuit.",
                remedy=advise_division(circuit, facts),
                measured=metres,
                most=most,
                basis=MAKER,
            )
    if len(makers) == len(circuit.films):
        return None
    equivalent = (
        sum(element.length * element.film.width for element in circuit.elements) / 500 / 1000
    )
    if not above(equivalent, limits["maximum"]):
        return None
    return Finding(
        message=f"Circuit {circuit.id} has as much film as {{measured}} of 500 mm wide strip; "
        "at most {limit} is good practice on one circuit.",
        remedy=advise_division(circuit, facts),
        measured=equivalent,
        most=limits["maximum"],
        limit_key="maximum",
    )


RULE = Rule(
    severities=("warning",),
    finds="more strip on one circuit than the film's maker allows, or than is good practice",
    why="The longer the chain, the more joints carry its whole current, and one fault takes all.",
    unit="m",
    basis=COMMON_PRACTICE,
    subjects=each_circuit,
    check=check,
    limits=(at_most("maximum", 30, "m", "most metres of 500 mm wide strip, other widths by area"),),
    electrical=True,
)
