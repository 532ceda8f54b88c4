"""Boards and sheets: laid, lengthened, moved, staggered, lapped and taped, until covered."""

from copy import deepcopy
from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, mends, plan, says
from underfoot.api.rules import Data
from underfoot_rules.mutations.expand_rows import open_courses, open_runs

PART = [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]
SLAB = {"kind": "concrete", "below": "ground"}


def room(**told: Any) -> Data:
    """Change the room."""
    return {"rooms.room": told}


def boards(**told: Any) -> Data:
    """Change the insulation."""
    return room(insulation=told)


def sheets(**told: Any) -> Data:
    """Change the membrane."""
    return room(membrane=told)


@pytest.mark.parametrize(
    ("change", "rule", "said", "patch"),
    [
        (boards(joints_taped=False), "insulation-taped",
         "Tape every joint between boards, and state `joints_taped: true`.",
         {"insulation.joints_taped": True}),
        (boards(layers=[{"courses": "x", "stagger": 0}]), "insulation-bond",
         "Begin every second course of layer 1 with a piece of 600 mm.",
         {"insulation.layers.0.stagger": 600}),
        (boards(layers=[{"courses": "x", "stagger": 600, "over": PART}]), "insulation-cover",
         "Lay the lowest layer over the whole floor.", {"insulation.layers.0.over": None}),
        (room(insulation=None), "insulation-missing",
         "Lay board-10 below the strips, in courses along x, its joints taped.",
         {"insulation": {"board": "board-10", "joints_taped": True,
                         "layers": [{"courses": "x", "stagger": 600}]}}),
        (room(use="conservatory", subfloor=SLAB), "insulation-layers",
         "Lay a second layer across the first, in courses along y.",
         {"insulation.layers.-": {"courses": "y", "stagger": 600}}),
    ],
)  # fmt: skip
def test_boards_are_laid_as_a_person_would(change: Data, rule: str, said: str, patch: Data) -> None:
    best = mends(plan(change), rule)[0]
    assert best.says == said
    assert {".".join(map(str, edit.path[2:])): edit.value for edit in best.patch} == patch
    assert says(plan({**change, "status": "laid"}), rule) == []


@pytest.mark.parametrize(
    ("change", "rule", "said", "patch"),
    [
        (room(membrane=None), "membrane-missing",
         "Lay pe-02 over the strips along x, lapped by 150 mm, laps and perimeter taped.",
         {"membrane": {"sheet": "pe-02", "overlaps_taped": True, "perimeter_taped": True,
                       "runs": {"along": "x", "overlap": 150}}}),
        (sheets(runs={"overlap": 50}), "membrane-overlap",
         "Lap the sheets by 100 mm.", {"membrane.runs.overlap": 100}),
        (sheets(runs={"over": PART}), "membrane-cover",
         "Lay the runs over the whole floor.", {"membrane.runs.over": None}),
        (sheets(overlaps_taped=None, perimeter_taped=False), "membrane-taped",
         "Tape the overlaps and the perimeter of the membrane, and state it: "
         "`overlaps_taped: true` and `perimeter_taped: true`.",
         {"membrane.overlaps_taped": True, "membrane.perimeter_taped": True}),
    ],
)  # fmt: skip
def test_sheets_are_laid_until_they_are_covered(
    change: Data, rule: str, said: str, patch: Data
) -> None:
    best = mends(plan(change), rule)[0]
    assert best.says == said
    assert {".".join(map(str, edit.path[2:])): edit.value for edit in best.patch} == patch
    assert says(plan({**change, "status": "laid"}), rule) == [said]
    assert says(plan({**change, "status": "covered"}), rule) == []


def test_a_board_is_taken_that_the_film_may_lie_on() -> None:
    board = plan()["materials"]["boards"]["board-10"]
    change = {"materials": {"boards": {"other": board}}, **boards(board="other")}
    assert says(plan(change), "insulation-board") == ["Lay board-10 in the place of other."]
    assert says(plan({**change, "status": "laid"}), "insulation-board") == []


def _pieces() -> tuple[Data, Data]:
    data = open_courses(plan(), "room", 0)
    return data, data["rooms"]["room"]["insulation"]["layers"][0]["pieces"]


def test_a_board_cut_short_is_made_as_long_as_its_place() -> None:
    data, pieces = _pieces()
    pieces["B1-2-2"]["length"] = 900
    (mend,) = mends(data, "insulation-cover")
    assert mend.says == "Make B1-2-2 1200 mm long."


def test_a_board_left_out_is_laid() -> None:
    data, pieces = _pieces()
    gone = pieces.pop("B1-2-2")
    best = mends(data, "insulation-cover")[0]
    assert best.says == "Add B-added-1 where the floor lies bare."
    assert best.patch[0].value == gone


def test_a_course_off_its_line_is_moved_back() -> None:
    data, pieces = _pieces()
    right = deepcopy(pieces)
    last = [name for name in pieces if name.startswith("B1-5-")]
    for name in last:
        pieces[name]["at"][1] += 30
    data = mended(data, "insulation-cover")
    assert data["rooms"]["room"]["insulation"]["layers"][0]["pieces"] == right


def test_a_board_on_another_is_cut_up_to_it() -> None:
    data, pieces = _pieces()
    pieces["B1-1-4"] |= {"at": [3580, 0], "length": 420}
    best = mends(data, "insulation-overlap")[0]
    assert best.says == "Cut B1-1-3 by 20 mm, up to B1-1-4."
    assert [(edit.path[-1], edit.value) for edit in best.patch] == [("length", 1180)]


def test_two_off_cuts_give_way_to_one_board() -> None:
    """The joint lies at 1250, in line with that of the course below at 1200."""
    data, pieces = _pieces()
    pieces["B1-2-2"]["length"] = 650
    pieces["B1-2-2b"] = {"at": [1250, 600], "along": "x", "length": 550}
    best = mends(data, "insulation-bond", "B1-2-2")[0]
    assert best.says == ("Lay B1-2-2 in one piece of 1200 mm, in the place of B1-2-2 and B1-2-2b.")


def test_a_sheet_is_lengthened_or_moved() -> None:
    data = open_runs(plan(), "room")
    short = deepcopy(data)
    short["rooms"]["room"]["membrane"]["pieces"]["M1"]["length"] = 3700
    assert says(short, "membrane-cover")[0] == "Make M1 4000 mm long."
    shifted = deepcopy(data)
    shifted["rooms"]["room"]["membrane"]["pieces"]["M2"]["at"][1] += 120
    assert says(shifted, "membrane-overlap")[0] == "Move sheet M2 by 70 mm down."
