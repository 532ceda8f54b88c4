"""A covering or an overlay driven through with nails or screws over strips."""

from underfoot.api.facts import Facts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice
from underfoot_rules.coverings import (
    Fixed,
    coverings_over,
    lacks_covering,
    overlay_subject,
    unsaid_fixing,
)


def subjects(facts: Facts) -> tuple[Subject[Fixed], ...]:
    """Every covering over strips, and every overlay; a room where some strips have no covering."""
    found: list[Subject[Fixed]] = []
    for room in facts.heated_rooms:
        found += [
            Subject(
                room=room.id,
                items=(area.covering.id,),
                path=area.covering.path,
                payload=(room, area.covering.fixing, area.path),
            )
            for area in coverings_over(room)
        ]
        if (overlay := overlay_subject(room)) is not None:
            found.append(overlay)
        if lacks_covering(room) is not None:
            found.append(
                Subject(room=room.id, items=(), path=room.path, payload=(room, None, None))
            )
    return tuple(found)


def check(subject: Subject[Fixed], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look how the covering or overlay is fixed."""
    room, fixing, related = subject.payload
    if not subject.items:
        return lacks_covering(room)
    if fixing is None:
        return unsaid_fixing(subject)
    if fixing not in ("nailed", "screwed"):
        return None
    name, remedy = f"Covering {subject.items[0]}", "Choose a covering that floats."
    if subject.items == ("overlay",):
        name = "The overlay"
        remedy = "Lay it loose, in two layers glued to each other or with glued joints."
    return Finding(
        message=f"{name} is {fixing} over the strips of room {room.id}.",
        remedy=remedy,
        related=() if related is None else (related,),
    )


RULE = Rule(
    finds="a covering or overlay nailed or screwed over strips",
    why="One nail or screw through a strip makes it a fault to earth, or itself live.",
    basis=common_practice("nothing is driven through a heated floor"),
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
