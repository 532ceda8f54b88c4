"""What stands beside the drawings of boards and membrane: cut lists, signs, what is not said."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely

from underfoot.checking.facts import LaidBoards, RoomFacts
from underfoot.checking.facts.lining import CLOSE, CutBoards, CutPiece, cut_lengths
from underfoot.drawing import pens
from underfoot.drawing.chains import is_turned
from underfoot.drawing.floor_layers import BOARD_INK, SHEET_INK
from underfoot.drawing.legend import Entry as Sign
from underfoot.drawing.legend import list_rows
from underfoot.drawing.lettering import SMALL, width_of, wrap
from underfoot.drawing.lining.boards import BELOW_DASHES, CUT, MOST_LAYERS, WHOLE
from underfoot.drawing.lining.membrane import GROUND, HIDDEN_DASHES, MOST_SHEETS
from underfoot.drawing.lining.parts import say_size
from underfoot.drawing.panel import LINE, Entry, Panel, Section, paragraphs, write_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Look, box, letters, line
from underfoot.physics.rectangles import GRID
from underfoot.plan import Board, Courses, MembraneRoll
from underfoot.reporting.layout import count_of

# More lines of a cut list nobody reads; more corners than these are cut to the wall.
_MOST_ROWS = 240
_MOST_CORNERS = 12
# What is left bare and smaller is no gap (mm2).
_BARE = 5_000.0
# Where the columns of a cut list begin: the board, the piece, its size; the last ends at the right.
_PIECE, _SIZE = 12.5, 29.5


def list_boards(facts: RoomFacts, place: int, layer: LaidBoards, cut: CutBoards) -> Section:
    """Say how many boards a layer takes, and how they lie."""
    insulation = facts.drawn.insulation
    assert insulation is not None
    drawn = insulation.layers[place]
    words = [*_count_boards(insulation.board, cut)]
    if isinstance(drawn, Courses):
        begins = (
            f"each second course begins with {written_length(drawn.stagger)}"
            if drawn.stagger
            else "each begins with a whole board, joints in line"
        )
        words.append(f"Courses along {drawn.along}: {begins}.")
        words.append(
            f"{place + 1}-2-3 is layer {place + 1}, course 2, board 3, counted from the origin."
        )
    taped = {True: "taped", False: "not taped", None: "taped or not: the plan does not say"}
    words.append(f"Joints: {taped[insulation.joints_taped]}.")
    if is_turned(facts):
        words.append("Begin at the joint whose ends are dimensioned along the walls.")
    words += _cut_round(facts)
    bare = shapely.difference(facts.floor, layer.together, grid_size=GRID).area
    if bare > _BARE:
        words.append(f"{bare / 1e6:.2f} m² of the floor carries no board of this layer.")
    if len(facts.boards) > MOST_LAYERS:
        words.append(f"Layers after the {MOST_LAYERS}th have no sheet: divide the plan.")
    return Section(title="Boards", name="boards-list", entries=paragraphs(words))


def _count_boards(board: Board | None, cut: CutBoards) -> Iterator[str]:
    if board is None:
        yield (
            f"{count_of(len(cut.pieces), 'piece')}; of which board they are cut, the plan "
            "does not say."
        )
        return
    size = " × ".join(
        written_length(each) for each in (*board.size, board.thickness) if each is not None
    )
    yield f"{count_of(cut.count, 'board')} ({board.id}, {size}), {cut.whole} of them laid whole."
    if cut.begun:
        pieces = len(cut.pieces) - cut.whole
        left = cut.count * board.size[0] * board.size[1] - cut.laid
        share = 100 * left / (cut.count * board.size[0] * board.size[1])
        yield (
            f"{count_of(len(cut.begun), 'board')} cut into {count_of(pieces, 'piece')}; "
            f"{left / 1e6:.2f} m² ({share:.0f} %) left over. Each piece takes its length of a "
            "board's whole width; saw cuts are not counted."
        )


def _cut_round(facts: RoomFacts) -> Iterator[str]:
    stops = [each.id for each in facts.drawn.fixtures.values() if each.stops_floor]
    if stops:
        yield f"Cut out round {', '.join(stops)}."


def list_cuts(layer: LaidBoards, cut: CutBoards) -> Section | None:
    """List the cut pieces, each with the board that it comes from, and what is left of that."""
    if not any(not piece.is_whole for piece in cut.pieces):
        return None
    entries: list[Entry] = [_row(("board", "piece", "cut to", "length left"), is_head=True)]
    entries += _rows(layer, cut)[:_MOST_ROWS]
    more = len(cut.pieces) - cut.whole - _MOST_ROWS
    if more > 0:
        entries += paragraphs([f"and {count_of(more, 'piece')} more."])
    if any(not piece.is_rectangle for piece in cut.pieces):
        entries += paragraphs(
            ["Corners: to the right and up from the piece's lower left, as it lies here."]
        )
    return Section(title="Cut list", name="cut-list", entries=tuple(entries))


def _rows(layer: LaidBoards, cut: CutBoards) -> list[Entry]:
    rows = []
    if cut.board is None:
        return [
            _piece_row("", piece, None, layer) for piece in cut.pieces if not piece.is_whole
        ]  # fmt: skip
    for number, places in enumerate(cut.begun, 1):
        left = cut.board[0]
        for place in places:
            left = max(0.0, left - cut.pieces[place].long)
            rest = str(int(left + CLOSE)) if place == places[-1] else ""
            first = str(number) if place == places[0] else ""
            rows.append(_piece_row(first, cut.pieces[place], rest, layer, cut.board))
    return rows


def _piece_row(
    number: str,
    piece: CutPiece,
    rest: str | None,
    layer: LaidBoards,
    board: tuple[float, float] | None = None,
) -> Entry:
    size = say_size(piece)
    more = []
    if board is not None and (piece.long > board[0] + CLOSE or piece.wide > board[1] + CLOSE):
        more.append("larger than a whole board")
    if not piece.is_rectangle:
        more.append(say_corners(piece, layer.corners[piece.place]))
    return _row((number, piece.name, size, rest or ""), more)


def _row(cells: Sequence[str], more: Sequence[str] = (), *, is_head: bool = False) -> Entry:
    """Set a line in columns: board, piece, size, what is left; below it where a column is short."""
    board, name, size, left = cells
    ink = pens.SOFT if is_head else pens.INK
    weight = None if is_head else "bold"

    def draw(width: float) -> Panel:
        names = wrap(name, (width - _PIECE) * 0.94, SMALL)
        at = max(_SIZE, _PIECE + width_of(name, SMALL, bold=True) + 2.0)
        is_short = len(names) > 1 or at + width_of(size, SMALL) + 2.0 > width
        below = list(names[1:]) if is_short else []
        drawn = [
            letters(board, (0.0, SMALL), SMALL, fill=ink) if board else "",
            letters(names[0], (_PIECE, SMALL), SMALL, fill=ink, font_weight=weight),
        ]
        if is_short:
            below.append(size)
        else:
            drawn.append(letters(size, (at, SMALL), SMALL, fill=ink))
        if left:
            end = _PIECE if is_short else at + width_of(size, SMALL) + 2.0
            if not is_short and end + width_of(left, SMALL) <= width:
                drawn.append(letters(left, (width, SMALL), SMALL, anchor="end", fill=ink))
            elif not is_head:
                below.append(f"length left {left}")
        below += [each for words in more for each in wrap(words, width - _PIECE, SMALL)]
        drawn.append(write_lines(below, _PIECE, LINE))
        return Panel(height=(1 + len(below)) * LINE + 0.5, drawn="".join(drawn))

    return draw


def say_corners(piece: CutPiece, corners: Any) -> str:
    """Say where a piece's corners are, from its lower left; askew, along and across the board."""
    if len(getattr(piece.shape, "geoms", [piece.shape])) > 1:
        return "in parts: cut as they lie"
    along, across = corners[1] - corners[0], corners[3] - corners[0]
    if min(abs(along)) < 1e-6:
        right, up = np.array((1.0, 0.0)), np.array((0.0, 1.0))
    else:
        right, up = along / np.hypot(*along), across / np.hypot(*across)
    simple = shapely.simplify(piece.shape, 0.05)
    rings = [
        np.stack([np.array(ring.coords)[:-1] @ right, np.array(ring.coords)[:-1] @ up], axis=1)
        for ring in (simple.exterior, *simple.interiors)
    ]
    if sum(len(ring) for ring in rings) > _MOST_CORNERS:
        return "many corners: cut to the wall"
    low = rings[0].min(axis=0)
    told = [
        " · ".join(f"{_whole(x)}/{_whole(y)}" for x, y in _begun_low(ring - low)) for ring in rings
    ]
    return "corners " + "; cut out ".join(told)


