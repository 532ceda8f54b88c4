"""A strip longer than its film's maker allows."""

from __future__ import annotations

import math

from underfoot.api import CannotTell, Element, Facts, Finding, Limits, Rule, Subject, above, written
from underfoot_rules.basis import MAKER


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every strip."""
    return facts.element_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the strip's length with the maker's longest."""
    room, place = subject.thing
    element = room.elements[place]
    longest = element.film.longest_strip
    if longest is None:
        return CannotTell(
            f"the longest strip of {element.film.id} is not given",
            "Write from the maker's data how long a strip may be: `longest_strip`.",
        )
    if not above(element.length / 1000, longest / 1000):
        return None
    return Finding(
        message=f"Strip {element.id} is {{measured}} long; the maker of {element.film.id} allows "
        "at most {limit} in one piece.",
        remedy=_advise(element, longest),
        measured=element.length / 1000,
        most=longest / 1000,
        shape=room.strips[place],
        related=(element.film.path,),
    )


def _advise(element: Element, longest: float) -> str:
    every = element.film.cut_every or 1.0
    sections = math.floor(element.length / every + 1e-6)
    in_longest = math.floor(longest / every + 1e-6)
    if not in_longest or not sections:
        return f"Lay {element.id} in shorter pieces, each with connections of its own."
    count = math.ceil(sections / in_longest)
    spare = sections % count
    each = sections // count
    pieces = [(each + 1) * every] * spare + [each * every] * (count - spare)
    if count == 1:
        return f"Cut {element.id} to {written(pieces[0], 'mm')}."
    said = " + ".join(written(piece, "mm") for piece in pieces)
    return (
        f"Lay {element.id} as {count} strips end to end, {said}, each with connections of its own."
    )


RULE = Rule(
    id="strip-length",
    topic="laying",
    severities=("error",),
    finds="a strip longer than its film's longest strip",
    why="The busbars carry the current of the whole strip: too long a strip overheats them.",
    unit="m",
    basis=MAKER,
    subjects=subjects,
    check=check,
    module=__name__,
    electrical=True,
    protects_life=True,
)
