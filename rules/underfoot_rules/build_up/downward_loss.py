"""Too much of the heat goes down."""

from underfoot.api.facts import Facts, RoomFacts, find_heated_parts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, above, at_most
from underfoot_rules.basis import own_default
from underfoot_rules.warmth import (
    NO_LAYERS,
    advise_insulation,
    name_part,
    share_lost,
    tell_layers,
    tell_split,
    work_out,
)


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips, but for those over a heated space."""
    return tuple(
        subject
        for subject in facts.room_subjects
        if subject.payload.drawn.subfloor is None
        or subject.payload.drawn.subfloor.below != "heated"
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the downward share of all that the films give with the limit."""
    room = subject.payload
    parts = find_heated_parts(room)
    floors = work_out(parts, room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    share, most = share_lost(floors), limits["maximum"]
    if not above(share, most):
        return None
    if not all(floor.stack.whole for floor in floors):
        return NO_LAYERS
    rows: list[tuple[str, str]] = []
    for floor in floors:
        if len(floors) > 1:
            rows.append(("part", name_part(floor)))
        rows += tell_layers(floor, facts.plan.supply.voltage_v)
        rows += tell_split(floor)
    insulation = room.drawn.insulation
    return Finding(
        message=f"Of the heat of room {room.id}'s film {{measured}} goes down; at most {{limit}} "
        "should.",
        remedy=advise_insulation(parts, room, facts, limits, most),
        measured=share,
        most=most,
        limit_key="maximum",
        path=insulation.path if insulation is not None else None,
        details=tuple(rows),
    )


RULE = Rule(
    severities=("note",),
    finds="too much of the output lost downward, where what lies below is not heated",
    why="What goes down is paid for and warms nobody.",
    unit="%",
    basis=own_default("how much may go down; the share itself by ISO 11855-2, A.29 to A.31"),
    subjects=subjects,
    check=check,
    limits=(at_most("maximum", 25, "%", "greatest share of the output that may go down"),),
)
