"""A heated room without a vapour barrier."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Find no membrane."""
    room = subject.payload
    if room.drawn.membrane is not None:
        return None
    return Finding(
        message=f"Room {room.id} has strips but no membrane over them.",
        remedy="Draw the vapour barrier: `membrane:` with the sheet and how its runs lie.",
    )


RULE = Rule(
    finds="a room with strips and no membrane over them",
    why="Without a vapour barrier damp and spilt water reach live film, and nothing shows it.",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    electrical=True,
    protects_life=True,
)
