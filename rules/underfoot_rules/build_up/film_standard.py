"""A film made for loose-laid floors that is built in, or the other way round."""

import re

from underfoot.api.facts import Facts
from underfoot.api.plan import CoveredArea
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import standard
from underfoot_rules.coverings import (
    FilmInRoom,
    coverings_over,
    film_subjects,
    lacks_covering,
    named,
)

_PART = re.compile(r"60335[-\s]*2[-\s]*(96|106)(?![0-9])")
_LOOSE = "106"


def check(
    subject: Subject[FilmInRoom], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare what the film's standard is for with how the floor over it is held."""
    room, film = subject.payload
    told = film.standard
    if told is None:
        return CannotTell(
            why=f"the product standard of film {film.id} is not given (`standard`)",
            write=f"Write the product standard of film {film.id}, as its label states it "
            "(`standard: IEC 60335-2-106`, for one).",
        )
    parts = set(_PART.findall(told))
    if not parts:
        return CannotTell(
            why=f"whether {told} is for a film that is built in or laid loose is not known here",
            write=f"Write as `standard` of film {film.id} whether it is made to IEC 60335-2-96 "
            "(built in) or IEC 60335-2-106 (below a loose covering).",
        )
    if len(parts) > 1:
        return None
    areas = coverings_over(room, film.id)
    overlay = room.drawn.overlay
    held = overlay is not None and overlay.fixing not in (None, "floating")
    if parts == {_LOOSE}:
        is_glued = overlay is not None and overlay.fixing == "glued"
        wrong = [area for area in areas if is_glued or area.covering.fixing == "glued"]
        if wrong:
            return _built_in(subject, wrong, glued_overlay=is_glued)
    elif not held:
        wrong = [area for area in areas if area.covering.fixing == "floating"]
        if wrong:
            return _laid_loose(subject, wrong)
    unsaid = [area.covering.id for area in areas if area.covering.fixing is None]
    if unsaid and not held:
        return CannotTell(
            why=f"how covering {join_names(unsaid)} is fixed is not given (`fixing`)",
            write=f"Write how covering {join_names(unsaid)} is laid (`fixing: floating`, for one).",
        )
    return lacks_covering(room, film.id)


def _built_in(
    subject: Subject[FilmInRoom], wrong: list[CoveredArea], *, glued_overlay: bool
) -> Finding:
    how = "laid on an overlay that is glued" if glued_overlay else "glued"
    return Finding(
        message=f"Film {subject.items[0]} is made for loose-laid floors (IEC 60335-2-106); in room "
        f"{subject.room} {join_names(list(named(wrong)))} over it is {how}.",
        remedy="Choose a covering that is laid loose, or a film that is made to be built in "
        "(IEC 60335-2-96).",
        severity="error",
        related=tuple(area.path for area in wrong),
    )


def _laid_loose(subject: Subject[FilmInRoom], wrong: list[CoveredArea]) -> Finding:
    return Finding(
        message=f"Film {subject.items[0]} is made to be built in (IEC 60335-2-96); in room "
        f"{subject.room} {join_names(list(named(wrong)))} over it is laid loose.",
        remedy="Take a film to IEC 60335-2-106, or have its maker confirm in writing that it may "
        "lie below a loose floor.",
        severity="warning",
        related=tuple(area.path for area in wrong),
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="a film made for loose-laid floors that is built in, or the other way round",
    why="A film survives what it was tested for: to be bedded for good, or walked on and bent.",
    basis=standard("scopes of IEC 60335-2-96 and IEC 60335-2-106:2021; the maker's manual decides"),
    subjects=film_subjects,
    check=check,
    electrical=True,
)
