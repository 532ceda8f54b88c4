"""Boards of neighbouring courses whose end joints lie too nearly in line."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Courses
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_least,
    below,
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import own_default
from underfoot_rules.insulation.stagger import LayerStagger, WorstJoint, find_stagger

# What is not known, a layer not in courses, or two courses of a layer.
Doubt = CannotTell | LayerStagger | tuple[LayerStagger, WorstJoint]


def subjects(facts: Facts) -> Subjects[Doubt]:
    """Every pair of neighbouring courses; as a whole a layer whose courses cannot be told."""
    near: list[Subject[Doubt]] = []
    total = 0
    stagger = facts.limits["insulation-bond"]["stagger"]
    for room in facts.heated_rooms:
        unsaid = list(_unsaid(room))
        near += [Subject(room=room.id, items=(), path=path, payload=why) for path, why in unsaid]
        total += len(unsaid)
        for layer in find_stagger(room, stagger):
            if layer.in_courses:
                total += layer.neighbours
            else:
                near.append(Subject(room=room.id, items=(), path=layer.path, payload=layer))
                total += 1
            near += [
                Subject(room=room.id, items=worst.boards, path=worst.path, payload=(layer, worst))
                for worst in layer.worst
            ]
    return Subjects(candidates=near, total=total)


def _unsaid(room: RoomFacts) -> Iterator[tuple[str, CannotTell]]:
    """Tell what is missing of a room's insulation, or of a layer, and where."""
    insulation = room.drawn.insulation
    if insulation is None:
        yield room.path, NO_INSULATION
    elif not insulation.layers:
        yield (
            insulation.path,
            not_given.LAYERS,
        )
    elif insulation.board is None:
        for layer in insulation.layers:
            if isinstance(layer, Courses):
                yield (
                    layer.path,
                    not_given.BOARD,
                )


def check(subject: Subject[Doubt], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the least offset of the end joints of two neighbouring courses."""
    if isinstance(subject.payload, CannotTell):
        return subject.payload
    if isinstance(subject.payload, LayerStagger):
        return CannotTell(
            why=f"the boards of layer {subject.payload.number} do not lie in courses",
            write="Lay them in courses, or look at the joints on site.",
        )
    layer, worst = subject.payload
    if not below(worst.offset, limits["stagger"]):
        return None
    first, second = worst.boards
    return Finding(
        message=f"The end joint of boards {first} and {second} lies {{measured}} from that of "
        f"{worst.others[0]} and {worst.others[1]} in the course beside it; at least {{limit}} "
        "makes a bond.",
        remedy=_remedy(layer, worst, limits["stagger"]),
        measured=worst.offset,
        least=limits["stagger"],
        limit_key="stagger",
        shape=worst.line,
    )


def _remedy(layer: LayerStagger, worst: WorstJoint, stagger: float) -> str:
    if layer.board is not None:
        half = layer.board / 2
        if below(half, stagger):
            return "These boards are too short for such a bond: use longer ones."
        return (
            f"Begin every second course with a piece of {format_quantity(half, 'mm')} (`stagger`)."
        )
    return (
        "Cut the first board of one of the two courses, so that this joint, and every other of the "
        f"course, lies {format_quantity(stagger, 'mm')} or more from those beside it."
    )


RULE = Rule(
    severities=("warning",),
    finds="neighbouring courses of a layer whose end joints lie too nearly in line",
    why="Joints in line make one long seam: the boards part along it and the floor gives there.",
    unit="mm",
    basis=own_default("boards are laid in brickwork, as is common practice; by how much is ours"),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "stagger", 150, "mm", "least distance of an end joint from one of the next course"
        ),
    ),
)
