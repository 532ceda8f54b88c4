"""Insulation left out, or laid wrong."""

import random
from typing import Any

import shapely

from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.choosing import (
    choose_with,
    films_in,
    floor_to_cover,
    heated_rooms,
    lose_room_thing,
)
from underfoot_rules.mutations.damaging import Caused, UnfitError, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import draw
from underfoot_rules.mutations.expand_rows import (
    box_of,
    copy_plan,
    mm,
    open_courses,
    open_rows,
    tidy,
)


@mutation("insulation-missing", "insulation-forgotten")
def forget_insulation(plan: Data, rng: random.Random) -> Caused:
    """The film was to lie on the bare subfloor."""
    return cause("insulation-missing", lose_room_thing(plan, rng, "insulation"), severity="error")


@mutation("insulation-board", "another-board")
def take_other_board(plan: Data, rng: random.Random) -> Caused:
    """Boards were left over from another job, and the film is not made for them."""
    boards = plan["materials"].get("boards") or {}
    rooms = [
        room
        for room in heated_rooms(plan)
        if (plan["rooms"][room].get("insulation") or {}).get("board") in boards
        and all("boards" in plan["materials"]["films"][film] for film in films_in(plan, room))
    ]
    room = pick(rng, rooms)
    insulation = plan["rooms"][room]["insulation"]
    boards["board-other"] = dict(boards[insulation["board"]])
    insulation["board"] = "board-other"
    return cause("insulation-board", room, "board-other", severity="error")


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


def _open(plan: Data, rng: random.Random, layer: int) -> tuple[str, dict[str, Data]]:
    """Choose a room and open one layer of it; give the pieces."""
    rooms = [room for room in heated_rooms(plan) if _in_courses(plan, room, layer)]
    room = pick(rng, rooms)
    plan["rooms"][room] = open_courses(plan, room, layer)["rooms"][room]
    return room, plan["rooms"][room]["insulation"]["layers"][layer]["pieces"]


def _shape(piece: Data, size: tuple[float, float]) -> Any:
    x, y = (mm(value) for value in piece["at"])
    length, width = mm(piece.get("length", size[0])), mm(piece.get("width", size[1]))
    if piece["along"] == "y":
        length, width = width, length
    return shapely.box(x, y, x + length, y + width)


@mutation("insulation-cover", "board-left-out")
def leave_board_out(plan: Data, rng: random.Random) -> Caused:
    """A board was left out where a cupboard was to stand."""
    return _uncover(plan, rng, shorten=False)


@mutation("insulation-cover", "board-cut-short")
def cut_board_short(plan: Data, rng: random.Random) -> Caused:
    """A board was cut too short and the hole left."""
    return _uncover(plan, rng, shorten=True)


def _uncover(plan: Data, rng: random.Random, *, shorten: bool) -> Caused:
    room, pieces = _open(plan, rng, 0)
    size = _board_size(plan, room)
    name = rng.choice(list(pieces))
    before = _shape(pieces[name], size)
    if shorten:
        length = mm(pieces[name].get("length", size[0]))
        given(length >= 200)
        pieces[name]["length"] = length - rng.randint(60, int(length) - 100)
    else:
        del pieces[name]
    left = before.difference(_shape(pieces[name], size)) if shorten else before
    given(_shows_bare(plan, room, left))
    return cause("insulation-cover", room, severity="error")


def _shows_bare(plan: Data, room: str, left: Any) -> bool:
    """Tell whether so much left bare is found, and changes nothing else."""
    subfloor = plan["rooms"][room].get("subfloor") or {}
    if subfloor.get("below") != "heated" or subfloor.get("kind") == "concrete":
        return False
    floor = floor_to_cover(plan, room)
    sensor = draw(open_rows(plan), room).sensor
    if sensor is not None and left.distance(shapely.Point(sensor)) < 1:
        return False
    return bool(100 * left.intersection(floor).area / floor.area >= 0.12)


@mutation("insulation-cover", "course-off-its-line")
def snap_course_off(plan: Data, rng: random.Random) -> Caused:
    """The last course of boards was laid to a line that was snapped too far out."""
    # Lay the last course of the lowest layer so far out that a strip beside it stays bare.
    rooms = [
        room for room in heated_rooms(plan) if _in_courses(plan, room, 0) or _in_pieces(plan, room)
    ]
    room = pick(rng, rooms)
    if not _in_pieces(plan, room):
        plan["rooms"][room] = open_courses(plan, room, 0)["rooms"][room]
    pieces = plan["rooms"][room]["insulation"]["layers"][0]["pieces"].values()
    ways = {piece["along"] for piece in pieces}
    given(ways < {"x", "y"})
    across = 1 if ways == {"x"} else 0
    lines = sorted({mm(piece["at"][across]) for piece in pieces})
    course = [piece for piece in pieces if mm(piece["at"][across]) == lines[-1]]
    size, off = _board_size(plan, room), rng.randint(12, 60)
    bare = []
    for piece in course:
        before = _shape(piece, size)
        piece["at"][across] = tidy(lines[-1] + off)
        bare.append(before.difference(_shape(piece, size)))
    given(len(lines) >= 2 and _shows_bare(plan, room, shapely.union_all(bare)))
    return cause("insulation-cover", room, severity="error")


