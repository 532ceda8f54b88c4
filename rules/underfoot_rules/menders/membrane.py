"""Lays the vapour barrier where there is none or too little, lapped and taped."""

import math
from collections.abc import Iterator

from underfoot.api.facts import RoomFacts
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, format_quantity
from underfoot_rules.menders.laid import is_covered
from underfoot_rules.menders.pieces import Piece, Sizes, cover_bare, list_pieces, write_box
from underfoot_rules.menders.written import Path, change, look_up, write_length

# How far runs that are drawn anew lap, and pieces that are added (mm).
_LAP = 150.0


def draw_membrane(found: ToMend) -> Iterator[Proposal]:
    """Propose runs over the whole floor of a sheet of the plan's, lapped and taped."""
    room = found.room_facts
    if is_covered(found.facts, room.id):
        return
    used = [
        other.drawn.membrane.sheet.id
        for other in found.facts.rooms.values()
        if other.drawn.membrane is not None and other.drawn.membrane.sheet is not None
    ]
    sheets = sorted(found.facts.plan.materials.sheets, key=lambda name: (name not in used, name))
    lap = max(_LAP, found.facts.limits["membrane-overlap"]["minimum"])
    for sheet in sheets[:1]:
        value = {
            "sheet": sheet,
            "overlaps_taped": True,
            "perimeter_taped": True,
            "runs": {"along": "x", "overlap": write_length(lap)},
        }
        yield Proposal(
            says=f"Lay {sheet} over the strips along x, lapped by {format_quantity(lap, 'mm')}, "
            "laps and perimeter taped.",
            edits=(Edit(op="add", path=("rooms", room.id, "membrane"), value=value),),
        )


def tape_membrane(found: ToMend) -> Iterator[Proposal]:
    """Propose to tape what is not said to be taped, and to say so."""
    room = found.room_facts
    membrane = room.drawn.membrane
    if membrane is None or is_covered(found.facts, room.id):
        return
    one_sheet = len(room.sheets.names) == 1 and not room.sheets.unlaid
    edits, named = [], []
    if not membrane.overlaps_taped and not one_sheet:
        named.append("overlaps")
    if not membrane.perimeter_taped:
        named.append("perimeter")
    for name in named:
        path: Path = ("rooms", room.id, "membrane", f"{name}_taped")
        edits.append(change(found.data, path, True))
    yield Proposal(
        says=f"Tape the {' and the '.join(named)} of the membrane, and state it: "
        f"{' and '.join(f'`{name}_taped: true`' for name in named)}.",
        edits=tuple(edits),
    )


def lap_more(found: ToMend) -> Iterator[Proposal]:
    """Propose the least lap for runs, or to move one of two sheets over the other."""
    room = found.room_facts
    if is_covered(found.facts, room.id) or room.drawn.membrane is None:
        return
    least = found.facts.limits["membrane-overlap"]["minimum"]
    path: Path = ("rooms", room.id, "membrane", "runs")
    for which, runs in enumerate(room.drawn.membrane.runs):
        if runs.overlap >= least:
            continue
        listed = isinstance(look_up(found.data, path), list)
        own: Path = (*path, which, "overlap") if listed else (*path, "overlap")
        value = write_length(least, look_up(found.data, own))
        yield Proposal(
            says=f"Lap the sheets by {format_quantity(least, 'mm')}.",
            edits=(change(found.data, own, value),),
        )
    pieces = {each.name: each for each in _pieces(found, room)}
    lap = next(
        (
            each
            for each in room.sheet_laps(least)
            if {room.sheets.names[each.first], room.sheets.names[each.second]} == set(found.items)
        ),
        None,
    )
    if lap is None:
        return
    by = math.ceil(least - lap.width + lap.gap - 0.01)
    for name, other in (found.items[::-1], found.items):
        if name in pieces and other in room.sheets.names:
            towards = room.sheets.polygons[room.sheets.names.index(other)].centroid
            yield _move_sheet(found, pieces[name], towards.coords[0], by)


def _move_sheet(found: ToMend, piece: Piece, towards: tuple[float, ...], by: float) -> Proposal:
    axis = 1 - piece.axis
    box = list(piece.box)
    sign = 1.0 if towards[axis] > (box[axis] + box[axis + 2]) / 2 else -1.0
    box[axis] += sign * by
    box[axis + 2] += sign * by
    way = (("to the left", "to the right"), ("down", "up"))[axis][sign > 0]
    return Proposal(
        says=f"Move sheet {piece.name} by {format_quantity(by, 'mm')} {way}.",
        edits=tuple(write_box(found.data, piece, (box[0], box[1], box[2], box[3]))),
    )


def cover_floor(found: ToMend) -> Iterator[Proposal]:
    """Propose longer sheets, or further ones, where floor lies bare."""
    room = found.room_facts
    membrane = room.drawn.membrane
    if membrane is None or is_covered(found.facts, room.id):
        return
    path: Path = ("rooms", room.id, "membrane")
    if len(membrane.runs) == 1 and not membrane.pieces:
        runs = look_up(found.data, (*path, "runs"))
        over: Path = (
            (*path, "runs", 0, "over") if isinstance(runs, list) else (*path, "runs", "over")
        )
        if look_up(found.data, over) is not None:
            yield Proposal(
                says="Lay the runs over the whole floor.",
                edits=(Edit(op="remove", path=over),),
            )
        return
    _, bare = room.floor_left_bare(room.sheets.together)
    width = membrane.sheet.width if membrane.sheet is not None else 0.0
    sizes = Sizes(length=math.inf, width=width, lap=_LAP)
    covered = cover_bare(
        found.data, (*path, "pieces"), _pieces(found, room), bare, sizes, "M-added-"
    )
    if covered is not None:
        yield Proposal(says=covered[0], edits=covered[1])


def _pieces(found: ToMend, room: RoomFacts) -> list[Piece]:
    path: Path = ("rooms", room.id, "membrane", "pieces")
    return list_pieces(found.data, path, room.sheets.names, room.sheets.polygons)


MENDERS = (
    Mender(rule="membrane-missing", propose=draw_membrane),
    Mender(rule="membrane-taped", propose=tape_membrane),
    Mender(rule="membrane-overlap", propose=lap_more),
    Mender(rule="membrane-cover", propose=cover_floor),
)
