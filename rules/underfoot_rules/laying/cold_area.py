"""A room in which one more strip would fit."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_most,
    format_quantity,
)
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.laying.free_places import Clearances, find_offers, is_filled, main_film
from underfoot_rules.laying.one_more import say_one_more

# Places are looked for every half a width: of a film a hair wide there are more than memory holds.
NARROWEST = 1.0


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Search along x and along y for the longest further strip that keeps every clearance."""
    room = subject.payload
    film = main_film(room)
    wall, fixture = limits.of("wall-clearance"), limits.of("fixture-clearance")["minimum"]
    least = limits["least_length"]
    legs = limits.of("covered-floor")["clear"]
    if is_filled(room, film.width, least, wall["minimum"], fixture, legs):
        return None
    if film.width < NARROWEST:
        return CannotTell(
            why=f"{film.id} is less than {format_quantity(NARROWEST, 'mm')} wide",
            write="Draw strips as wide as the roll: `width`.",
        )
    clear = Clearances(
        wall=max(wall["planned"], wall["minimum"]),
        fixture=fixture,
        legs=legs,
    )
    offers = find_offers(room, film, least, clear)
    if not offers:
        return None
    if film.cut_every is None:
        return CannotTell(
            why=f"the distance between the cut lines of {film.id} is not given",
            write="Write from the maker's data where it may be cut: `cut_every`.",
        )
    if film.longest_strip is None:
        return CannotTell(
            why=f"the longest strip of {film.id} is not given",
            write="Write from the maker's data how long a strip may be: `longest_strip`.",
        )
    best = offers[0]
    return Finding(
        message=f"One more strip of {film.id} fits in {room.id}, "
        f"{format_quantity(best.length, 'mm')} long "
        "({measured}).",
        remedy=say_one_more(facts, room, film, offers, clear),
        measured=best.length * film.width / 1e6,
        shape=best.shape,
        offer=best.shape,
    )


RULE = Rule(
    severities=("note",),
    finds="a room in which one more strip would fit",
    why="Floor that could be heated stays cold, and the room is warmed by less than it might be.",
    unit="m2",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    limits=(at_most("least_length", 1000, "mm", "shortest further strip worth offering"),),
)
