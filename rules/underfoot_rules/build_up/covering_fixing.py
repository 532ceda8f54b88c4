"""A covering nailed over strips."""

from __future__ import annotations

from underfoot.api import CannotTell, Facts, Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice
from underfoot_rules.covered import coverings_over, lacks_covering


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every covering over strips; a room as a whole where some strips have none."""
    found = []
    for room in facts.heated_rooms:
        found += [
            Subject(room.id, (area.covering.id,), area.covering.path, (room, area))
            for area in coverings_over(room)
        ]
        if lacks_covering(room) is not None:
            found.append(Subject(room.id, (), room.path, (room, None)))
    return tuple(found)


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look how the covering is fixed."""
    room, area = subject.thing
    if area is None:
        return lacks_covering(room)
    covering = area.covering
    if covering.fixing is None:
        return CannotTell(
            f"how covering {covering.id} is fixed is not given (`fixing`)",
            "Write how it is fixed: `fixing`.",
        )
    if covering.fixing != "nailed":
        return None
    return Finding(
        message=f"Covering {covering.id} is nailed over the strips of room {room.id}.",
        remedy="Choose a covering that floats, or is glued to a board laid over the strips.",
        related=(area.path,),
    )


RULE = Rule(
    id="covering-fixing",
    topic="build_up",
    severities=("error",),
    finds="a covering nailed over strips",
    why="One nail through a strip makes it a fault to earth, or the nail itself live.",
    unit=None,
    basis=common_practice("nothing is driven through a heated floor"),
    subjects=subjects,
    check=check,
    module=__name__,
    electrical=True,
    protects_life=True,
)
