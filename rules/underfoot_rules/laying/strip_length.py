"""A strip longer than its film's maker allows, or that feeds on more than that."""

import math

from underfoot.api.facts import Facts, RoomFacts, each_element, element_current_a
from underfoot.api.plan import Element
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import MAKER
from underfoot_rules.laying.fed_on import find_all_fed_on
from underfoot_rules.laying.mending import cut_that_clears, may_be_cut_to


def check(
    subject: Subject[tuple[RoomFacts, int]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the strip's length, and what it feeds on, with the maker's longest."""
    room, place = subject.payload
    element = room.elements[place]
    longest = element.film.longest_strip
    if longest is None:
        return CannotTell(
            why=f"the longest strip of {element.film.id} is not given",
            write=f"Write the `longest_strip` of film {element.film.id}, from its maker's manual.",
        )
    if not above(element.length / 1000, longest / 1000):
        if element.id not in facts.once(find_all_fed_on) or element.id not in facts.fed:
            return None
        return _judge_fed_on(room, element, longest, facts)
    return Finding(
        message=f"Strip {element.id} is {{measured}} long; the maker of {element.film.id} allows "
        "at most {limit} in one piece.",
        remedy=_advise(facts, room, element, longest),
        measured=element.length / 1000,
        most=longest / 1000,
        shape=room.strips[place],
        related=(element.film.path,),
    )


def _judge_fed_on(
    room: RoomFacts, element: Element, longest: float, facts: Facts
) -> Finding | CannotTell | None:
    """Hold all that enters at one end of a strip against what its longest strip would draw."""
    fed_on = facts.once(find_all_fed_on)[element.id]
    surely_m = _measure_in_film(element, fed_on.surely, facts)
    names = fed_on.surely
    if not above(surely_m, longest / 1000):
        if above(_measure_in_film(element, fed_on.at_most, facts), longest / 1000):
            return CannotTell(
                why=f"{element.id} lies in a ring of leads, and may have to carry all of it",
                write="Open the ring in the `route` of its leads, so that one way leads to each "
                "strip.",
            )
        return None
    said = (
        join_names(names) if len(names) < 7 else f"{len(names)} strips, {names[0]} to {names[-1]}"
    )
    return Finding(
        message=f"The busbars of strip {element.id} carry the current of {{measured}} of "
        f"{element.film.id}: its own {format_quantity(element.length / 1000, 'm')} and {said}, "
        "which it feeds on from its far end; the maker allows at most {limit} in one piece.",
        remedy=f"Feed {said} by a lead from `junction-box`, or from the near end of {element.id}, "
        "in the border.",
        measured=surely_m,
        most=longest / 1000,
        shape=room.strips[room.place_of[element.id]],
        related=(element.film.path, *(facts.elements[name].path for name in names)),
    )


def _measure_in_film(element: Element, fed_on: tuple[str, ...], facts: Facts) -> float:
    """Return the metres of a strip's own film that would draw what it draws with all it feeds."""
    supply_v = facts.plan.supply.voltage_v
    own_a = element_current_a(element, supply_v)
    others_a = sum(element_current_a(facts.elements[name], supply_v) for name in fed_on)
    return element.length / 1000 * (own_a + others_a) / own_a


def _advise(facts: Facts, room: RoomFacts, element: Element, longest: float) -> str:
    if not facts.is_advised:
        return ""
    every = element.film.cut_every or 1.0
    sections = math.floor(element.length / every + 1e-6)
    in_longest = math.floor(longest / every + 1e-6)
    if not in_longest or not sections:
        return f"Lay {element.id} in shorter pieces, each with connections of its own."
    count = math.ceil(sections / in_longest)
    if count == 1:
        length, place = sections * every, room.place_of[element.id]
        cut = cut_that_clears(facts, room, place, length)
        if cut is not None:
            return cut.said
        if may_be_cut_to(facts, room, place, length):
            return f"Cut {element.id} to {format_quantity(length, 'mm')}."
        return f"Cut {element.id} on a cut line, and see to what hangs on its length."
    return (
        f"Lay {element.id} as {count} strips end to end, each cut on a cut line and with "
        "connections of its own: each takes a lead to one of its ends, in a border that no strip "
        "covers."
    )


RULE = Rule(
    finds="a strip that is longer than its film's longest strip, or carries more than that would",
    why="The busbars carry the current of the strip and of all it feeds on: too much burns them.",
    unit="m",
    basis=MAKER,
    subjects=each_element,
    check=check,
    electrical=True,
    protects_life=True,
)
