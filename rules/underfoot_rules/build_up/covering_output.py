"""Strips with more output than the covering over them may get."""

from underfoot.api.facts import Facts, film_output
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, above, join_names
from underfoot_rules.basis import MAKER
from underfoot_rules.coverings import FilmInRoom, coverings_over, film_subjects, lacks_covering


def check(
    subject: Subject[FilmInRoom], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the film's output at the supply voltage with the least that a covering bears."""
    room, film = subject.payload
    areas = coverings_over(room, film.id)
    output = film_output(film, facts.plan.supply.voltage_v)
    stated = [
        (area.covering.most_output_w_m2, place)
        for place, area in enumerate(areas)
        if area.covering.most_output_w_m2 is not None
    ]
    if stated:
        most, place = min(stated)
        area = areas[place]
        if above(output, most):
            return Finding(
                message=f"Film {film.id} gives {{measured}} under covering {area.covering.id} in "
                f"room {room.id}, which bears at most {{limit}}.",
                remedy="Choose a film of no more output than that, or a covering that bears more.",
                measured=output,
                most=most,
                related=(area.path,),
            )
    silent = [area.covering.id for area in areas if area.covering.most_output_w_m2 is None]
    if silent:
        named = join_names(silent)
        return CannotTell(
            why=f"what output covering {named} bears is not given (`most_output`)",
            write="Write from the maker's data what it bears: `most_output`.",
        )
    return lacks_covering(room, film.id)


RULE = Rule(
    finds="strips with more output than the covering over them may get",
    why="Wood shrinks and cracks, glue and vinyl soften, over a film that gives too much.",
    unit="W/m2",
    basis=MAKER,
    subjects=film_subjects,
    check=check,
)
