"""Divides the strips of a circuit over the fewest circuits that meet all limits."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.facts import CircuitFacts, Facts, RoomFacts, element_current_a
from underfoot.api.plan import Element
from underfoot.api.rules import format_quantity, join_names

_SLACK = 1e-9
# Strips of another room are no neighbours at all (mm).
_ANOTHER_ROOM = 1e9
# Strips no farther apart are butted (mm).
_BUTTED = 10.0
# Up to this many strips each is measured against each; beyond, the plan's order will do.
_MOST_MEASURED = 300


class Load(Struct, frozen=True, kw_only=True):
    """What one strip puts on a circuit: amperes, metres, metres of 500 mm strip of the same area.

    `longest_m` is the most metres that its maker allows on one circuit, None where none is given.
    """

    current_a: float
    length_m: float
    equivalent_m: float
    longest_m: float | None


class Most(Struct, frozen=True, kw_only=True):
    """The most that one circuit may have, its maker's figure aside."""

    current_a: float
    equivalent_m: float


class Cut(Struct, frozen=True, kw_only=True):
    """A row of strips cut into runs: how many, how far apart neighbours in a run lie, how full."""

    runs: tuple[tuple[int, ...], ...]
    apart: float
    fullest: float

    @property
    def rank(self) -> tuple[int, float, float]:
        """Fewest first, then neighbours together, then evenly filled."""
        return (len(self.runs), self.apart, round(self.fullest, 9))


def divide(loads: Sequence[Load], most: Most, steps: Sequence[float]) -> Cut | None:
    """Cut a row of strips into the fewest runs of neighbours of which none passes a limit.

    `steps` are the distances from each strip to the next, one fewer than there are strips. Of the
    cuts with the fewest runs the one with the least distance left inside runs is given, of those
    the one whose fullest run is least full. None where a strip alone passes a limit.
    """
    best: list[tuple[int, float, float, int]] = [(0, 0.0, 0.0, 0)]
    unreached = (len(loads) + 1, math.inf, math.inf, -1)
    for last in range(1, len(loads) + 1):
        choice = unreached
        run = _Run()
        apart = 0.0
        for first in range(last - 1, -1, -1):
            run = run.add(loads[first])
            if first < last - 1:
                apart += steps[first]
            full = run.fullness(most)
            if full > 1 + _SLACK:
                break
            runs, before, fullest, _ = best[first]
            choice = min(choice, (runs + 1, before + apart, max(fullest, full), first))
        best.append(choice)
    count, apart, fullest, _ = best[-1]
    if count > len(loads):
        return None
    found: list[tuple[int, ...]] = []
    last = len(loads)
    while last:
        first = best[last][3]
        found.append(tuple(range(first, last)))
        last = first
    return Cut(runs=tuple(reversed(found)), apart=apart, fullest=fullest)


class _Run(Struct, frozen=True, kw_only=True):
    """The sums of a run of strips."""

    current_a: float = 0.0
    length_m: float = 0.0
    equivalent_m: float = 0.0
    longest_m: float = math.inf
    unlimited: bool = False

    def add(self, load: Load) -> _Run:
        return _Run(
            current_a=self.current_a + load.current_a,
            length_m=self.length_m + load.length_m,
            equivalent_m=self.equivalent_m + load.equivalent_m,
            longest_m=min(self.longest_m, math.inf if load.longest_m is None else load.longest_m),
            unlimited=self.unlimited or load.longest_m is None,
        )

    def fullness(self, most: Most) -> float:
        return max(
            _share(self.current_a, most.current_a),
            _share(self.length_m, self.longest_m),
            _share(self.equivalent_m, most.equivalent_m) if self.unlimited else 0.0,
        )


def _share(value: float, most: float) -> float:
    return value / most if most > 0 else math.inf


def load_of(element: Element, supply_v: float) -> Load:
    """Return what a strip puts on its circuit."""
    longest = element.film.longest_circuit
    return Load(
        current_a=element_current_a(element, supply_v),
        length_m=element.length / 1000,
        equivalent_m=element.length * element.film.width / 500 / 1000,
        longest_m=None if longest is None else longest / 1000,
    )


