"""A strip that is not cut on one of its film's cut lines."""

from underfoot.api.facts import Facts, RoomFacts, each_element
from underfoot.api.plan import Element
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
)
from underfoot_rules.basis import MAKER
from underfoot_rules.laying.mending import cut_that_clears, fits_as_long, may_be_cut_to


def check(
    subject: Subject[tuple[RoomFacts, int]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Measure from the strip's length to the nearest whole number of sections."""
    room, place = subject.payload
    element = room.elements[place]
    every = element.film.cut_every
    if every is None:
        return CannotTell(
            why=f"the distance between the cut lines of {element.film.id} is not given",
            write="Write from the maker's data where it may be cut: `cut_every`.",
        )
    over = element.length % every
    away = min(over, every - over)
    if element.length < every and not above(away, limits["tolerance"]):
        away = every - element.length  # no section at all, not a whole number of them
    if not above(away, limits["tolerance"]):
        return None
    return Finding(
        message=f"Strip {element.id} is {format_quantity(element.length, 'mm')} long, {{measured}} "
        f"off the nearest cut line of {element.film.id}, which may be cut every "
        f"{format_quantity(every, 'mm')}.",
        remedy=_advise(facts, room, place, element, every),
        measured=away,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=room.strips[place],
        related=(element.film.path,),
    )


def _advise(facts: Facts, room: RoomFacts, place: int, element: Element, every: float) -> str:
    if not facts.is_advised:
        return ""
    sections = int(element.length // every)
    shorter, longer = sections * every, (sections + 1) * every
    longest = element.film.longest_strip
    is_allowed = longest is None or not above(longer, longest)
    may_grow = is_allowed and fits_as_long(facts, room, place, longer)
    if not sections and not may_grow:
        return f"Leave {element.id} out: not one section of {element.film.id} fits here."
    if sections and not may_grow:
        cut = cut_that_clears(facts, room, place, shorter)
        if cut is not None and not cut.in_figures:
            return cut.said
        if cut is not None:
            nearest = format_quantity(shorter, "mm")
            return f"{cut.said[:-1]}; the next cut line, at {nearest}, leaves it too long here."
    lengths = [shorter] if sections else []
    good = [
        format_quantity(length, "mm")
        for length in (*lengths, *([longer] if may_grow else []))
        if may_be_cut_to(facts, room, place, length)
    ]
    if not good:
        return (
            f"Cut {element.id} on a cut line of {element.film.id}, and see to what hangs on its "
            "length: leads at its ends, the sensor, the readings of its circuit."
        )
    said = f"Make {element.id} {' or '.join(good)} long"
    if not sections:
        return f"{said}, one whole section."
    if not may_grow:
        return (
            f"{said}; the next cut line, at {format_quantity(longer, 'mm')}, leaves it too long "
            "here."
        )
    return f"{said}."


RULE = Rule(
    finds="a strip whose length is not a whole number of its film's sections",
    why="Cut between two cut lines the film is opened where it is live, and the section is dead.",
    unit="mm",
    basis=MAKER,
    subjects=each_element,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "how far a cut may lie off a cut line"),),
    electrical=True,
    protects_life=True,
)
