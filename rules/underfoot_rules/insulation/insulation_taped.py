"""Insulation whose joints are not stated to be taped."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import common_practice


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for the statement that the joints are taped."""
    insulation = subject.payload.drawn.insulation
    if insulation is None:
        return NO_INSULATION
    if insulation.joints_taped:
        return None
    stated = "not stated to be" if insulation.joints_taped is None else "stated not to be"
    return Finding(
        message=f"The joints of the insulation in room {subject.room} are {stated} taped.",
        remedy="Tape every joint between boards, and state it: `joints_taped: true`.",
        path=insulation.path,
    )


RULE = Rule(
    severities=("warning",),
    finds="insulation whose joints are not stated to be taped",
    why="Boards that are not taped drift apart underfoot, and grit in the gaps wears through film.",
    basis=common_practice("tape holds the boards until the floor lies on them"),
    subjects=each_room,
    check=check,
)