def advise_division(circuit: CircuitFacts, facts: Facts) -> str:
    """Say into how many circuits a circuit's strips go, which on each, and what each draws."""
    most = _limits_of_one(facts)
    loads = _loads(circuit, facts)
    alone = [name for name, load in loads.items() if _Run().add(load).fullness(most) > 1 + _SLACK]
    if alone:
        return (
            f"{join_names(alone, most=4)} "
            f"{'passes' if len(alone) == 1 else 'pass'} the limit alone: cut shorter strips there, "
            "then divide them over several circuits."
        )
    runs = find_division(circuit, facts) or ()
    said = "; ".join(_part(run, loads) for run in runs)
    return (
        f"Divide the strips over {len(runs)} circuits, each with its own protection and its own "
        f"lead, the leads side by side: {said}."
        f"{_switch(circuit, facts, len(runs) - 1)}{_test(circuit, facts)}"
    )


def find_division(
    circuit: CircuitFacts, facts: Facts, most_a: float = math.inf
) -> tuple[tuple[Element, ...], ...] | None:
    """Divide a circuit's strips into the fewest runs that one circuit each may have.

    `most_a` is what one may draw where that is less than the limit. None where a strip alone
    passes a limit.
    """
    loads, most = _loads(circuit, facts), _limits_of_one(facts, most_a)
    cuts: list[tuple[tuple[int, float, float], int, Cut, tuple[Element, ...]]] = []
    for order, steps in _orders(circuit, facts):
        cut = divide([loads[element.id] for element in order], most, steps)
        if cut is not None:
            cuts.append((cut.rank, len(cuts), cut, order))
    if not cuts:
        return None
    _, _, cut, order = min(cuts)
    return tuple(tuple(order[place] for place in run) for run in cut.runs)


def may_be_one(strips: Sequence[Element], facts: Facts) -> bool:
    """Tell whether one circuit may have these strips."""
    run = _Run()
    for element in strips:
        run = run.add(load_of(element, facts.plan.supply.voltage_v))
    return run.fullness(_limits_of_one(facts)) <= 1 + _SLACK


def _limits_of_one(facts: Facts, most_a: float = math.inf) -> Most:
    return Most(
        current_a=min(most_a, facts.limits["circuit-current"]["maximum"]),
        equivalent_m=facts.limits["circuit-element-length"]["maximum"],
    )


def _loads(circuit: CircuitFacts, facts: Facts) -> dict[str, Load]:
    supply_v = facts.plan.supply.voltage_v
    return {element.id: load_of(element, supply_v) for element in circuit.elements}


def _switch(circuit: CircuitFacts, facts: Facts, more: int) -> str:
    """Say what switches that many circuits more: one contact may not tie them together."""
    thermostat = circuit.circuit.thermostat
    room = facts.plan.rooms.get(thermostat or "")
    drawn = room.thermostat if room is not None else None
    if thermostat is None or drawn is None:
        return ""
    switched = facts.switched.get(thermostat, ())
    poles = len({each.protection for each in switched}) + more
    contactor = drawn.contactor
    if contactor is not None and contactor.poles is not None and contactor.poles >= poles:
        return ""
    return (
        f" Let the thermostat switch a contactor with {poles} poles or more, one a circuit, that "
        "bear what they switch."
    )


def _test(circuit: CircuitFacts, facts: Facts) -> str:
    tested = any(test.circuit == circuit.id for test in facts.plan.tests)
    return " Test each of them anew." if tested else ""


def _part(strips: Sequence[Element], loads: dict[str, Load]) -> str:
    current_a = math.fsum(loads[strip.id].current_a for strip in strips)
    length_m = math.fsum(loads[strip.id].length_m for strip in strips)
    drawn = f"{format_quantity(current_a, 'A')}, {format_quantity(length_m, 'm')}"
    return f"{name_strips(strips)} ({drawn})"


