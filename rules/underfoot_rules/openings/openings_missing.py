"""A room in which strips lie, drawn without an opening in a plan that draws those of others."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import Finding, Limits, Rule, Subject, Subjects
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Subjects[RoomFacts]:
    """Every room in which strips lie, where a room of the plan shows what openings it has."""
    if not any(room.drawn.openings for room in facts.rooms.values()):
        return Subjects(candidates=(), total=0)
    heated = tuple(
        Subject(room=room.id, items=(), path=room.path, payload=room) for room in facts.heated_rooms
    )
    return Subjects(candidates=heated, total=len(heated))


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Look for one opening of any kind."""
    if subject.payload.drawn.openings:
        return None
    return Finding(
        message=f"Room {subject.room} is drawn without a door, a window or a passage, which the "
        "plan's other rooms show: its sheet does not say which wall is which.",
        remedy="Write its `openings`, such as `door: {kind: door, from: [600, 0], to: [1400, 0], "
        "hinge: from, opens: inwards}`.",
    )


RULE = Rule(
    severities=("note",),
    finds="a room with strips and no opening, in a plan that draws those of other rooms",
    why="Whoever lays from a sheet that can be turned round lays the floor mirrored.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
