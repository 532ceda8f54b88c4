"""Two boards of one layer that lie on each other."""

import shapely

from underfoot.api.facts import Facts, LaidBoards, RoomFacts
from underfoot.api.physics import separation
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_most,
    move_text,
)
from underfoot_rules import not_given
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import common_practice
from underfoot_rules.insulation.board_overlaps import find_board_overlaps

# What is not known, or two boards of a layer by their places in it, and the width that they share.
Overlap = CannotTell | tuple[LaidBoards, int, int, float]


def subjects(facts: Facts) -> Subjects[Overlap]:
    """Every pair of boards of a layer laid piece by piece; in courses none can lie on another."""
    near: list[Subject[Overlap]] = []
    total = 0
    for room in facts.heated_rooms:
        if room.drawn.insulation is None:
            near.append(Subject(room=room.id, items=(), path=room.path, payload=NO_INSULATION))
            total += 1
            continue
        if not room.drawn.insulation.layers:
            why = not_given.LAYERS
            near.append(
                Subject(room=room.id, items=(), path=room.drawn.insulation.path, payload=why)
            )
            total += 1
        overlaps = find_board_overlaps(room)
        total += overlaps.pairs
        near += [_subject(room, *found) for found in overlaps.found]
    return Subjects(candidates=near, total=total)


def _subject(room: RoomFacts, layer: int, i: int, j: int, width: float) -> Subject[Overlap]:
    laid = room.boards[layer]
    first, second = sorted((i, j), key=lambda board: laid.names[board])
    names = (laid.names[first], laid.names[second])
    return Subject(
        room=room.id, items=names, path=laid.paths[first], payload=(laid, first, second, width)
    )


def check(subject: Subject[Overlap], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Find a shared area wider than the tolerance."""
    if isinstance(subject.payload, CannotTell):
        return subject.payload
    laid, i, j, width = subject.payload
    if width <= limits["tolerance"] + 1e-6:
        return None
    first, second = subject.items
    step = separation.separating_move(laid.polygons[j], laid.polygons[i])
    return Finding(
        message=f"Boards {first} and {second} lie on each other over a width of {{measured}}; "
        "boards may touch but not overlap.",
        remedy=f"Move {second} by {move_text(*step)}, or cut one of the two.",
        measured=width,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shapely.intersection(laid.polygons[i], laid.polygons[j]),
        related=(laid.paths[j],),
    )


RULE = Rule(
    finds="two boards of one layer that lie on each other",
    why="A board on a board is a ridge: film and covering bend over it, and it moves underfoot.",
    unit="mm",
    basis=common_practice("boards of a layer lie side by side"),
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "greatest width of a shared area"),),
)
