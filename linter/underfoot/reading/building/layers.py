"""Insulation and membrane: courses, runs and pieces, as the plan states them."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from underfoot.plan import (
    Board,
    BoardPiece,
    Courses,
    Insulation,
    Membrane,
    MembraneRoll,
    MembraneSheet,
    Pieces,
    Runs,
)
from underfoot.plan_format.insulation import (
    BOARD_PIECE,
    INSULATION,
    LAYER,
    MEMBRANE,
    RUN,
    SHEET_PIECE,
)
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Corners, Data, ProblemLog
from underfoot.reading.building.thing_reader import (
    NOTHING_KNOWN,
    Fields,
    Known,
    maker_of,
    reader_of,
)
from underfoot.reading.wording import show

# As many boards or sheets as strips.
MOST_LAID = 100_000
_BOARD_OF_COURSES = re.compile(r"[0-9]+-[0-9]+-[0-9]+")
_SHEET_OF_RUNS = re.compile(r"R[0-9]+")
# What a piece must have, to lie somewhere.
_PLACED = frozenset({"at", "along", "length", "width"})


_read_insulation = reader_of(INSULATION, but=("layers",))
_make_courses = maker_of(LAYER, but=("pieces",))
_read_board = reader_of(BOARD_PIECE)
_read_membrane = reader_of(MEMBRANE, but=("runs", "pieces"))
_make_runs = maker_of(RUN)
_read_sheet = reader_of(SHEET_PIECE)


def build_insulation(
    log: ProblemLog,
    data: Data,
    path: str,
    boards: Mapping[str, Board],
    known: Known,
    outline: Corners | None,
) -> Insulation | None:
    """The boards of a room, layers from the subfloor up."""
    insulation = data.get("insulation")
    if insulation is None:
        return None
    path = f"{path}.insulation"
    fields = _read_insulation(log, insulation, path, known)
    stated = "board" in fields
    board = fields["board"] = boards.get(fields.get("board", ""))
    layers: list[Courses | Pieces] = []
    lines_of_ids: dict[str, int] = {}
    entries = insulation.get("layers", ())
    in_courses = any(entry is not None and "courses" in entry for entry in entries)
    for number, entry in enumerate(entries):
        if entry is None:
            continue
        place = f"{path}.layers.{number}"
        if "pieces" in entry:
            for key in ("courses", "stagger", "over"):
                if key in entry:
                    log.report(
                        f"{place}.{key}", "a layer has `courses` or `pieces`: delete one of the two"
                    )
            _check_piece_ids(log, entry, place, lines_of_ids, in_courses)
            pieces = tuple(_build_pieces(log, entry, place, board, stated))
            layers.append(Pieces(path=place, pieces=pieces, note=entry.get("note")))
        elif "courses" in entry:
            layers.append(_build_courses(log, entry, place, board, outline))
    return Insulation(path=path, layers=tuple(layers), **fields)


def _check_piece_ids(
    log: ProblemLog, data: Data, path: str, lines_of_ids: dict[str, int], in_courses: bool
) -> None:
    """Boards are unique in their room, across its layers."""
    for name, _ in entries_of(data, "pieces"):
        place = f"{path}.pieces.{name}"
        if name in lines_of_ids:
            log.report(
                place, f"{show(name)} is a board of this room already, in line {lines_of_ids[name]}"
            )
        elif in_courses and _BOARD_OF_COURSES.fullmatch(name):
            log.report(place, f"{show(name)} is how boards of courses are named: choose another")
        lines_of_ids.setdefault(name, log.line_of(place))


def _build_courses(
    log: ProblemLog, data: Data, path: str, board: Board | None, outline: Corners | None
) -> Courses:
    courses: Courses = _make_courses(log, data, path)
    if board is not None:
        if courses.stagger > board.size[0]:
            log.report(
                f"{path}.stagger",
                f"`stagger`: {show(data['stagger'])} is longer than a board "
                f"({board.size[0]:g} mm), of which it is the first piece",
            )
        width, height = _measure(courses.over or outline)
        length, across = board.size if courses.along == "x" else board.size[::-1]
        _check_number(log, f"{path}.courses", width / length * (height / across), "boards")
    return courses


def _build_pieces(
    log: ProblemLog, data: Data, path: str, board: Board | None, stated: bool
) -> Iterator[BoardPiece]:
    for name, entry in entries_of(data, "pieces"):
        place = f"{path}.pieces.{name}"
        fields = _read_board(log, entry, place, NOTHING_KNOWN)
        if board is not None:
            _cut(log, entry, place, fields, "length", board.size[0])
            _cut(log, entry, place, fields, "width", board.size[1])
        elif not stated:
            _report_unmeasured(log, entry, place, ("length", "width"), "`board`")
        if fields.keys() >= _PLACED:
            yield BoardPiece(id=name, path=place, **fields)


def _cut(log: ProblemLog, data: Data, path: str, fields: Fields, key: str, whole: float) -> None:
    """A measure of a cut piece, which is no more than that of the whole; left out, the whole's."""
    if key not in data:
        fields[key] = whole
    elif fields.get(key, 0.0) > whole:
        log.report(
            f"{path}.{key}", f"`{key}`: {show(data[key])} is more than the whole's, {whole:g} mm"
        )


