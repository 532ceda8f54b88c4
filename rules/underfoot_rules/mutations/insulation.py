"""Insulation left out, or laid wrong."""

from __future__ import annotations

import random
from typing import Any

import shapely

from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot_rules.mutations.choosing import cause, films_in, heated_rooms, lose_room_thing
from underfoot_rules.mutations.drawn import draw
from underfoot_rules.mutations.expand_rows import (
    box_of,
    copy_plan,
    mm,
    open_courses,
    open_rows,
    tidy,
)


def forget_insulation(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the insulation out."""
    lost = lose_room_thing(data, rng, "insulation")
    return cause(lost[0], "insulation-missing", lost[1], severity="error") if lost else None


def take_other_board(data: Data, rng: random.Random) -> Damaged | None:
    """Lay boards that the film is not made to lie on."""
    plan = copy_plan(data)
    boards = plan["materials"].get("boards") or {}
    rooms = [
        room
        for room in heated_rooms(plan)
        if (plan["rooms"][room].get("insulation") or {}).get("board") in boards
        and all("boards" in plan["materials"]["films"][film] for film in films_in(plan, room))
    ]
    if not rooms:
        return None
    room = rng.choice(rooms)
    insulation = plan["rooms"][room]["insulation"]
    boards["board-other"] = dict(boards[insulation["board"]])
    insulation["board"] = "board-other"
    return cause(plan, "insulation-board", room, "board-other", severity="error")


def _in_courses(plan: Data, room: str, layer: int) -> bool:
    insulation = plan["rooms"][room].get("insulation") or {}
    layers = insulation.get("layers") or []
    return (
        layer < len(layers)
        and "courses" in layers[layer]
        and "over" not in layers[layer]
        and insulation.get("board") in (plan["materials"].get("boards") or {})
    )


def _in_pieces(plan: Data, room: str) -> bool:
    insulation = plan["rooms"][room].get("insulation") or {}
    layers = insulation.get("layers") or [{}]
    return bool(layers[0].get("pieces")) and insulation.get("board") in (
        plan["materials"].get("boards") or {}
    )


def _board_size(plan: Data, room: str) -> tuple[float, float]:
    board = plan["rooms"][room]["insulation"]["board"]
    length, width = plan["materials"]["boards"][board]["size"]
    return mm(length), mm(width)


def _open(data: Data, rng: random.Random, layer: int) -> tuple[Data, str, dict[str, Data]] | None:
    """Choose a room and open one layer of it; give the pieces."""
    rooms = [room for room in heated_rooms(data) if _in_courses(data, room, layer)]
    if not rooms:
        return None
    room = rng.choice(rooms)
    plan = open_courses(data, room, layer)
    return plan, room, plan["rooms"][room]["insulation"]["layers"][layer]["pieces"]


def _shape(piece: Data, size: tuple[float, float]) -> Any:
    x, y = (mm(value) for value in piece["at"])
    length, width = mm(piece.get("length", size[0])), mm(piece.get("width", size[1]))
    if piece["along"] == "y":
        length, width = width, length
    return shapely.box(x, y, x + length, y + width)


def _needed(plan: Data, room: str) -> Any:
    """Give the floor that must be covered."""
    drawn = draw(open_rows(plan), room)
    stops = [
        f.shape
        for f in drawn.fixtures.values()
        if f.kind == "structure" or (f.stands and f.on_subfloor)
    ]
    return drawn.outline.difference(shapely.union_all(stops))


def leave_board_out(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a board of the lowest layer out."""
    return _uncover(data, rng, shorten=False)


def cut_board_short(data: Data, rng: random.Random) -> Damaged | None:
    """Cut a board of the lowest layer too short."""
    return _uncover(data, rng, shorten=True)


def _uncover(data: Data, rng: random.Random, *, shorten: bool) -> Damaged | None:
    opened = _open(data, rng, 0)
    if opened is None:
        return None
    plan, room, pieces = opened
    size = _board_size(plan, room)
    name = rng.choice(list(pieces))
    before = _shape(pieces[name], size)
    if shorten:
        length = mm(pieces[name].get("length", size[0]))
        if length < 200:
            return None
        pieces[name]["length"] = length - rng.randint(60, int(length) - 100)
    else:
        del pieces[name]
    left = before.difference(_shape(pieces[name], size)) if shorten else before
    if not _shows_bare(plan, room, left):
        return None
    return cause(plan, "insulation-cover", room, severity="error")


def _shows_bare(plan: Data, room: str, left: Any) -> bool:
    """Tell whether so much left bare is found, and changes nothing else."""
    subfloor = plan["rooms"][room].get("subfloor") or {}
    if subfloor.get("below") != "heated" or subfloor.get("kind") == "concrete":
        return False
    floor = _needed(plan, room)
    sensor = draw(open_rows(plan), room).sensor
    if sensor is not None and left.distance(shapely.Point(sensor)) < 1:
        return False
    return bool(100 * left.intersection(floor).area / floor.area >= 0.12)


def snap_course_off(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the last course of the lowest layer so far out that a strip beside it stays bare."""
    rooms = [
        room for room in heated_rooms(data) if _in_courses(data, room, 0) or _in_pieces(data, room)
    ]
    if not rooms:
        return None
    room = rng.choice(rooms)
    plan = copy_plan(data) if _in_pieces(data, room) else open_courses(data, room, 0)
    pieces = plan["rooms"][room]["insulation"]["layers"][0]["pieces"].values()
    ways = {piece["along"] for piece in pieces}
    if not ways < {"x", "y"}:
        return None
    across = 1 if ways == {"x"} else 0
    lines = sorted({mm(piece["at"][across]) for piece in pieces})
    course = [piece for piece in pieces if mm(piece["at"][across]) == lines[-1]]
    size, off = _board_size(plan, room), rng.randint(12, 60)
    bare = []
    for piece in course:
        before = _shape(piece, size)
        piece["at"][across] = tidy(lines[-1] + off)
        bare.append(before.difference(_shape(piece, size)))
    if len(lines) < 2 or not _shows_bare(plan, room, shapely.union_all(bare)):
        return None
    return cause(plan, "insulation-cover", room, severity="error")


def lap_boards(data: Data, rng: random.Random) -> Damaged | None:
    """Begin a cut board too early, so that it lies on the one before."""
    opened = _open(data, rng, rng.randint(0, 1))
    if opened is None:
        return None
    plan, room, pieces = opened
    size = _board_size(plan, room)
    told = data["rooms"][room]["insulation"]["layers"]
    staggers = [mm(layer.get("stagger", 0)) for layer in told]
    by = rng.randint(3, 40)
    if any(min(s, size[0] - s) - by < 155 for s in staggers if s):
        return None
    cut = [
        name
        for name, piece in pieces.items()
        if not name.endswith("-1") and mm(piece.get("length", size[0])) + by <= size[0]
    ]
    if not cut:
        return None
    name = rng.choice(cut)
    stem, _, number = name.rpartition("-")
    before = f"{stem}-{int(number) - 1}"
    piece = pieces[name]
    along = 0 if piece["along"] == "x" else 1
    piece["at"][along] -= by
    piece["length"] += by
    shared = _shape(piece, size).intersection(_shape(pieces[before], size))
    if not _needed(plan, room).covers(shared.buffer(-0.01)) or shared.area < 1:
        return None
    items = sorted((name, before))
    return cause(plan, "insulation-overlap", room, *items, severity="error")


def cut_in_line(data: Data, rng: random.Random) -> Damaged | None:
    """Put a joint of the last course beside one of the course before."""
    opened = _open(data, rng, 0)
    if opened is None:
        return None
    plan, room, pieces = opened
    size = _board_size(plan, room)
    last = max(int(name.split("-")[1]) for name in pieces)
    own = {name: piece for name, piece in pieces.items() if name.split("-")[1] == str(last)}
    beside = [piece for name, piece in pieces.items() if name.split("-")[1] == str(last - 1)]
    if len(beside) < 2:
        return None
    along = 0 if beside[0]["along"] == "x" else 1
    joint = mm(rng.choice(beside[1:])["at"][along])
    where = joint + rng.choice((-1, 1)) * rng.randint(0, 140)
    floor = _needed(plan, room)
    for name, piece in own.items():
        start, length = mm(piece["at"][along]), mm(piece.get("length", size[0]))
        if not start + 50 < where < start + length - 50:
            continue
        low, width = mm(piece["at"][1 - along]), mm(piece.get("width", size[1]))
        if not all(
            # Floor on both sides: a board that ends at a bath has no joint there.
            floor.covers(_segment(spot + aside, end, low, along))
            for spot, end in ((where, low + width), (joint, low - size[1]))
            for aside in (-2, 2)
        ):
            return None
        rest = {**copy_plan(piece), "length": start + length - where}
        rest["at"][along] = where
        piece["length"] = where - start
        pieces[f"{name}b"] = rest
        if _nears_another(pieces, beside, joint, where, along):
            return None
        items = (name, f"{name}b")
        return cause(plan, "insulation-bond", room, *items, severity="warning")
    return None


def _segment(spot: float, end: float, low: float, along: int) -> Any:
    """Draw a joint across its course, a little short of both sides."""
    inset = 1.0 if end > low else -1.0
    ends = ((spot, low + inset), (spot, end - inset))
    return shapely.LineString(ends if along == 0 else [(y, x) for x, y in ends])


def _nears_another(
    pieces: dict[str, Data], beside: list[Data], joint: float, where: float, along: int
) -> bool:
    """Tell whether the new joint lies as near to a second one, so that either may be named."""
    offsets = sorted(abs(mm(piece["at"][along]) - where) for piece in beside[1:])
    return len(offsets) > 1 and offsets[1] - offsets[0] < 5


def lay_without_stagger(data: Data, rng: random.Random) -> Damaged | None:
    """Begin every course alike, or nearly so."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if _in_courses(plan, room, 0)]
    if not rooms:
        return None
    room = rng.choice(rooms)
    told = plan["rooms"][room]
    low_x, low_y, high_x, high_y = box_of(told["outline"])
    floor = _needed(plan, room)
    if abs(floor.area - (high_x - low_x) * (high_y - low_y)) > 1:
        return None
    layer = told["insulation"]["layers"][0]
    length, width = _board_size(plan, room)
    span, across = high_x - low_x, high_y - low_y
    if layer["courses"] == "y":
        span, across = across, span
    short = rng.choice((0, 50, 100, 140))
    layer["stagger"] = short
    if span < length + short + 20:
        return None
    count = int((across - 1e-6) // width) + 1
    own = []
    for course in range(2, count + 1):
        # Of joints equally near the first is named, in the course that is laid later.
        first = 2 if short and course % 2 == 0 else 1
        items = (f"1-{course}-{first}", f"1-{course}-{first + 1}")
        own.append(Expected(rule="insulation-bond", room=room, items=items, severity="warning"))
    return Damaged(data=plan, expected=tuple(own)) if own else None


def save_second_layer(data: Data, rng: random.Random) -> Damaged | None:
    """Lay one layer where the slab of a conservatory asks for two."""
    plan = copy_plan(data)
    rooms = [
        room
        for room in heated_rooms(plan)
        if len((plan["rooms"][room].get("insulation") or {}).get("layers") or []) > 1
    ]
    if not rooms:
        return None
    room = rng.choice(rooms)
    insulation = plan["rooms"][room]["insulation"]
    insulation["layers"] = insulation["layers"][:1]
    return Damaged(data=plan)


def leave_untaped(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the joints untaped, or say nothing of them."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("insulation")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    insulation = plan["rooms"][room]["insulation"]
    if rng.random() < 0.5:
        insulation.pop("joints_taped", None)
    else:
        insulation["joints_taped"] = False
    return cause(plan, "insulation-taped", room, severity="warning")


MUTATIONS = (
    Mutation(rule="insulation-missing", name="insulation-forgotten",
             says="The film was to lie on the bare subfloor.", apply=forget_insulation),
    Mutation(rule="insulation-board", name="another-board",
             says="Boards were left over from another job, and the film is not made for them.",
             apply=take_other_board),
    Mutation(rule="insulation-cover", name="board-left-out",
             says="A board was left out where a cupboard was to stand.", apply=leave_board_out),
    Mutation(rule="insulation-cover", name="board-cut-short",
             says="A board was cut too short and the hole left.", apply=cut_board_short),
    Mutation(rule="insulation-cover", name="course-off-its-line",
             says="The last course of boards was laid to a line that was snapped too far out.",
             apply=snap_course_off),
    Mutation(rule="insulation-overlap", name="boards-lapped",
             says="A board was not cut, but pushed over the one before.", apply=lap_boards),
    Mutation(rule="insulation-bond", name="joint-in-line",
             says="Two off-cuts were used up, and their joint lies beside that of the next course.",
             apply=cut_in_line),
    Mutation(rule="insulation-bond", name="no-stagger",
             says="Every course was begun with a whole board, or nearly so.",
             apply=lay_without_stagger),
    Mutation(rule="insulation-layers", name="second-layer-saved",
             says="The second layer of insulation was saved.", apply=save_second_layer),
    Mutation(rule="insulation-taped", name="joints-not-taped",
             says="Nobody taped the boards' joints.", apply=leave_untaped),
)  # fmt: skip
