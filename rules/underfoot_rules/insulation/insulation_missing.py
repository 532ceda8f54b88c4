"""A heated room without insulation."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Find no insulation."""
    room = subject.payload
    if room.drawn.insulation is not None:
        return None
    return Finding(
        message=f"Room {room.id} has strips but no insulation below them.",
        remedy="Draw the boards: `insulation:` with the board and how its layers lie.",
    )


RULE = Rule(
    finds="a room with strips and no insulation below them",
    why="Straight on the subfloor half of the heat or more goes down, and film has no even bed.",
    basis=common_practice("film lies on insulation"),
    subjects=each_room,
    check=check,
)