def _report_unmeasured(
    log: ProblemLog, data: Data, path: str, keys: tuple[str, ...], source: str
) -> None:
    missing = [key for key in keys if key not in data]
    if missing:
        named = " and ".join(f"`{key}`" for key in missing)
        log.report(path, f"{named} cannot be told: give {named} here, or a {source} above")


def build_membrane(
    log: ProblemLog,
    data: Data,
    path: str,
    sheets: Mapping[str, MembraneRoll],
    known: Known,
    outline: Corners | None,
) -> Membrane | None:
    """The vapour barrier of a room."""
    membrane = data.get("membrane")
    if membrane is None:
        return None
    path = f"{path}.membrane"
    fields = _read_membrane(log, membrane, path, known)
    stated = "sheet" in fields
    sheet = fields["sheet"] = sheets.get(fields.get("sheet", ""))
    runs = tuple(_build_runs(log, membrane.get("runs"), f"{path}.runs", sheet, outline))
    pieces = tuple(_build_sheets(log, membrane, path, sheet, stated, bool(runs)))
    return Membrane(path=path, runs=runs, pieces=pieces, **fields)


def _build_runs(
    log: ProblemLog, value: Any, path: str, sheet: MembraneRoll | None, outline: Corners | None
) -> Iterator[Runs]:
    """Runs, one or a list of them."""
    if isinstance(value, list):
        for number, entry in enumerate(value):
            yield from _build_runs(log, entry, f"{path}.{number}", sheet, outline)
        return
    runs: Runs | None = None if value is None else _make_runs(log, value, path)
    if runs is None:
        return
    if sheet is not None:
        if runs.overlap >= sheet.width:
            log.report(
                f"{path}.overlap",
                f"`overlap`: {show(value['overlap'])} is as much as the sheet is wide, "
                f"{sheet.width:g} mm: no sheet would get any further",
            )
        else:
            width, height = _measure(runs.over or outline)
            across = height if runs.along == "x" else width
            _check_number(log, path, across / (sheet.width - runs.overlap), "sheets")
    yield runs


def _build_sheets(
    log: ProblemLog,
    data: Data,
    path: str,
    sheet: MembraneRoll | None,
    stated: bool,
    has_runs: bool,
) -> Iterator[MembraneSheet]:
    for name, entry in entries_of(data, "pieces"):
        place = f"{path}.pieces.{name}"
        if has_runs and _SHEET_OF_RUNS.fullmatch(name):
            log.report(place, f"{show(name)} is how sheets of runs are named: choose another")
        fields = _read_sheet(log, entry, place, NOTHING_KNOWN)
        if sheet is not None:
            _cut(log, entry, place, fields, "width", sheet.width)
        elif not stated:
            _report_unmeasured(log, entry, place, ("width",), "`sheet`")
        if fields.keys() >= _PLACED:
            yield MembraneSheet(id=name, path=place, **fields)


def _measure(outline: Corners | None) -> tuple[float, float]:
    """Width and height of an outline's box."""
    if outline is None:
        return 0.0, 0.0
    xs, ys = zip(*outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _check_number(log: ProblemLog, path: str, number: float, things: str) -> None:
    if number > MOST_LAID:
        log.report(
            path, f"this comes to more than {MOST_LAID:,} {things}: check the sizes and their units"
        )