def name_strips(strips: Sequence[Element]) -> str:
    """List strips, neighbours of a row as a span: ``A1 to A4 and E1``."""
    spans: list[list[Element]] = []
    for strip in strips:
        if spans and _follows(spans[-1], strip):
            spans[-1].append(strip)
        else:
            spans.append([strip])
    said: list[str] = []
    for span in spans:
        if len(span) > 2:
            said.append(f"{span[0].id} to {span[-1].id}")
        else:
            said += [strip.id for strip in span]
    return join_names(said)


def _follows(span: list[Element], strip: Element) -> bool:
    last = span[-1]
    if strip.row is None or strip.row != last.row:
        return False
    step = _number(strip) - _number(last)
    return abs(step) == 1 and (len(span) == 1 or step == _number(last) - _number(span[-2]))


def _number(strip: Element) -> int:
    digits = strip.id.removeprefix(strip.row or "")
    return int(digits) if digits.isdecimal() else 0


def _orders(
    circuit: CircuitFacts, facts: Facts
) -> list[tuple[tuple[Element, ...], tuple[float, ...]]]:
    """Put the strips in rows of neighbours, room by room, in several ways, the plan's own first.

    The others walk from an outermost strip to the nearest not yet met. Each comes with the
    distances from strip to strip; butted strips have none between them.
    """
    by_room = [
        [element for element in circuit.elements if element.id in facts.rooms[name].place_of]
        for name in circuit.rooms
    ]
    walks = [[list(range(len(members))) for members in by_room]]
    if max(map(len, by_room)) <= _MOST_MEASURED:
        links = [
            _links(members, facts.rooms[name])
            for name, members in zip(circuit.rooms, by_room, strict=True)
        ]
        for which in range(4):
            starts = [_outermost(members, which) for members in by_room]
            walks.append([_walk(link, at) for link, at in zip(links, starts, strict=True)])
    orders = []
    for walk in walks:
        order: list[Element] = []
        steps: list[float] = []
        for name, members, places in zip(circuit.rooms, by_room, walk, strict=True):
            if order:
                steps.append(_ANOTHER_ROOM)
            strips = _strips([members[place] for place in places], facts.rooms[name])
            gaps = shapely.distance(strips[:-1], strips[1:])
            steps += np.where(gaps <= _BUTTED, 0.0, np.rint(gaps)).tolist()
            order += [members[place] for place in places]
        orders.append((tuple(order), tuple(steps)))
    return orders


def _strips(members: Sequence[Element], room: RoomFacts) -> np.ndarray:
    strips: np.ndarray = room.strips[[room.place_of[element.id] for element in members]]
    return strips


def _links(members: Sequence[Element], room: RoomFacts) -> np.ndarray:
    """Measure how far strips lie apart; of those that touch, by their middles as well."""
    strips = _strips(members, room)
    middles = shapely.centroid(strips)
    # Before 2.2 shapely cannot take an array together with a view of it, but two views of one.
    links: np.ndarray = shapely.distance(strips[:, None], strips[None]) + 1e-6 * shapely.distance(
        middles[:, None], middles[None]
    )
    return links


def _outermost(members: list[Element], which: int) -> int:
    """Return the strip farthest to the left, the right, the bottom or the top."""
    axis, sign = divmod(which, 2)
    return min(
        range(len(members)),
        key=lambda place: (
            members[place].at[axis] * (-1 if sign else 1),
            members[place].at[1 - axis],
            place,
        ),
    )


def _walk(apart: np.ndarray, start: int) -> list[int]:
    """Walk from strip to the nearest strip not yet met, the first listed of equals."""
    walked = [start]
    left = [place for place in range(len(apart)) if place != start]
    while left:
        here = walked[-1]
        nearest = min(left, key=lambda place: (round(float(apart[here, place]), 6), place))
        walked.append(nearest)
        left.remove(nearest)
    return walked
