"""A covering or an overlay that is glued to a loose sheet."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice
from underfoot_rules.coverings import Fixed, coverings_over, overlay_subject, unsaid_fixing


def subjects(facts: Facts) -> Iterator[Subject[Fixed]]:
    """Every covering over strips, and every overlay."""
    for room in facts.heated_rooms:
        for area in coverings_over(room):
            covering = area.covering
            yield Subject(
                room=room.id,
                items=(covering.id,),
                path=covering.path,
                payload=(room, covering.fixing, area.path),
            )
        if (overlay := overlay_subject(room)) is not None:
            yield overlay


def check(subject: Subject[Fixed], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look what a glued covering or overlay is glued to."""
    room, fixing, related = subject.payload
    is_overlay = subject.items == ("overlay",)
    if fixing is None:
        return unsaid_fixing(subject)
    if fixing != "glued" or (room.drawn.overlay is not None and not is_overlay):
        return None
    name = "The overlay" if is_overlay else f"Covering {subject.items[0]}"
    remedy = (
        "Lay the overlay loose, its boards joined to each other only (`fixing: floating`)."
        if is_overlay
        else "Choose a covering that floats; or lay a loose overlay, glue it to that (`overlay`), "
        "and take a film that is made to be built in."
    )
    return Finding(
        message=f"{name} of room {room.id} is glued to {_beneath(room)}, which nothing holds.",
        remedy=remedy,
        related=() if related is None else (related,),
    )


def _beneath(room: RoomFacts) -> str:
    if room.drawn.underlay is not None:
        return "the loose underlay"
    if room.drawn.membrane is not None:
        return "the loose membrane"
    return "the bare strips"


RULE = Rule(
    finds="a covering or overlay glued to a loose sheet",
    why="What is glued to a loose sheet moves with it, and tears membrane and film when lifted.",
    basis=common_practice("glue holds only on what itself is held"),
    subjects=subjects,
    check=check,
    protects_life=True,
)