def _begun_low(ring: Any) -> list[list[float]]:
    """Begin a ring at its corner that is nearest to the lower left."""
    places: list[list[float]] = ring.tolist()
    first = min(range(len(places)), key=lambda at: (round(sum(places[at]), 1), at))
    return places[first:] + places[:first]


def _whole(value: float) -> str:
    return str(round(value))


def list_sheets(facts: RoomFacts, pieces: Sequence[CutPiece]) -> Section:
    """Say what the membrane is, and list its sheets in the order in which they are cut and laid."""
    membrane = facts.drawn.membrane
    assert membrane is not None
    roll, corners = membrane.sheet, facts.sheets.corners
    wide = [float(np.hypot(*(ring[3] - ring[0]))) for ring in corners]
    lengths = dict(cut_lengths(facts))
    words = [*_say_roll(roll, sum(lengths.values()))]
    said = {True: "taped", False: "not taped", None: "taped or not (the plan does not say)"}
    laps = f"Laps {said[membrane.overlaps_taped]}; edges" if len(wide) > 1 else "Edges"
    words.append(f"{laps} at the walls {said[membrane.perimeter_taped]}.")
    if len(facts.sheets.names) > MOST_SHEETS:
        words.append(f"Laps of more than {MOST_SHEETS} sheets are not dimensioned.")
    words.append("A turn-up at the walls is not in the plan: add it to the lengths.")
    if is_turned(facts) and len(wide) > 1:
        words.append("Begin at the edge whose ends are dimensioned along the walls.")
    words += _cut_round(facts)
    bare = shapely.difference(facts.floor, facts.sheets.together, grid_size=GRID).area
    if bare > _BARE:
        words.append(f"{bare / 1e6:.2f} m² of the floor carries no sheet.")
    told = [
        f"{piece.name} {_up(lengths[piece.place])}"
        f"{_say_lying(piece, lengths[piece.place], wide[piece.place], roll)}"
        for piece in pieces
    ]
    on_floor = {piece.place for piece in pieces}
    told += [f"{name}: none of it on the floor" for place, name in enumerate(facts.sheets.names)
             if place not in on_floor]  # fmt: skip
    more = len(told) - _MOST_ROWS
    rest = f"; and {more} more" if more > 0 else ""
    order = "Cut in this order:" if len(told) > 1 else "Cut"
    words.insert(1, f"{order} {'; '.join(told[:_MOST_ROWS])}{rest}.")
    return Section(title="Membrane", name="cut-list", entries=paragraphs(words))


