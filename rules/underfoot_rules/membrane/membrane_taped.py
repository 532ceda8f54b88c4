"""A membrane whose overlaps or perimeter are not stated to be taped."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.absent import NO_MEMBRANE
from underfoot_rules.basis import common_practice


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for both statements; a membrane of one sheet has no overlaps."""
    room = subject.payload
    membrane = room.drawn.membrane
    if membrane is None:
        return NO_MEMBRANE
    missing = []
    if not membrane.overlaps_taped and (len(room.sheets.names) != 1 or room.sheets.unlaid):
        missing.append("overlaps")
    if not membrane.perimeter_taped:
        missing.append("perimeter")
    if not missing:
        return None
    refused = [name for name in missing if getattr(membrane, f"{name}_taped") is False]
    stated = "stated not to be" if len(refused) == len(missing) else "not stated to be"
    verb = "is" if missing == ["perimeter"] else "are"
    keys = join_names([f"`{name}_taped: true`" for name in missing])
    return Finding(
        message=f"The {join_names(missing)} of the membrane in room {room.id} {verb} {stated} "
        "taped.",
        remedy=f"Tape the {join_names(missing)}, and state it: {keys}.",
        path=membrane.path,
    )


RULE = Rule(
    severities=("warning",),
    finds="a membrane whose overlaps or perimeter are not stated to be taped",
    why="A lap that is not taped opens when it is walked on, and damp comes in along the walls.",
    basis=common_practice("only a taped membrane is closed"),
    subjects=each_room,
    check=check,
)
