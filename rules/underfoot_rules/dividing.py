"""Divides the strips of a circuit over the fewest circuits that meet all limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underfoot.api import CircuitFacts, Facts, element_current_a, listed, written

_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Part:
    """One of the circuits to make: its strips, in order, and what it would draw."""

    strips: tuple[str, ...]
    current_a: float


def divide(loads: Sequence[tuple[float, ...]], most: Sequence[float]) -> list[list[int]] | None:
    """Cut a row of loads into the fewest runs of neighbours of which none passes a limit.

    Each load has one number for each limit in `most`. Of the cuts with the fewest runs the one
    whose fullest run is least full is given, the first in order where several are. None where a
    load alone passes a limit.
    """
    count = len(loads)
    sums = [(0.0,) * len(most)]
    for load in loads:
        sums.append(tuple(have + more for have, more in zip(sums[-1], load, strict=True)))

    def fullness(first: int, last: int) -> float:
        return max(
            (end - start) / limit if limit > 0 else math.inf
            for start, end, limit in zip(sums[first], sums[last], most, strict=True)
        )

    best: list[tuple[float, float, int]] = [(0, 0.0, 0)]
    for last in range(1, count + 1):
        choice = (math.inf, math.inf, -1)
        for first in range(last - 1, -1, -1):
            full = fullness(first, last)
            if full > 1 + _SLACK:
                break
            runs, fullest, _ = best[first]
            candidate = (runs + 1, max(fullest, full), first)
            if candidate < choice:
                choice = candidate
        best.append(choice)
    if best[count][0] == math.inf:
        return None
    runs: list[list[int]] = []
    last = count
    while last:
        first = best[last][2]
        runs.append(list(range(first, last)))
        last = first
    return runs[::-1]


def equivalent_m(circuit: CircuitFacts) -> tuple[float, ...]:
    """Give each strip's length in metres of 500 mm wide strip of the same area."""
    return tuple(
        element.length * element.film.width / 500 / 1000 for element in circuit.elements
    )


def advise_division(circuit: CircuitFacts, facts: Facts) -> str:
    """Say into how many circuits a circuit's strips go, which on each, and what each draws."""
    supply_v = facts.plan.supply.voltage_v
    currents = [element_current_a(element, supply_v) for element in circuit.elements]
    most_m, metres = length_limit(circuit, facts)
    most = (facts.limits["circuit-current"]["maximum"], most_m)
    runs = divide(list(zip(currents, metres, strict=True)), most)
    if runs is None:
        return (
            "A single strip passes the limit by itself: cut it into shorter strips, then divide "
            "them over several circuits."
        )
    parts = [
        Part(
            tuple(circuit.elements[place].id for place in run),
            sum(currents[place] for place in run),
        )
        for run in runs
    ]
    said = "; ".join(
        f"{listed(part.strips)} ({written(part.current_a, 'A')})" for part in parts
    )
    return (
        f"Divide the strips over {len(parts)} circuits, each with its own protection: {said}."
    )


def length_limit(circuit: CircuitFacts, facts: Facts) -> tuple[float, tuple[float, ...]]:
    """Give the most metres that a circuit may have, and each strip's metres counted that way."""
    makers = [film.longest_circuit for film in circuit.films if film.longest_circuit is not None]
    if makers:
        return min(makers) / 1000, tuple(element.length / 1000 for element in circuit.elements)
    return facts.limits["circuit-element-length"]["maximum"], equivalent_m(circuit)
