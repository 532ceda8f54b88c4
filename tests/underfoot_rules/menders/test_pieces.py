"""Bare floor between boards and sheets: which piece is lengthened, moved or added, and how far.

Worked out by hand on boards of 1200 mm by 600 mm that lie along x, and again with x and y changed
about.
"""

from typing import Any

import pytest
import shapely

from tests.written_out import figure
from underfoot.api.rules import Edit
from underfoot_rules.menders.pieces import Sizes, cover_bare, list_pieces, write_box

Box = tuple[float, float, float, float]
PATH = ("rooms", "room", "insulation", "layers", 0, "pieces")
BOARD = Sizes(length=1200, width=600)
ROLL = Sizes(length=50_000, width=1500, lap=200)
TURNED = {"right": "up", "left": "down", "long": "long", "wide": "wide"}


def turned(box: Box) -> Box:
    return (box[1], box[0], box[3], box[2])


def written(pieces: dict[str, Box], is_turned: bool, along: str = "x") -> dict[str, Any]:
    """Write pieces into plan data, their length along x, or along y where all is turned."""
    told = {}
    for name, (x0, y0, x1, y1) in pieces.items():
        size = {"length": x1 - x0, "width": y1 - y0}
        if along == "y":
            size = {"length": y1 - y0, "width": x1 - x0}
        at = [y0, x0] if is_turned else [x0, y0]
        told[name] = {"at": at, "along": "xy"[(along == "y") is not is_turned], **size}
    return {"rooms": {"room": {"insulation": {"layers": [{"pieces": told}]}}}}


def covered(
    pieces: dict[str, Box], bare: list[Box], sizes: Sizes, is_turned: bool, along: str = "x"
) -> tuple[str, dict[str, Any]] | None:
    """Cover what lies bare; gives what is said, and the edits by piece and key."""
    data = written(pieces, is_turned, along)
    boxes = [turned(box) if is_turned else box for box in pieces.values()]
    listed = list_pieces(data, PATH, list(pieces), [shapely.box(*box) for box in boxes])
    places = shapely.union_all([shapely.box(*(turned(b) if is_turned else b)) for b in bare])
    found = cover_bare(data, PATH, listed, places, sizes, "P")
    return None if found is None else (found[0], by_piece(found[1]))


def by_piece(edits: tuple[Edit, ...]) -> dict[str, Any]:
    assert all(edit.path[: len(PATH)] == PATH for edit in edits)
    return {".".join(map(str, edit.path[len(PATH) :])): edit.value for edit in edits}


def spoken(said: str, is_turned: bool) -> str:
    if is_turned:
        for one, other in (("to the right", "up"), ("to the left", "down")):
            said = said.replace(one, other)
    return said


def swapped(edits: dict[str, Any], is_turned: bool) -> dict[str, Any]:
    def of(value: Any) -> Any:
        if isinstance(value, list):
            return value[::-1]
        if isinstance(value, dict):
            return {**value, "at": value["at"][::-1], "along": "yx"["xy".index(value["along"])]}
        return value

    return {key: of(value) for key, value in edits.items()} if is_turned else edits


