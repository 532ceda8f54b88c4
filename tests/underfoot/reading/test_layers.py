import pytest

from tests.there import there
from tests.underfoot.reading.samples import FULL, SMALL, change, only_problem, problems_of, read
from underfoot.plan import Room

KINDS = """
  boards: {board-6: {size: [1200, 600]}}
  sheets: {pe: {width: 2 m}}
"""


def with_layers(text: str) -> str:
    """A small plan with more keys in its room."""
    plan = change(SMALL, "\nsupply:", KINDS + "supply:")
    return change(plan, "    rows:", f"    {text}\n    rows:")


def room_of(text: str) -> Room:
    reading = read(with_layers(text))
    assert reading.problems == ()
    return there(reading.plan).rooms["study"]


def test_pieces_are_whole_unless_cut() -> None:
    room = room_of(
        "insulation: {board: board-6, layers: [{pieces: {P1: {at: [0, 0], along: y}, "
        "P2: {at: [1, 2], along: 30 deg, width: 1 ft}}}]}"
    )
    (layer,) = there(room.insulation).layers
    first, second = layer.pieces  # type: ignore[union-attr]
    assert (first.length, first.width, first.along) == (1200, 600, "y")
    # A foot is 304.8 mm exactly.
    assert (second.length, second.width, second.angle_deg) == (1200, 304.8, 30)


def test_pieces_without_a_board_say_their_size() -> None:
    room = room_of(
        "insulation: {layers: [{pieces: {P1: {at: [0, 0], along: x, length: 9, width: 8}}}]}"
    )
    assert room.insulation is not None
    assert room.insulation.board is None
    (layer,) = room.insulation.layers
    assert [(one.length, one.width) for one in layer.pieces] == [(9, 8)]  # type: ignore[union-attr]


def test_runs_may_be_several() -> None:
    room = room_of(
        "membrane: {sheet: pe, runs: [{along: x, overlap: 150, over: [[0, 0], [9, 0], [0, 9]]}, "
        "{along: y}]}"
    )
    first, second = there(room.membrane).runs
    assert (first.path, first.along, first.overlap) == ("rooms.study.membrane.runs.0", "x", 150)
    assert (second.along, second.overlap, second.over) == ("y", 0, None)


def test_a_membrane_without_a_sheet_is_as_the_plan_says() -> None:
    room = room_of("membrane: {overlaps_taped: true}")
    assert room.membrane is not None
    assert (room.membrane.sheet, room.membrane.runs, room.membrane.pieces) == (None, (), ())


@pytest.mark.parametrize(
    ("text", "path", "message"),
    [
        (
            "insulation: {board: bord-6}",
            "insulation.board",
            "`bord-6` names no board; did you mean `board-6`?",
        ),
        (
            "insulation: {layers: [{pieces: {P1: {at: [0, 0], along: x, length: 9}}}]}",
            "insulation.layers.0.pieces.P1",
            "`width` cannot be told: give `width` here, or a `board` above",
        ),
        (
            "membrane: {pieces: {M1: {at: [0, 0], along: x, length: 9}}}",
            "membrane.pieces.M1",
            "`width` cannot be told: give `width` here, or a `sheet` above",
        ),
        (
            "insulation: {board: board-6, layers: [{courses: x, pieces: {}}]}",
            "insulation.layers.0.courses",
            "a layer has `courses` or `pieces`: delete one of the two",
        ),
        (
            "insulation: {board: board-6, layers: [{courses: x, stagger: 1.3 m}]}",
            "insulation.layers.0.stagger",
            "`stagger`: `1.3 m` is longer than a board (1200 mm), of which it is the first piece",
        ),
        (
            "insulation: {board: board-6, layers: [{courses: x, stagger: -1 mm}]}",
            "insulation.layers.0.stagger",
            "`stagger`: `-1 mm` must not be less than 0",
        ),
        (
            "insulation: {board: board-6, layers: [{pieces: {P1: {at: [0, 0], along: x, "
            "length: 1201}}}]}",
            "insulation.layers.0.pieces.P1.length",
            "`length`: `1201` is more than the whole's, 1200 mm",
        ),
        (
            "membrane: {sheet: pe, pieces: {M1: {at: [0, 0], along: x, length: 9, width: 2001}}}",
            "membrane.pieces.M1.width",
            "`width`: `2001` is more than the whole's, 2000 mm",
        ),
        (
            "membrane: {sheet: pe, runs: {along: x, overlap: 2 m}}",
            "membrane.runs.overlap",
            "`overlap`: `2 m` is as much as the sheet is wide, 2000 mm: no sheet would get any "
            "further",
        ),
        (
            "membrane: {sheet: pe, runs: {along: x}, pieces: {R1: {at: [0, 0], along: x, "
            "length: 9}}}",
            "membrane.pieces.R1",
            "`R1` is how sheets of runs are named: choose another",
        ),
        (
            "insulation: {board: board-6, layers: [{courses: x}, {pieces: {1-2-3: {at: [0, 0], "
            "along: x}}}]}",
            "insulation.layers.1.pieces.1-2-3",
            "`1-2-3` is how boards of courses are named: choose another",
        ),
        (
            "insulation: {board: board-6, layers: [{pieces: {P1: {at: [0, 0], along: x}}}, "
            "{pieces: {P1: {at: [0, 0], along: x}}}]}",
            "insulation.layers.1.pieces.P1",
            "`P1` is a board of this room already, in line 11",
        ),
        (
            "membrane: {sheet: pe, runs: {along: x, over: [[0, 0], [9, 9], [9, 0], [0, 9]]}}",
            "membrane.runs.over.2",
            "`over`: the outline crosses or touches itself: the side from corner 3 to 4 meets the "
            "side from corner 1 to 2",
        ),
    ],
)
def test_layers_that_cannot_be_laid(text: str, path: str, message: str) -> None:
    problem = only_problem(with_layers(text))
    assert (problem.path, problem.message) == (f"rooms.study.{path}", message)


def test_boards_and_sheets_too_many_to_lay() -> None:
    text = with_layers("insulation: {board: board-6, layers: [{courses: x}]}")
    # The room is 4200 mm by 3100 mm: 4200 * 3100 / (11 * 11) is about 107,600 boards.
    problem = only_problem(change(text, "[1200, 600]", "[11, 11]"))
    assert problem.path == "rooms.study.insulation.layers.0.courses"
    assert "more than 100,000 boards" in problem.message
    assert read(change(text, "[1200, 600]", "[12, 12]")).problems == ()
    text = with_layers("membrane: {sheet: pe, runs: {along: x, overlap: 1999.99}}")
    problem = only_problem(text)
    assert problem.path == "rooms.study.membrane.runs"
    assert "more than 100,000 sheets" in problem.message


def test_a_faulty_layer_leaves_the_others_checked() -> None:
    text = change(FULL, "{courses: x, stagger: 600, note: below}", "{stagger: 600}")
    text = change(text, "along: x, length: 4200}", "along: x, length: 4200 A}")
    assert [path for _, path, _ in problems_of(text)] == [
        "rooms.day-room.insulation.layers.0",
        "rooms.day-room.membrane.pieces.M1.length",
    ]
