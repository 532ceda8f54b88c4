"""Lays insulation where there is none or too little, in a bond, of boards the film may lie on."""

import math
from collections.abc import Iterator, Mapping

from underfoot.api.facts import RoomFacts
from underfoot.api.plan import Board, Courses, Insulation, Pieces
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below, format_quantity
from underfoot_rules.insulation.stagger import find_stagger
from underfoot_rules.menders.laid import is_laid
from underfoot_rules.menders.pieces import Piece, Sizes, cover_bare, list_pieces, write_box
from underfoot_rules.menders.written import Path, change, look_up, write_length


def tape_joints(found: ToMend) -> Iterator[Proposal]:
    """Propose to tape the joints, and to say so."""
    if not is_laid(found.facts, found.room):
        path: Path = ("rooms", found.room or "", "insulation", "joints_taped")
        yield Proposal(
            says="Tape every joint between boards, and state `joints_taped: true`.",
            edits=(change(found.data, path, True),),
        )


def take_board(found: ToMend) -> Iterator[Proposal]:
    """Propose a board that all films of the room may lie on, as thick as the one before."""
    room = found.room_facts
    insulation = room.drawn.insulation
    if insulation is None or insulation.board is None or is_laid(found.facts, room.id):
        return
    was = insulation.board
    boards = _list_allowed(found, room)
    boards.sort(key=lambda each: (abs((each.thickness or 0) - (was.thickness or 0)), each.id))
    for board in boards[:2]:
        yield Proposal(
            says=f"Lay {board.id} in the place of {was.id}.",
            edits=(change(found.data, ("rooms", room.id, "insulation", "board"), board.id),),
        )


def draw_insulation(found: ToMend) -> Iterator[Proposal]:
    """Propose a layer in courses, of a board of the plan's; two where one is too little."""
    room = found.room_facts
    if is_laid(found.facts, room.id):
        return
    for board in _list_allowed(found, room)[:2]:
        layers = [{"courses": "x", "stagger": write_length(board.size[0] / 2)}]
        value = {"board": board.id, "joints_taped": True, "layers": layers}
        yield Proposal(
            says=f"Lay {board.id} below the strips, in courses along x, its joints taped.",
            edits=(Edit(op="add", path=("rooms", room.id, "insulation"), value=value),),
        )


def add_layer(found: ToMend) -> Iterator[Proposal]:
    """Propose a second layer across the first."""
    room = found.room_facts
    insulation = room.drawn.insulation
    if insulation is None or not insulation.layers or is_laid(found.facts, room.id):
        return
    if insulation.board is None:
        return
    first = insulation.layers[0]
    along = first.along if isinstance(first, Courses) else _way_of(first)
    across = "y" if along == "x" else "x"
    stagger = write_length(insulation.board.size[0] / 2)
    yield Proposal(
        says=f"Lay a second layer across the first, in courses along {across}.",
        edits=(
            Edit(
                op="add",
                path=("rooms", room.id, "insulation", "layers", "-"),
                value={"courses": across, "stagger": stagger},
            ),
        ),
    )


def stagger_courses(found: ToMend) -> Iterator[Proposal]:
    """Propose to begin every second course with half a board, or to move one joint."""
    room = found.room_facts
    insulation = room.drawn.insulation
    if insulation is None or is_laid(found.facts, room.id):
        return
    least = found.facts.limits["insulation-bond"]["stagger"]
    for layer in find_stagger(room, least):
        worst = next((each for each in layer.worst if each.boards == found.items), None)
        if worst is None:
            continue
        path: Path = ("rooms", room.id, "insulation", "layers", layer.number - 1)
        if layer.board is not None:
            half = layer.board / 2
            if not below(half, least):
                old = look_up(found.data, (*path, "stagger"))
                size = format_quantity(half, "mm")
                yield Proposal(
                    says=f"Begin every second course of layer {layer.number} with a piece of "
                    f"{size}.",
                    edits=(change(found.data, (*path, "stagger"), write_length(half, old)),),
                )
            return
        pieces = {each.name: each for each in _pieces(found, room, layer.number - 1)}
        if all(name in pieces for name in worst.boards):
            yield from _move_joint(found, insulation, pieces, worst.boards, least - worst.offset)
        return


def _move_joint(
    found: ToMend,
    insulation: Insulation,
    pieces: Mapping[str, Piece],
    names: tuple[str, str],
    by: float,
) -> Iterator[Proposal]:
    """Move the joint of two boards in line, or lay one whole board in their place."""
    first, second = (pieces[name] for name in names)
    axis = first.axis
    if first.box[axis] > second.box[axis]:
        first, second = second, first
    start, joint, end = first.box[axis], second.box[axis], second.box[axis + 2]
    most = insulation.board.size[0] if insulation.board is not None else 0.0
    if end - start <= most + 1e-6:
        yield Proposal(
            says=f"Lay {first.name} in one piece of {format_quantity(end - start, 'mm')}, in the "
            f"place of {first.name} and {second.name}.",
            edits=(
                *write_box(found.data, first, _stretch(first.box, axis, start, end)),
                Edit(op="remove", path=second.path),
            ),
        )
        return
    step = math.ceil(by)
    for moved in (joint + step, joint - step):
        if moved - start > most + 1e-6 or end - moved > most + 1e-6 or not start < moved < end:
            continue
        yield Proposal(
            says=f"Cut {first.name} to {format_quantity(moved - start, 'mm')} and {second.name} to "
            f"{format_quantity(end - moved, 'mm')}, so that their joint moves by "
            f"{format_quantity(step, 'mm')}.",
            edits=(
                *write_box(found.data, first, _stretch(first.box, axis, start, moved)),
                *write_box(found.data, second, _stretch(second.box, axis, moved, end)),
            ),
        )