@mutation("insulation-overlap", "boards-lapped")
def lap_boards(plan: Data, rng: random.Random) -> Caused:
    """A board was not cut, but pushed over the one before."""
    # Begin a cut board too early, so that it lies on the one before.
    written = copy_plan(plan)
    room, pieces = _open(plan, rng, rng.randint(0, 1))
    size = _board_size(plan, room)
    layers = written["rooms"][room]["insulation"]["layers"]
    staggers = [mm(layer.get("stagger", 0)) for layer in layers]
    by = rng.randint(3, 40)
    given(not any(min(s, size[0] - s) - by < 155 for s in staggers if s))
    cut = [
        name
        for name, piece in pieces.items()
        if not name.endswith("-1") and mm(piece.get("length", size[0])) + by <= size[0]
    ]
    name = pick(rng, cut)
    stem, _, number = name.rpartition("-")
    before = f"{stem}-{int(number) - 1}"
    piece = pieces[name]
    along = 0 if piece["along"] == "x" else 1
    piece["at"][along] -= by
    piece["length"] += by
    shared = _shape(piece, size).intersection(_shape(pieces[before], size))
    given(floor_to_cover(plan, room).covers(shared.buffer(-0.01)) and shared.area >= 1)
    items = sorted((name, before))
    return cause("insulation-overlap", room, *items, severity="error")


@mutation("insulation-bond", "joint-in-line")
def cut_in_line(plan: Data, rng: random.Random) -> Caused:
    """Two off-cuts were used up, and their joint lies beside that of the next course."""
    # Put a joint of the last course beside one of the course before.
    room, pieces = _open(plan, rng, 0)
    size = _board_size(plan, room)
    last = max(int(name.split("-")[1]) for name in pieces)
    own = {name: piece for name, piece in pieces.items() if name.split("-")[1] == str(last)}
    beside = [piece for name, piece in pieces.items() if name.split("-")[1] == str(last - 1)]
    given(len(beside) >= 2)
    along = 0 if beside[0]["along"] == "x" else 1
    joint = mm(rng.choice(beside[1:])["at"][along])
    where = joint + rng.choice((-1, 1)) * rng.randint(0, 140)
    floor = floor_to_cover(plan, room)
    for name, piece in own.items():
        start, length = mm(piece["at"][along]), mm(piece.get("length", size[0]))
        if not start + 50 < where < start + length - 50:
            continue
        low, width = mm(piece["at"][1 - along]), mm(piece.get("width", size[1]))
        # Floor on both sides: a board that ends at a bath has no joint there.
        joints = (
            _segment(spot + aside, end, low, along)
            for spot, end in ((where, low + width), (joint, low - size[1]))
            for aside in (-2, 2)
        )
        given(all(map(floor.covers, joints)))
        rest = {**copy_plan(piece), "length": start + length - where}
        rest["at"][along] = where
        piece["length"] = where - start
        pieces[f"{name}b"] = rest
        given(not _nears_another(pieces, beside, joint, where, along))
        items = (name, f"{name}b")
        return cause("insulation-bond", room, *items, severity="warning")
    raise UnfitError


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


@mutation("insulation-bond", "no-stagger")
def lay_without_stagger(plan: Data, rng: random.Random) -> Caused:
    """Every course was begun with a whole board, or nearly so."""
    rooms = [room for room in heated_rooms(plan) if _in_courses(plan, room, 0)]
    room = pick(rng, rooms)
    told = plan["rooms"][room]
    low_x, low_y, high_x, high_y = box_of(told["outline"])
    floor = floor_to_cover(plan, room)
    given(abs(floor.area - (high_x - low_x) * (high_y - low_y)) <= 1)
    layer = told["insulation"]["layers"][0]
    length, width = _board_size(plan, room)
    span, across = high_x - low_x, high_y - low_y
    if layer["courses"] == "y":
        span, across = across, span
    short = rng.choice((0, 50, 100, 140))
    layer["stagger"] = short
    given(span >= length + short + 20)
    count = int((across - 1e-6) // width) + 1
    own = []
    for course in range(2, count + 1):
        # Of joints equally near the first is named, in the course that is laid later.
        first = 2 if short and course % 2 == 0 else 1
        items = (f"1-{course}-{first}", f"1-{course}-{first + 1}")
        own.append(Expected(rule="insulation-bond", room=room, items=items, severity="warning"))
    return given(tuple(own))


@mutation("insulation-layers", "second-layer-saved")
def save_second_layer(plan: Data, rng: random.Random) -> None:
    """The second layer of insulation was saved."""
    # Lay one layer where the slab of a conservatory asks for two.
    rooms = [
        room
        for room in heated_rooms(plan)
        if len((plan["rooms"][room].get("insulation") or {}).get("layers") or []) > 1
    ]
    room = pick(rng, rooms)
    insulation = plan["rooms"][room]["insulation"]
    insulation["layers"] = insulation["layers"][:1]


@mutation("insulation-taped", "joints-not-taped")
def leave_untaped(plan: Data, rng: random.Random) -> Caused:
    """Nobody taped the boards' joints."""
    room = choose_with(plan, rng, "insulation")
    insulation = plan["rooms"][room]["insulation"]
    if rng.random() < 0.5:
        insulation.pop("joints_taped", None)
    else:
        insulation["joints_taped"] = False
    return cause("insulation-taped", room, severity="warning")
