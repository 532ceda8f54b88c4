"""Circuits with protection of their own that one contact would tie together."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import common_practice
from underfoot_rules.thermostat.switching import list_thermostats


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Count the circuits with protection of their own, and the poles that they need."""
    thermostat = subject.payload.drawn.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    protections = dict.fromkeys(c.protection for c in facts.switched.get(subject.room or "", ()))
    count = len(protections)
    if count < 2:
        return None
    named = f"circuits {join_names(list(protections))}"
    paths = tuple(facts.circuits[name].path for name in protections)
    contactor = thermostat.contactor
    if contactor is None:
        return Finding(
            message=f"The thermostat of room {subject.room} switches {named}, which have breakers "
            "of their own, through one contact.",
            remedy=f"Let it switch a contactor with {count} poles or more, one a circuit, or let "
            f"the circuits share one protection (`shares`) where their currents allow.",
            related=paths,
        )
    if contactor.poles is None:
        return CannotTell(
            why="the contactor's poles are not given",
            write="Write how many poles it has: `contactor.poles`.",
        )
    if contactor.poles >= count:
        return None
    return Finding(
        message=f"The contactor of room {subject.room} has {contactor.poles} "
        f"pole{'s' if contactor.poles > 1 else ''} for the {count} {named}, which have breakers of "
        "their own.",
        remedy=f"Take a contactor with {count} poles or more, one a circuit.",
        related=(contactor.path, *paths),
    )


RULE = Rule(
    finds="two or more circuits with protection of their own on one contact",
    why="One contact ties the circuits together: with one breaker off, the other feeds back into "
    "it.",
    basis=common_practice("one contact must not tie circuits together"),
    subjects=list_thermostats,
    check=check,
    electrical=True,
    protects_life=True,
)