def cover_floor(found: ToMend) -> Iterator[Proposal]:
    """Propose boards where the lowest layer leaves floor bare."""
    room = found.room_facts
    insulation = room.drawn.insulation
    if insulation is None or not insulation.layers or is_laid(found.facts, room.id):
        return
    path: Path = ("rooms", room.id, "insulation", "layers", 0)
    if isinstance(insulation.layers[0], Courses):
        if look_up(found.data, (*path, "over")) is not None:
            yield Proposal(
                says="Lay the lowest layer over the whole floor.",
                edits=(Edit(op="remove", path=(*path, "over")),),
            )
        return
    if insulation.board is None:
        return
    _, bare = room.floor_left_bare(room.boards[0].together)
    length, width = insulation.board.size
    pieces = _pieces(found, room, 0)
    sizes = Sizes(length=length, width=width)
    covered = cover_bare(found.data, (*path, "pieces"), pieces, bare, sizes, "B-added-")
    if covered is not None:
        yield Proposal(says=covered[0], edits=covered[1])


def take_apart(found: ToMend) -> Iterator[Proposal]:
    """Propose to cut one of two boards that lie on each other up to the other."""
    room = found.room_facts
    if is_laid(found.facts, room.id):
        return
    number = int(found.path.split(".layers.")[1].split(".")[0])
    pieces = {each.name: each for each in _pieces(found, room, number)}
    if not all(name in pieces for name in found.items):
        return
    one, other = (pieces[name] for name in found.items)
    tries = []
    for piece, beside in ((one, other), (other, one)):
        for axis in (0, 1):
            for low, high in (
                (piece.box[axis], beside.box[axis]),
                (beside.box[axis + 2], piece.box[axis + 2]),
            ):
                if low < high:
                    box = _stretch(piece.box, axis, low, high)
                    tries.append((piece.box[axis + 2] - piece.box[axis] - (high - low), piece, box))
    tries.sort(key=lambda each: (round(each[0], 3), len(list(write_box(found.data, *each[1:])))))
    for _, piece, box in tries[:2]:
        key = 0 if piece.box[2] - piece.box[0] != box[2] - box[0] else 1
        yield Proposal(
            says=f"Cut {piece.name} by {format_quantity(_less(piece.box, box, key), 'mm')}, up to "
            f"{next(name for name in found.items if name != piece.name)}.",
            edits=tuple(write_box(found.data, piece, box)),
        )


def _less(box: tuple[float, ...], other: tuple[float, ...], axis: int) -> float:
    return round((box[axis + 2] - box[axis]) - (other[axis + 2] - other[axis]), 1)


def _stretch(
    box: tuple[float, float, float, float], axis: int, low: float, high: float
) -> tuple[float, float, float, float]:
    """Return a box that reaches from one place to another along an axis."""
    x0, y0, x1, y1 = box
    return (low, y0, high, y1) if axis == 0 else (x0, low, x1, high)


def _pieces(found: ToMend, room: RoomFacts, layer: int) -> list[Piece]:
    path: Path = ("rooms", room.id, "insulation", "layers", layer, "pieces")
    laid = room.boards[layer]
    return list_pieces(found.data, path, laid.names, laid.polygons)


def _list_allowed(found: ToMend, room: RoomFacts) -> list[Board]:
    """List the boards of the plan that every film of the room may lie on; its others' first."""
    boards = found.facts.plan.materials.boards
    allowed = [element.film.boards for element in room.elements]
    fit = [
        board
        for board in boards.values()
        if all(names is None or board.id in names for names in allowed)
    ]
    used = [
        other.drawn.insulation.board.id
        for other in found.facts.rooms.values()
        if other.drawn.insulation is not None and other.drawn.insulation.board is not None
    ]
    return sorted(fit, key=lambda board: (board.id not in used, board.id))


def _way_of(layer: Pieces) -> str:
    return layer.pieces[0].along if layer.pieces else "x"


MENDERS = (
    Mender(rule="insulation-taped", propose=tape_joints),
    Mender(rule="insulation-board", propose=take_board),
    Mender(rule="insulation-missing", propose=draw_insulation),
    Mender(rule="insulation-layers", propose=add_layer),
    Mender(rule="insulation-bond", propose=stagger_courses),
    Mender(rule="insulation-cover", propose=cover_floor),
    Mender(rule="insulation-overlap", propose=take_apart),
)
