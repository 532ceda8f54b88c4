"""Concrete on the ground with nothing said about its damp."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject
from underfoot_rules import not_given
from underfoot_rules.basis import common_practice


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips that lies, or may lie, on concrete over ground."""
    return tuple(
        subject
        for subject in facts.room_subjects
        if subject.payload.drawn.subfloor is None
        or (
            subject.payload.drawn.subfloor.kind in (None, "concrete")
            and subject.payload.drawn.subfloor.below in (None, "ground")
        )
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for a damp barrier, or a reading of the concrete's moisture."""
    subfloor = subject.payload.drawn.subfloor
    if subfloor is None:
        return CannotTell(
            why="the subfloor is not given (`subfloor`)",
            write="Write what the floor lies on: `subfloor`.",
        )
    if subfloor.barrier is not None or subfloor.moisture_percent is not None:
        return None
    if subfloor.kind is None:
        return not_given.SUBFLOOR_KIND
    if subfloor.below is None:
        return not_given.SUBFLOOR_BELOW
    return Finding(
        message=f"Room {subject.room} lies on concrete over ground, with neither a damp barrier "
        "below the insulation nor a reading of the concrete's moisture.",
        remedy="Draw the barrier (`barrier:` with its sheet), or measure the moisture and give it "
        "(`moisture:`).",
        path=subfloor.path,
    )


RULE = Rule(
    severities=("warning",),
    finds="concrete over ground with neither a damp barrier nor a moisture reading",
    why="Heat draws damp out of the slab into insulation, film and wood, where nobody sees it.",
    basis=common_practice("concrete on the ground is damp until somebody has measured"),
    subjects=subjects,
    check=check,
)