# Two courses of two boards; what lies bare stands with each case.
A, B = (0, 0, 1000, 600), (1000, 0, 2200, 600)
C, D = (0, 600, 1200, 1200), (1200, 600, 2200, 1200)


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize(
    ("pieces", "bare", "said", "edits"),
    [
        # At its far end 200 mm longer; 1200 mm is the most.
        ({"A": A}, (1000, 0, 1200, 600), "Make A 1200 mm long.", {"A.length": 1200}),
        # Part of its end lies bare: it is lengthened whole.
        ({"A": A}, (1000, 100, 1150, 500), "Make A 1150 mm long.", {"A.length": 1150}),
        # At its near end it begins sooner, too.
        ({"A": (200, 0, 1000, 600)}, (0, 0, 200, 600), "Make A 1000 mm long.",
         {"A.at": [0, 0], "A.length": 1000}),
        # Beside a narrow one: wider, up to 600 mm.
        ({"A": (0, 0, 1000, 400)}, (0, 400, 1000, 600), "Make A 600 mm wide.", {"A.width": 600}),
        ({"A": (0, 200, 1000, 600)}, (0, 0, 1000, 200), "Make A 600 mm wide.",
         {"A.at": [0, 0], "A.width": 600}),
        # A gap of 1 mm between them is none; A reaches over it.
        ({"A": A}, (1001, 0, 1100, 600), "Make A 1100 mm long.", {"A.length": 1100}),
        ({"A": (101, 0, 1000, 600)}, (0, 0, 100, 600), "Make A 1000 mm long.",
         {"A.at": [0, 0], "A.length": 1000}),
        # More than 1 mm is one, and what lies beyond it no neighbour.
        ({"A": A}, (1001.5, 0, 1100, 600), "Add P1 where the floor lies bare.",
         {"P1": {"at": [1001.5, 0], "along": "x", "length": 98.5}}),
        ({"A": (101.5, 0, 1000, 600)}, (0, 0, 100, 600), "Add P1 where the floor lies bare.",
         {"P1": {"at": [0, 0], "along": "x", "length": 100}}),
        # The first that may be so long: B is 1200 mm already.
        ({"B": B, "A": (2300, 0, 3300, 600)}, (2200, 0, 2300, 600), "Make A 1100 mm long.",
         {"A.at": [2200, 0], "A.length": 1100}),
        # 1300 mm long would be too long: a board is cut to fit.
        ({"A": A}, (1000, 0, 1300, 600), "Add P1 where the floor lies bare.",
         {"P1": {"at": [1000, 0], "along": "x", "length": 300}}),
        # Wider at its end than the piece is: it would not cover all.
        ({"A": A}, (1000, 0, 1200, 700), None, {}),
        # The course beyond a bare strip of 100 mm moves down to the one before.
        ({"A": A, "B": B, "C": (0, 700, 1200, 1300), "D": (1200, 700, 2200, 1300)},
         (0, 600, 2200, 700), "Move C and D by 100 mm {up}.",
         {"C.at": [0, 600], "D.at": [1200, 600]}),
        # Of 120 mm as well, of 130 mm not any more: boards are cut to fit, the last one shorter.
        ({"A": A, "B": B, "C": (0, 720, 1200, 1320), "D": (1200, 720, 2200, 1320)},
         (0, 600, 2200, 720), "Move C and D by 120 mm {up}.",
         {"C.at": [0, 600], "D.at": [1200, 600]}),
        ({"A": A, "B": B, "C": (0, 730, 1200, 1330), "D": (1200, 730, 2200, 1330)},
         (0, 600, 2200, 730), "Add P1 and P2 where the floor lies bare.",
         {"P1": {"at": [0, 600], "along": "x", "width": 130},
          "P2": {"at": [1200, 600], "along": "x", "length": 1000, "width": 130}}),
        # Nothing lies beyond: the course before it moves up.
        ({"A": (0, 0, 1200, 600), "B": (1200, 0, 2200, 600)}, (0, 600, 2200, 650),
         "Move A and B by 50 mm {down}.", {"A.at": [0, 50], "B.at": [1200, 50]}),
        # Three boards are told from the first to the last.
        ({"A": (0, 0, 500, 600), "B": (500, 0, 1000, 600), "C": (1000, 0, 1500, 600)},
         (0, 600, 1500, 650), "Move A to C by 50 mm {down}.",
         {"A.at": [0, 50], "B.at": [500, 50], "C.at": [1000, 50]}),
        # A course that leaves more than 1 mm bare at its end covers nothing by being moved.
        ({"A": (0, 0, 1200, 600), "B": (1200, 0, 2190, 600)}, (0, 600, 2200, 650),
         "Add P1 and P2 where the floor lies bare.",
         {"P1": {"at": [0, 600], "along": "x", "width": 50},
          "P2": {"at": [1200, 600], "along": "x", "length": 1000, "width": 50}}),
        # P1 is laid already.
        ({"P1": A}, (3000, 0, 4200, 600), "Add P2 where the floor lies bare.",
         {"P2": {"at": [3000, 0], "along": "x"}}),
    ],
)  # fmt: skip
def test_bare_floor_between_boards_is_covered(
    pieces: dict[str, Box], bare: Box, said: str | None, edits: dict[str, Any], is_turned: bool
) -> None:
    found = covered(pieces, [bare], BOARD, is_turned)
    if said is None:
        assert found is None
        return
    # Moved down where they lie along x, to the left where all is turned.
    up, down = ("to the left", "to the right") if is_turned else ("down", "up")
    assert found == (said.format(up=up, down=down), swapped(edits, is_turned))


