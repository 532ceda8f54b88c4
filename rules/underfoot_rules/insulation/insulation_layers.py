"""One layer of boards where concrete below asks for two."""

from msgspec.structs import replace

from underfoot.api.facts import Facts, HeatedPart, RoomFacts, find_heated_parts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import common_practice
from underfoot_rules.warmth import Floor, share_lost, tell_layers, tell_split, work_out


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips whose subfloor is concrete, or is not given."""
    return tuple(
        subject
        for subject in facts.room_subjects
        if subject.payload.drawn.subfloor is None
        or subject.payload.drawn.subfloor.kind in (None, "concrete")
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for strips on a single layer: enough in a conservatory, else the loss decides."""
    room = subject.payload
    if room.drawn.insulation is None:
        return NO_INSULATION
    if not room.drawn.insulation.layers:
        return not_given.LAYERS
    single = tuple(part for part in find_heated_parts(room) if part.boards == 1)
    if not single:
        return None
    subfloor = room.drawn.subfloor
    if subfloor is None or subfloor.kind is None:
        return not_given.SUBFLOOR_KIND
    if room.drawn.use == "conservatory":
        return Finding(
            message=f"Strips of conservatory {room.id} lie on one layer of insulation on concrete; "
            "two are needed.",
            remedy=_second_layer(single, room, facts, limits),
            path=room.drawn.insulation.path,
        )
    if subfloor.below is None:
        return not_given.SUBFLOOR_BELOW
    unsaid = not_given.USE
    in_order = unsaid if room.drawn.use is None else None  # a conservatory asks for more
    if subfloor.below not in ("ground", "outside"):
        return in_order
    floors = work_out(single, room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    worst = max(floors, key=lambda floor: floor.settled.split.down_percent)
    share = worst.settled.split.down_percent
    if not above(share, limits["loss"]):
        return in_order
    if not worst.stack.whole:
        return CannotTell(
            why="the subfloor's layers are not given (`subfloor.layers`)",
            write="Write what it is made of, layer by layer: `subfloor.layers`.",
        )
    return _finding(room, facts, worst, share, limits, _second_layer(single, room, facts, limits))


def _finding(
    room: RoomFacts, facts: Facts, worst: Floor, share: float, limits: Limits, remedy: str
) -> Finding:
    below = room.drawn.subfloor.below if room.drawn.subfloor is not None else None
    where = "the ground" if below == "ground" else "the open air"
    return Finding(
        message=f"One layer of insulation lies between strips of room {room.id} and concrete over "
        f"{where}, and {{measured}} of their heat goes down; from {{limit}} on two layers are "
        "needed.",
        remedy=remedy,
        measured=share,
        most=limits["loss"],
        limit_key="loss",
        path=room.drawn.insulation.path if room.drawn.insulation is not None else None,
        details=(*tell_layers(worst, facts.plan.supply.voltage_v), *tell_split(worst)),
    )


def _second_layer(
    single: tuple[HeatedPart, ...], room: RoomFacts, facts: Facts, limits: Limits
) -> str:
    advice = "Lay a second layer across the first under all strips"
    doubled = tuple(replace(part, boards=2) for part in single)
    floors = work_out(doubled, room, facts, limits)
    if isinstance(floors, CannotTell) or not all(floor.stack.whole for floor in floors):
        return f"{advice}."
    return f"{advice}: then {format_quantity(share_lost(floors), '%')} goes down."


RULE = Rule(
    severities=("warning",),
    finds="one layer of insulation under strips on concrete in a conservatory, or on concrete "
    "over ground or outside where much of the heat goes down",
    why="Concrete against ground or frost draws the heat off; a second layer keeps it in the room.",
    unit="%",
    basis=common_practice(
        "two layers on concrete in a conservatory and where much heat would go down, worked out "
        "by ISO 11855-2, A.29 to A.31"
    ),
    subjects=subjects,
    check=check,
    limits=(at_most("loss", 25, "%", "share that may go down through a single layer"),),
)