def _say_lying(piece: CutPiece, long: float, wide: float, roll: MembraneRoll | None) -> str:
    """Say how wide a sheet is cut, and how much of it lies on the floor."""
    cut = "" if roll is None or abs(wide - roll.width) < CLOSE else f" × {written_length(wide)}"
    if piece.long > long - CLOSE and piece.wide > wide - CLOSE:
        return cut
    return f"{cut}, {_whole(piece.long)} × {_whole(piece.wide)} of it on the floor"


def _up(length: float) -> str:
    """Write a length to be cut off a roll, no shorter than it must be."""
    return str(math.ceil(length - CLOSE / 10))


def _say_roll(roll: MembraneRoll | None, length: float) -> Iterator[str]:
    if roll is None:
        yield f"{length / 1000:.2f} m in all; of which sheet, the plan does not say."
        return
    long = f", {roll.roll / 1000:g} m long" if roll.roll else ""
    wide = written_length(roll.width)
    yield f"{length / 1000:.2f} m of {roll.id}, off the roll {wide} wide{long}."


def list_signs(
    scene: Scene, *, boards: bool, cut: bool = False, below: bool = False, laps: bool = False
) -> Section:
    """Explain the signs of a drawing of boards or of the membrane."""
    signs = []

    def add(layer: str, sign: str, text: str) -> None:
        signs.append(Sign(layer=layer, sign=sign, text=text))

    edge: Look = {"stroke_width": pens.FINE, "stroke": BOARD_INK}
    if boards:
        add("boards", box(0.5, -1.4, 7, 2.8, fill=WHOLE, **edge), "whole board")
        if cut:
            add("boards", box(0.5, -1.4, 7, 2.8, fill=CUT, **edge), "board that is cut")
        if below:
            dashes = line([(0.5, 0), (7.5, 0)], stroke=pens.SOFT, stroke_width=pens.HAIR,
                          stroke_dasharray=BELOW_DASHES)  # fmt: skip
            add("boards", dashes, "joint of the layer below")
    else:
        look: Look = {"stroke": SHEET_INK, "stroke_width": pens.MIDDLE}
        add("membrane", box(0.5, -1.4, 7, 2.8, fill=GROUND, **look), "sheet")
        if laps:
            hatched = box(0.5, -1.4, 7, 2.8, fill=f"url(#{scene.prefix}lap)")
            hidden = line([(0.5, 1.4), (7.5, 1.4)], stroke_dasharray=HIDDEN_DASHES, **look)
            add("membrane", hatched + hidden + line([(0.5, -1.4), (7.5, -1.4)], **look),
                "lap, the lower edge dashed")  # fmt: skip
    if any(each.stops_floor for each in scene.facts.drawn.fixtures.values()):
        structure = box(0.5, -1.4, 7, 2.8, fill=f"url(#{scene.prefix}structure)",
                        stroke=pens.INK, stroke_width=pens.FINE)  # fmt: skip
        add("fixtures", structure, "the floor stops here")
    return Section(title="Legend", name="legend", entries=tuple(list_rows(signs)))