@pytest.mark.parametrize("is_turned", [False, True])
def test_boards_that_lie_across_are_lengthened_their_own_way(is_turned: bool) -> None:
    across = {"A": (0, 0, 600, 1000)}
    assert covered(across, [(0, 1000, 600, 1200)], BOARD, is_turned, "y") == (
        "Make A 1200 mm long.", {"A.length": 1200},
    )  # fmt: skip
    assert covered(across, [(600, 0, 700, 1000)], BOARD, is_turned, "y") == (
        "Move A by 100 mm to the right." if not is_turned else "Move A by 100 mm up.",
        swapped({"A.at": [100, 0]}, is_turned),
    )
    # 500 mm of 2000: two boards along y, cut to 500 mm.
    found = covered(across, [(600, 0, 1100, 2000)], BOARD, is_turned, "y")
    assert found == (
        "Add P1 and P2 where the floor lies bare.",
        swapped({"P1": {"at": [600, 0], "along": "y", "width": 500},
                 "P2": {"at": [600, 1200], "along": "y", "length": 800, "width": 500}}, is_turned),
    )  # fmt: skip


def test_parts_are_covered_one_by_one() -> None:
    found = covered({"A": A, "B": (0, 600, 1000, 1200)}, [(1000, 0, 1100, 600),
                    (1000, 2000, 1600, 2600)], BOARD, False)  # fmt: skip
    assert found == (
        "Make A 1100 mm long. Add P2 where the floor lies bare.",
        {"A.length": 1100, "P2": {"at": [1000, 2000], "along": "x", "length": 600}},
    )
    # One part that cannot be covered, and nothing is offered.
    wide = (1000, 2000, 1600, 2700)
    assert covered({"A": A}, [(1000, 0, 1100, 600), wide], BOARD, False) is None
    # A sliver is no bare floor.
    assert covered({"A": A}, [(1000, 0, 1000.5, 1)], BOARD, False) is None
    assert covered({"A": A}, [(1000, 0, 1000.005, 600)], BOARD, False) is None


@pytest.mark.parametrize("is_turned", [False, True])
def test_a_sheet_that_is_added_laps_over_its_neighbours(is_turned: bool) -> None:
    # 1000 mm by 600 mm, and 200 mm more on each side.
    sheet = {"A": (0.0, 0.0, 4000.0, 1500.0)}
    found = covered(sheet, [(5000, 2000, 6000, 2600)], ROLL, is_turned)
    assert found == (
        "Add P1 where the floor lies bare.",
        swapped({"P1": {"at": [4800, 1800], "along": "x", "length": 1400, "width": 1000}},
                is_turned),
    )  # fmt: skip
    # 1100 mm and two laps are as wide as the roll; 1101 mm are wider.
    roll = covered(sheet, [(5000, 2000, 6000, 3100)], ROLL, is_turned)
    assert roll is not None
    assert "width" not in roll[1]["P1"]
    assert covered(sheet, [(5000, 2000, 6000, 3101)], ROLL, is_turned) is None


@pytest.mark.parametrize(
    ("box", "edits"),
    [
        ((0, 0, 1000, 600), {}),
        ((0.0005, 0, 1000, 600), {}),
        ((5, 0, 1005, 600), {"A.at": [5, 0]}),
        ((0, 7, 1000, 600), {"A.at": [0, 7], "A.width": 593}),
        ((0, 0, 900, 600), {"A.length": 900}),
    ],
)
def test_only_what_is_otherwise_is_written(box: Box, edits: dict[str, Any]) -> None:
    data = written({"A": (0, 0, 1000, 600)}, False)
    (piece,) = list_pieces(data, PATH, ["A"], [shapely.box(0, 0, 1000, 600)])
    assert by_piece(tuple(write_box(data, piece, box))) == edits


def test_slanted_pieces_and_those_of_a_course_are_not_listed() -> None:
    data = written({"A": (0, 0, 1000, 600), "B": (0, 0, 1000, 600)}, False)
    data["rooms"]["room"]["insulation"]["layers"][0]["pieces"]["B"]["along"] = "30 deg"
    shapes = [shapely.box(0, 0, 1000, 600)] * 3
    (piece,) = list_pieces(data, PATH, ["A", "B", "of a course"], shapes)
    assert (piece.name, piece.axis, [figure(side) for side in piece.box]) == (
        "A", 0, ["0", "0", "1000", "600"],
    )  # fmt: skip
