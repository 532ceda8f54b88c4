"""A covering of a kind that the film is not made for."""

from underfoot.api.facts import Facts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import MAKER
from underfoot_rules.coverings import (
    FilmInRoom,
    coverings_over,
    film_subjects,
    lacks_covering,
    named,
)


def check(
    subject: Subject[FilmInRoom], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Look for the kind of each covering over the film among those that it is made for."""
    room, film = subject.payload
    areas = coverings_over(room, film.id)
    suits = film.suits
    if suits is None:
        return CannotTell(
            why=f"film {film.id} does not say what coverings it is made for (`suits`)",
            write="Write from the maker's manual what it may lie under: `suits`.",
        )
    wrong = [
        area for area in areas if area.covering.kind is not None and area.covering.kind not in suits
    ]
    if wrong:
        kinds = join_names(suits) if suits else "no kind of covering"
        return Finding(
            message=f"Film {film.id} lies under {join_names(list(named(wrong)))} in room "
            f"{room.id}; it is made for {kinds}.",
            remedy="Choose a covering of such a kind, or a film that is made for this one.",
            related=tuple(area.path for area in wrong),
        )
    unnamed = [area.covering.id for area in areas if area.covering.kind is None]
    if unnamed:
        return CannotTell(
            why=f"of what kind covering {join_names(unnamed)} is, is not given (`kind`)",
            write="Write of what `kind` it is.",
        )
    return lacks_covering(room, film.id)


RULE = Rule(
    finds="a covering of a kind that the film is not made for",
    why="Film under the wrong covering overheats, or is crushed, glued or pierced.",
    basis=MAKER,
    subjects=film_subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
