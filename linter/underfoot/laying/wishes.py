"""What is wanted of a laying, and the films that would do."""

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.facts.room import RoomFacts
from underfoot.laying.frame import Point
from underfoot.plan import Film
from underfoot.reading.wording import find_nearest


class Wishes(Struct, frozen=True, kw_only=True):
    """What is wanted: a film, a direction, places that are fixed; None leaves it open.

    `demand` asks for no more than the room needs; `share` is how much of the most is laid. `more`
    says whether a room that has strips gets more of them.
    """

    film: str | None = None
    along: str | None = None
    box: Point | None = None
    demand: bool = False
    share: float = 1.0
    more: bool = True


class CannotLayError(Exception):
    """The room cannot be laid; says why in words."""


def add_own(wishes: Wishes, room: RoomFacts) -> Wishes:
    """Add what the plan itself wishes for a room, where nothing else was wished."""
    own = room.drawn.laying
    if own is None or own.along is None or wishes.along is not None:
        return wishes
    return replace(wishes, along=own.along if own.along in "xy" else f"{own.angle_deg:g} deg")


def list_films(facts: Facts, room_id: str, wishes: Wishes) -> list[Film]:
    """List the films worth trying in a room: the one wished for, else those that suit it.

    The weakest comes first: no more is laid than is needed. CannotLayError where there is none.
    """
    films = facts.plan.materials.films
    if wishes.film is not None:
        if wishes.film not in films:
            nearest = find_nearest(wishes.film, films)
            near = f"; the nearest to it is {nearest}" if nearest else ""
            raise CannotLayError(f"the plan and its catalogue have no film {wishes.film}{near}")
        return [films[wishes.film]]
    if not films:
        raise CannotLayError("the plan has no film: write one under `materials`, or a catalogue")
    room = facts.rooms[room_id]
    fit = [film for film in films.values() if _suits(facts, room, film)]
    return sorted(fit or films.values(), key=lambda film: (film.rated_w_m2, film.id))


def _suits(facts: Facts, room: RoomFacts, film: Film) -> bool:
    """Tell whether a film is made for what lies over it, and for the supply's voltage."""
    kinds = {area.covering.kind for area in room.drawn.coverings if area.covering.kind}
    if film.suits is not None and not kinds <= set(film.suits):
        return False
    return abs(film.voltage_v - facts.plan.supply.voltage_v) <= 0.1 * film.voltage_v
