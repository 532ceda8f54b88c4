"""What the layers of the floor ask for: boards, sheets, tape, underlay, coverings."""

from collections.abc import Iterator
from typing import Any

import shapely

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.facts.lining import cut_boards, cut_lengths
from underfoot.checking.facts.room import cut_out
from underfoot.plan import Board, Covering, Packs
from underfoot.schedule.items import Item, metres, packs_of

_M2 = 1e6


def list_floor_items(facts: Facts) -> Iterator[Item]:
    """List what each heated room's layers take, from the subfloor up."""
    for room in facts.heated_rooms:
        yield from _list_boards(room)
        yield from _list_tape(facts, room)
        yield from _list_sheets(room)
        yield from _list_surfaces(room, packs_of(facts))


def _list_boards(room: RoomFacts) -> Iterator[Item]:
    insulation = room.drawn.insulation
    if insulation is None or insulation.board is None:
        return
    board = insulation.board
    for layer, cut in zip(room.boards, cut_boards(room), strict=True):
        if layer.unlaid:
            continue
        yield Item(
            group="insulation",
            what=f"boards {_say_board(board)}",
            amount=cut.count,
            unit="pieces",
            reckoned="whole boards, and as many as the cut ones' lengths come out of, the longest "
            "first, each as wide as a board",
            rooms=(room.id,),
            pack=board.pack,
        )


def _say_board(board: Board) -> str:
    thick = f", {board.thickness:g} mm" if board.thickness else ""
    return f"{board.id}, {board.size[0]:g} × {board.size[1]:g} mm{thick}"


def _list_tape(facts: Facts, room: RoomFacts) -> Iterator[Item]:
    insulation, membrane = room.drawn.insulation, room.drawn.membrane
    packs = packs_of(facts)
    if insulation is not None and insulation.joints_taped:
        for layer in room.boards:
            shapes = shapely.intersection(layer.polygons, room.floor)
            joints = _joint_length(shapes)
            if joints:
                reckoned = "all joints between boards"
                yield _tape(room, "for boards", joints, reckoned, packs.board_tape)
    steps = facts.plan.method_statement.steps if facts.plan.method_statement else {}
    if steps.get("elements_taped"):
        edges = (float(shapely.length(room.strips).sum()) + room.heated.length) / 2
        reckoned = "all edges of the strips, one that two share once"
        yield _tape(room, "for strips", edges, reckoned, packs.strip_tape)
    if membrane is not None and membrane.overlaps_taped:
        reckoned = "all edges of laps between sheets"
        yield _tape(room, "for sheets", _lap_length(room), reckoned, packs.sheet_tape)
    if membrane is not None and membrane.perimeter_taped:
        reckoned = "round the floor, along its walls"
        yield _tape(room, "for sheets to walls", room.floor.length, reckoned, packs.wall_tape)


def _tape(room: RoomFacts, use: str, length: float, reckoned: str, pack: float | None) -> Item:
    return Item(
        group="tape",
        what=f"tape {use}",
        amount=length / 1000,
        unit="m",
        reckoned=reckoned,
        rooms=(room.id,),
        pack=metres(pack),
    )


def _joint_length(shapes: Any) -> float:
    together = shapely.union_all(shapes)
    return max(0.0, (float(shapely.length(shapes).sum()) - float(together.length)) / 2)


def _lap_length(room: RoomFacts) -> float:
    """Add up the edges of sheets that lie on an earlier one."""
    sheets = shapely.intersection(room.sheets.polygons, room.floor)
    below, length = None, 0.0
    for sheet in sheets:
        if below is not None:
            length += shapely.intersection(below.boundary, sheet).length
        below = sheet if below is None else shapely.union(below, sheet)
    return length


def _list_sheets(room: RoomFacts) -> Iterator[Item]:
    membrane, subfloor = room.drawn.membrane, room.drawn.subfloor
    if membrane is not None and membrane.sheet is not None and cut_lengths(room):
        sheet = membrane.sheet
        lengths = tuple(long / 1000 for _, long in cut_lengths(room))
        yield Item(
            group="membrane",
            what=f"{sheet.id}, {sheet.width / 1000:g} m wide",
            amount=sum(lengths),
            unit="m",
            reckoned="the sheets' lengths off the roll, as they lie on the floor; what goes up the "
            "walls is not in it",
            rooms=(room.id,),
            pack=metres(sheet.roll),
            whole=lengths,
        )
    if subfloor is not None and subfloor.barrier is not None:
        barrier = subfloor.barrier
        yield Item(
            group="membrane",
            what=f"{barrier.id} below the insulation",
            amount=room.floor.area / _M2,
            unit="m²",
            reckoned="the floor's area; laps are not in it",
            rooms=(room.id,),
            pack=None if barrier.roll is None else barrier.roll * barrier.width / _M2,
        )


def _list_surfaces(room: RoomFacts, packs: Packs) -> Iterator[Item]:
    drawn, area = room.drawn, room.floor.area
    if drawn.grid is not None:
        reckoned = "the heated floor's area"
        yield _surface(room, "earthed grid", room.heated.area, reckoned, packs.grid_m2)
    for layer, name, packed in (
        (drawn.underlay, "underlay", packs.underlay_m2),
        (drawn.overlay, "boards over the film", packs.overlay_m2),
    ):
        if layer is not None:
            parts = (name, layer.material, f"{layer.thickness:g} mm" if layer.thickness else None)
            what = ", ".join(part for part in parts if part)
            yield _surface(room, what, area, "the floor's area; offcuts are not in it", packed)
    for covering, covered in _cover(room):
        thick = f", {covering.thickness:g} mm" if covering.thickness else ""
        what = f"covering {covering.id}{thick}"
        reckoned = "the floor's area; offcuts are not in it"
        yield _surface(room, what, covered, reckoned, covering.pack_m2)


def _cover(room: RoomFacts) -> Iterator[tuple[Covering, float]]:
    """List how much of the floor each covering takes; what has no place of its own the rest."""
    placed = [shapely.Polygon(each.over) for each in room.drawn.coverings if each.over is not None]
    rest = cut_out(room.floor, placed)
    shapes = iter(placed)
    for each in room.drawn.coverings:
        shape = rest if each.over is None else shapely.intersection(next(shapes), room.floor)
        yield each.covering, float(shape.area)


def _surface(room: RoomFacts, what: str, area: float, reckoned: str, pack: float | None) -> Item:
    return Item(
        group="floor",
        what=what,
        amount=area / _M2,
        unit="m²",
        reckoned=reckoned,
        rooms=(room.id,),
        pack=pack,
    )
