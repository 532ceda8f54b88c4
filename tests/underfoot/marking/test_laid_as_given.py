"""Boards, membrane and thermostat that the brief has placed: they stand as it has them."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable
from typing import Any

import pytest
import yaml
from msgspec.structs import replace

from tests.laws.moving import Move
from tests.laws.opening import open_plan
from tests.underfoot.marking.demo import FOLDER, demo_desk, judge, plan_of
from tests.underfoot.marking.right_ways import materials_of_the_same_content, moved
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


def judged(plan: Data, give: Callable[[Data], None] = lambda room: None) -> Attempt:
    """Judge a plan by the demo's scheme and a brief that has insulation, membrane, thermostat."""

    brief = yaml.safe_load((FOLDER / "brief.yaml").read_text("utf-8"))
    room = brief["rooms"]["bedroom"]
    for part in GIVEN:
        room[part] = copy.deepcopy(answer()["rooms"]["bedroom"][part])
    give(room)
    given = read_plan(json.dumps(brief).encode(), path="brief.yaml").plan
    assert given is not None
    return judge(plan, replace(demo_desk(), brief=given))


def no_bond(room: Data) -> None:
    room["insulation"]["layers"] = [{"courses": "x"}]


def boards_the_other_way(room: Data) -> None:
    room["insulation"]["layers"] = [{"courses": "y", "stagger": 600}]


def half_the_boards(room: Data) -> None:
    room["insulation"]["layers"][0]["over"] = [[0, 0], [1800, 0], [1800, 3120], [0, 3120]]


def a_second_layer(room: Data) -> None:
    room["insulation"]["layers"] *= 2


def a_board_moved(room: Data) -> None:
    pieces = open_plan({**PERFECT, "rooms": {"bedroom": room}})["rooms"]["bedroom"]["insulation"]
    first = next(iter(pieces["layers"][0]["pieces"].values()))
    first["at"] = [first["at"][0] + 5, first["at"][1]]
    room["insulation"] = pieces


def a_board_less(room: Data) -> None:
    pieces = open_plan({**PERFECT, "rooms": {"bedroom": room}})["rooms"]["bedroom"]["insulation"]
    del pieces["layers"][0]["pieces"][next(iter(pieces["layers"][0]["pieces"]))]
    room["insulation"] = pieces


def hardly_lapped(room: Data) -> None:
    room["membrane"]["runs"]["overlap"] = 20


def a_patch_of_sheet(room: Data) -> None:
    del room["membrane"]["runs"]
    room["membrane"]["pieces"] = {"P1": {"at": [0, 0], "along": "x", "length": 1000}}


def a_sheet_more(room: Data) -> None:
    room["membrane"]["pieces"] = {"P1": {"at": [0, 0], "along": "x", "length": 1000}}


def hung_elsewhere(room: Data) -> None:
    room["thermostat"]["at"] = [1000, 3120]


CHEATS = {
    no_bond: BOARDS, boards_the_other_way: BOARDS, half_the_boards: BOARDS, a_second_layer: BOARDS,
    a_board_moved: BOARDS, a_board_less: BOARDS, hardly_lapped: SHEETS, a_patch_of_sheet: SHEETS,
    a_sheet_more: SHEETS, hung_elsewhere: HANGS,
}  # fmt: skip


@pytest.mark.parametrize("cheat", CHEATS, ids=lambda cheat: cheat.__name__)
def test_what_is_laid_otherwise_than_the_brief_has_it_is_told_and_put_back(
    cheat: Callable[[Data], None],
) -> None:
    plan = answer()
    cheat(plan["rooms"]["bedroom"])
    attempt = judged(plan)
    assert [one.said for one in attempt.changes] == [CHEATS[cheat]]
    assert (attempt.earned, attempt.report.findings) == (70, ())


def test_the_brief_s_own_faults_cost_whoever_leaves_them_alone_nothing_more_than_all() -> None:
    # The brief itself laps too little: whoever laps more is told so, and judged by the brief.
    attempt = judged(answer(), hardly_lapped)
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

    def names_materials_alone(given: Data) -> None:
        del given["insulation"]["layers"], given["membrane"]["runs"], given["thermostat"]["at"]

    attempt = judged(plan, names_materials_alone)
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
