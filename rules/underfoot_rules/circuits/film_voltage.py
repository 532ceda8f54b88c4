"""A film for another voltage than the supply's."""

from __future__ import annotations

from underfoot.api import Facts, Film, Finding, Limit, Limits, Rule, Subject, above, written
from underfoot_rules.basis import standard


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every film that strips are cut from."""
    return tuple(Subject(None, (film.id,), film.path, film) for film in facts.films_in_use.values())


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Compare the supply's voltage with the rated one."""
    film: Film = subject.thing
    supply = facts.plan.supply
    deviation = 100 * abs(supply.voltage_v - film.voltage_v) / film.voltage_v
    if not above(deviation, limits["within"]):
        return None
    share = 100 * (supply.voltage_v / film.voltage_v) ** 2
    supplied, rated = written(supply.voltage_v, "V"), written(film.voltage_v, "V")
    return Finding(
        message=f"Film {film.id} is made for {rated}, but the supply has {supplied}, {{measured}} "
        f"off; at most {{limit}} is allowed. It would give {written(share, '%')} of its rated "
        "power.",
        remedy=f"Use a film made for {supplied}, or correct the film's or the supply's voltage.",
        measured=deviation,
        most=limits["within"],
        limit_key="within",
        related=(supply.path,),
    )


RULE = Rule(
    id="film-voltage",
    topic="circuits",
    severities=("error",),
    finds="a film for which the supply's voltage is too far off its rated voltage",
    why="Power goes with the square of the voltage: a tenth too much is a fifth more heat.",
    unit="%",
    basis=standard("IEC 60038: 230 V ± 10 %"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("within", 10, "%", "how far the supply may be off the rated voltage", "lower"),),
    electrical=True,
    protects_life=True,
)
