"""Two neighbouring sheets of the vapour barrier that lap too little."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.physics import laps
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_least,
    below,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_MEMBRANE
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.membrane.sheet_laps import find_sheet_laps

# What is not known, or two sheets and how they lap.
Overlap = CannotTell | tuple[RoomFacts, laps.Lap]


def subjects(facts: Facts) -> Subjects[Overlap]:
    """Every pair of sheets of a room with strips; the room where no sheet can be laid."""
    total = 0
    near: list[Subject[Overlap]] = []
    for room in facts.heated_rooms:
        membrane = room.drawn.membrane
        why = _unsaid(room)
        if why is not None:
            path = room.path if membrane is None else membrane.path
            near.append(Subject(room=room.id, items=(), path=path, payload=why))
            total += 1
        laps = find_sheet_laps(room, facts.limits["membrane-overlap"]["minimum"])
        total += laps.pairs
        for lap in laps.found:
            first, second = sorted((lap.first, lap.second), key=lambda i: room.sheets.names[i])
            names = (room.sheets.names[first], room.sheets.names[second])
            near.append(
                Subject(
                    room=room.id, items=names, path=room.sheets.paths[first], payload=(room, lap)
                )
            )
    return Subjects(candidates=near, total=total)


def _unsaid(room: RoomFacts) -> CannotTell | None:
    """Tell what is missing of a room's membrane."""
    membrane = room.drawn.membrane
    if membrane is None:
        return NO_MEMBRANE
    if not (membrane.runs or membrane.pieces):
        return not_given.SHEETS
    if membrane.runs and membrane.sheet is None:
        return not_given.SHEET
    return None


def check(subject: Subject[Overlap], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the width of the lap; 0 where the sheets lie near each other without lapping."""
    if isinstance(subject.payload, CannotTell):
        return subject.payload
    _, lap = subject.payload
    if not below(lap.width, limits["minimum"]):
        return None
    first, second = subject.items
    what = "lap by {measured}" if lap.width > 0 else "lie side by side without lapping ({measured})"
    return Finding(
        message=f"Membrane sheets {first} and {second} {what}; at least {{limit}} is needed.",
        remedy="Bring them further over each other, so that this lap is {limit} or more and no "
        "other is less, or use a wider sheet, and tape the lap.",
        measured=lap.width,
        least=limits["minimum"],
        limit_key="minimum",
        shape=lap.shape,
    )


RULE = Rule(
    finds="two neighbouring sheets of the membrane that lap too little",
    why="Sheets shift when they are walked on; a short lap opens and lets damp through.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    protects_life=True,
    limits=(at_least("minimum", 100, "mm", "least lap of two neighbouring sheets"),),
)
