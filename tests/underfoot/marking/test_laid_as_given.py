"""Boards, membrane and thermostat that the brief has placed: they stand as it has them."""

import copy
import json
import math
from typing import Any

import pytest
import yaml
from msgspec.structs import replace

from tests.laws.moving import Move
from tests.laws.opening import open_plan
from tests.underfoot.marking.demo import FOLDER, demo_desk, judge, plan_of
from tests.underfoot.marking.right_ways import materials_of_the_same_content, moved
from tests.underfoot_rules.plans import change_plan
from underfoot.marking.judging import Attempt
from underfoot.marking.placing import Move as Brought
from underfoot.plan import BoardPiece
from underfoot.reading import read_plan

Data = dict[str, Any]
PERFECT = plan_of("apprentice-01")
GIVEN = ("insulation", "membrane", "thermostat")
BOARDS = "bedroom: the boards do not lie as the brief lays them"
SHEETS = "bedroom: the sheets of the membrane do not lie as the brief lays them"
HANGS = "bedroom: the thermostat does not hang where the brief has it"


def answer() -> Data:
    """A right answer to the brief below, with what that gives as it gives it."""
    plan = copy.deepcopy(PERFECT)
    room = plan["rooms"]["bedroom"]
    room["thermostat"]["at"] = [0, 1700]
    room["sensor"]["cable"] = "4 m"
    return plan


def judged(plan: Data, give: Data | None = None) -> Attempt:
    """Judge a plan by the demo's scheme and a brief that has insulation, membrane, thermostat."""

    brief = yaml.safe_load((FOLDER / "brief.yaml").read_text("utf-8"))
    room = brief["rooms"]["bedroom"]
    for part in GIVEN:
        room[part] = answer()["rooms"]["bedroom"][part]
    brief["rooms"]["bedroom"] = change_plan(room, give or {})
    given = read_plan(json.dumps(brief).encode(), path="brief.yaml").plan
    assert given is not None
    return judge(plan, replace(demo_desk(), brief=given))


def piece_by_piece() -> Data:
    """Write out the right answer's boards, each where it lies."""
    pieces: Data = open_plan(PERFECT)["rooms"]["bedroom"]["insulation"]["layers"][0]["pieces"]
    return pieces


FIRST, BOARD = next(iter(piece_by_piece().items()))
NEAR_HALF = [[0, 0], [1800, 0], [1800, 3120], [0, 3120]]
A_SHEET = {"P1": {"at": [0, 0], "along": "x", "length": 1000}}
HARDLY_LAPPED = {"membrane.runs.overlap": 20}
CHEATS: dict[str, tuple[Data, str]] = {
    "no bond": ({"insulation.layers": [{"courses": "x"}]}, BOARDS),
    "boards the other way": ({"insulation.layers": [{"courses": "y", "stagger": 600}]}, BOARDS),
    "half the boards": (
        {"insulation.layers": [{"courses": "x", "stagger": 600, "over": NEAR_HALF}]}, BOARDS,
    ),
    "a second layer": ({"insulation.layers": [{"courses": "x", "stagger": 600}] * 2}, BOARDS),
    "a board moved": ({"insulation.layers": [{"pieces": {
        **piece_by_piece(), FIRST: {**BOARD, "at": [BOARD["at"][0] + 5, BOARD["at"][1]]},
    }}]}, BOARDS),
    "a board less": ({"insulation.layers": [{"pieces": {
        name: board for name, board in piece_by_piece().items() if name != FIRST
    }}]}, BOARDS),
    "hardly lapped": (HARDLY_LAPPED, SHEETS),
    "a patch of sheet": ({"membrane.runs": None, "membrane.pieces": A_SHEET}, SHEETS),
    "a sheet more": ({"membrane.pieces": A_SHEET}, SHEETS),
    "hung elsewhere": ({"thermostat.at": [1000, 3120]}, HANGS),
}  # fmt: skip


@pytest.mark.parametrize("cheat", CHEATS)
def test_what_is_laid_otherwise_than_the_brief_has_it_is_told_and_put_back(cheat: str) -> None:
    change, said = CHEATS[cheat]
    plan = answer()
    plan["rooms"]["bedroom"] = change_plan(plan["rooms"]["bedroom"], change)
    attempt = judged(plan)
    assert [one.said for one in attempt.changes] == [said]
    assert (attempt.earned, attempt.report.findings) == (70, ())


