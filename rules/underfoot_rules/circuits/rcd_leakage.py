"""Films that leak so much in normal use that their RCD trips without a fault."""

from underfoot.api.facts import Facts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard
from underfoot_rules.circuits.residual import RcdFacts, find_leakage, find_rcds


def subjects(facts: Facts) -> tuple[Subject[RcdFacts], ...]:
    """Every RCD of known rating behind which a film states its leakage; none under SELV."""
    if facts.plan.supply.is_selv or all(
        film.leakage_ma_m is None and film.leakage_ma_m2 is None
        for film in facts.films_in_use.values()
    ):
        return ()
    return tuple(
        Subject(
            room=None,
            items=tuple(each.id for each in rcd.protections),
            path=rcd.protections[0].path,
            payload=rcd,
        )
        for rcd in facts.once(find_rcds)
        if rcd.rated_ma is not None and find_leakage(rcd).stated
    )


def check(subject: Subject[RcdFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the sum of what the strips leak against shares of the rated residual current."""
    rcd = subject.payload
    rated_ma = rcd.rated_ma or 0.0
    leakage = find_leakage(rcd)
    most_ma = rated_ma * limits["share"] / 100
    trips_ma = rated_ma * limits["may_trip"] / 100
    unstated = [film.id for film in leakage.unstated]
    if above(leakage.stated_ma, most_ma):
        trips = above(leakage.stated_ma, trips_ma)
        more = f"; {join_names(unstated)} comes on top, unstated" if unstated else ""
        said = (
            f"it may trip from {format_quantity(trips_ma, 'mA')} on, so the floor will not stay "
            "on, and whoever is called will be asked for a less sensitive one"
            if trips
            else "it trips now and then without a fault"
        )
        return Finding(
            message=f"The strips behind the RCD of {rcd.whose}, rated "
            f"{format_quantity(rated_ma, 'mA')}, "
            f"leak {{measured}} in normal use{more}; at most {{limit}} is allowed: {said}.",
            remedy="Put fewer strips behind one RCD: give each circuit an RCD of its own, or "
            "divide the strips over more circuits; never fit a less sensitive RCD.",
            measured=leakage.stated_ma,
            most=most_ma,
            limit_key="share",
            severity="error" if trips else "warning",
        )
    if unstated:
        return CannotTell(
            why=f"{join_names(unstated)} behind the same RCD does not state its leakage",
            write=f"Write `leakage` with {join_names(unstated)}, as the maker states it.",
            worst="warning",
        )
    return None


RULE = Rule(
    severities=("error", "warning"),
    finds="strips that leak too much in normal use for the RCD that they stand behind",
    why="An RCD that trips without a fault is sooner or later taken out or replaced by one too "
    "coarse.",
    unit="mA",
    basis=standard(
        "IEC 60364-5-53, 531.3.2: at most 30 % of the rated residual current; IEC 61008-1: an RCD "
        "may trip from 50 % on"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most("share", 30, "%", "most that may leak, of the rated residual current"),
        at_most("may_trip", 50, "%", "what an RCD may trip at, of its rated residual current"),
    ),
    electrical=True,
)