def test_the_brief_s_own_faults_cost_whoever_leaves_them_alone_nothing_more_than_all() -> None:
    # The brief itself laps too little: whoever laps more is told so, and judged by the brief.
    attempt = judged(answer(), HARDLY_LAPPED)
    assert [one.said for one in attempt.changes] == [SHEETS]
    assert "membrane-overlap" in {one.rule for one in attempt.report.findings}


@pytest.mark.parametrize(
    "move",
    [
        Move(),
        Move(turn_deg=90),
        Move(turn_deg=180),
        Move(mirrored=True),
        Move(turn_deg=90, mirrored=True),
    ],
    ids=str,
)
def test_drawn_piece_by_piece_turned_or_mirrored_it_is_still_the_brief_s(move: Move) -> None:
    attempt = judged(moved(answer(), move))
    assert attempt.changes == ()
    assert (attempt.earned, attempt.report.findings) == (70, ())


@pytest.mark.parametrize("part", ["insulation", "membrane"])
@pytest.mark.parametrize("move", [Move(turn_deg=90), Move(turn_deg=270, mirrored=True)], ids=str)
def test_what_was_left_out_is_put_back_where_the_room_lies(part: str, move: Move) -> None:
    plan = moved(materials_of_the_same_content(answer()), move)
    del plan["rooms"]["bedroom"][part]
    attempt = judged(plan)
    assert attempt.changes == ()
    assert any(f"the {part} that the brief gives was left out" in one for one in attempt.remarks)
    assert (attempt.earned, attempt.report.findings) == (70, ())


def test_a_thermostat_that_the_brief_has_here_hangs_in_no_other_room() -> None:
    plan = answer()
    plan["rooms"]["hall"] = {"outline": [[9000, 0], [9900, 0], [9900, 2000], [9000, 2000]]}
    plan["rooms"]["bedroom"]["thermostat"]["room"] = "hall"
    attempt = judged(plan)
    assert HANGS in [one.said for one in attempt.changes]
    assert attempt.earned == 70


@pytest.mark.parametrize("layers", ["layers", "runs"])
def test_what_the_brief_lays_and_the_plan_only_names_is_put_back(layers: str) -> None:
    plan = answer()
    part = "insulation" if layers == "layers" else "membrane"
    del plan["rooms"]["bedroom"][part][layers]
    attempt = judged(plan)
    assert attempt.changes == ()
    assert f"bedroom: the {part} that the brief lays was left out, and was put back." in (
        attempt.remarks
    )
    assert (attempt.earned, attempt.report.findings) == (70, ())


def test_where_the_brief_says_nothing_of_it_boards_and_place_are_the_planner_s() -> None:
    plan = answer()
    room = plan["rooms"]["bedroom"]
    room["insulation"]["layers"] = [{"courses": "y", "stagger": 600}]
    room["membrane"]["runs"]["overlap"] = 200
    materials_alone = dict.fromkeys(("insulation.layers", "membrane.runs", "thermostat.at"))
    attempt = judged(plan, materials_alone)
    assert (attempt.changes, attempt.remarks) == ((), ())
    assert (attempt.earned, attempt.report.findings) == (70, ())


def test_a_slanting_board_of_the_brief_lies_where_its_corners_are_brought() -> None:
    board = BoardPiece(
        id="P1",
        path="p",
        at=(100.0, 200.0),
        along="angle",
        length=1200.0,
        width=600.0,
        angle_deg=30.0,
    )
    for turn in ((1, 0, 0, 1), (-1, 0, 0, 1), (0, -1, 1, 0), (0, 1, 1, 0)):
        move = Brought(turn=turn, by=(7.0, -3.0))
        wanted = {(round(x, 6), round(y, 6)) for x, y in move.places(corners(board))}
        found = {(round(x, 6), round(y, 6)) for x, y in corners(move.bring(board))}
        assert found == wanted


def corners(board: BoardPiece) -> list[tuple[float, float]]:
    """Where a slanting board's corners lie: along its length first, anticlockwise about `at`."""
    angle = math.radians(board.angle_deg)
    along = (board.length * math.cos(angle), board.length * math.sin(angle))
    across = (-board.width * math.sin(angle), board.width * math.cos(angle))
    x, y = board.at
    return [
        (x + i * along[0] + j * across[0], y + i * along[1] + j * across[1])
        for i in (0, 1)
        for j in (0, 1)
    ]
