"""Strips are moved with their rows and leads, cut at cut lines, or left out where nothing helps."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import judge, mended, mends, plan, room, says
from underfoot.api.rules import Data, Edit, Mender, Proposal, ToMend
from underfoot.mending.search import by_rule, find_mends
from underfoot_rules.menders.left_out import leave_strip_out

SEVEN = [2750] * 7
STRIP = {"film": "film-80", "along": "y", "circuit": "C1"}
NARROW = [[0, 0], [3590, 0], [3590, 3000], [0, 3000]]
RECESSED = {"circuit": "C1", "size": "1.5 mm2", "recessed": True}


def row(**told: Any) -> Data:
    """Change row A."""
    return room(rows={"A": told})


def fed(*stops: Any, **told: Any) -> Data:
    """Change the room, and what its lead joins."""
    return room(leads={"W1": {"route": ["junction-box", [30, 1500], [30, 30], *stops]}}, **told)


def singly(**moved: list[int]) -> Data:
    """Draw three strips one by one, as A1, A2 and A3 lie, some of them elsewhere."""
    at = {"E1": [60, 60], "E2": [560, 60], "E3": [1060, 60]} | moved
    strips = {name: {**STRIP, "at": place, "length": 2750} for name, place in at.items()}
    outline = [[0, 0], [1700, 0], [1700, 3000], [0, 3000]]
    return fed(
        "E1", "E2", "E3", outline=outline, rows={"A": None}, elements=strips, heat_loss="150 W"
    )


STOVE = {"stove": {"at": [3000, 2600], "size": [300, 300], "kind": "floor-mounted"}}
RUG = {"rug": {"at": [3080, 2000], "size": [450, 500], "kind": "lying flat"}}
GAP = fed(
    "A",
    "B",
    rows={"A": {"lengths": SEVEN[:6]}, "B": {**STRIP, "at": [3090, 60], "lengths": [2750]}},
)
FOLLOWING = fed(
    "A",
    "B",
    "D",
    rows={
        "A": {"lengths": SEVEN[:3]},
        "B": {**STRIP, "at": [1530, 60], "lengths": SEVEN[:2]},
        "D": {**STRIP, "after": "B", "lengths": SEVEN[:2]},
    },
)
SQUEEZED = room(
    outline=NARROW,
    rows={"A": {"lengths": SEVEN[:6]}},
    elements={"X1": {**STRIP, "at": [3040, 60], "length": 2750}},
    leads={"W2": {**RECESSED, "route": ["A6", "X1"]}},
)


@pytest.mark.parametrize(
    ("change", "rule", "item", "said", "patch"),
    [
        (row(at=[20, 60]), "wall-clearance", "A1",
         "Move row A by 38 mm to the right (+x).", {"rows.A.at": [58, 60]}),
        (row(at=["0.02 m", 60]), "wall-clearance", "A1",
         "Move row A by 38 mm to the right (+x).", {"rows.A.at": ["0.058 m", 60]}),
        (row(at=[60, 200]), "wall-clearance", "A4",
         "Move row A by 8 mm down (-y).", {"rows.A.at": [60, 192]}),
        (row(lengths=[2750, 3000, *SEVEN[2:]]), "element-outside-room", "A2",
         "Cut A2 to 2750 mm.", {"rows.A.lengths.1": 2750}),
        (row(lengths=[2750, "2.6 m", *SEVEN[2:]]), "cut-length", "A2",
         "Make A2 2750 mm long.", {"rows.A.lengths.1": "2.75 m"}),
        (row(lengths=None, length=2600, count=7), "cut-length", "A2",
         "Make the strips of row A 2750 mm long.", {"rows.A.length": 2750}),
        (room(fixtures=STOVE), "fixture-clearance", "A6",
         "Cut A6 to 2250 mm.", {"rows.A.lengths.5": 2250}),
        (room(fixtures=RUG), "covered-floor", "A7",
         "Cut A7 to 1750 mm.", {"rows.A.lengths.6": 1750}),
        (GAP, "strip-gap", "B1",
         "Move row B by 30 mm to the left (-x).", {"rows.B.at": [3060, 60]}),
        (FOLLOWING, "element-overlap", "B1",
         "Move row B and row D by 30 mm to the right (+x).", {"rows.B.at": [1560, 60]}),
        (singly(E3=[1020, 60]), "element-overlap", "E3",
         "Move E3 by 40 mm to the right (+x).", {"elements.E3.at": [1060, 60]}),
        (singly(E3=[1150, 60]), "wall-clearance", "E3",
         "Move E3 by 90 mm to the left (-x).", {"elements.E3.at": [1060, 60]}),
        (singly(E2=[560, 230]), "wall-clearance", "E2",
         "Move E2 by 170 mm down (-y).", {"elements.E2.at": [560, 60]}),
        (SQUEEZED, "element-overlap", "X1", "Leave out X1, and lead W2 with it.",
         {"elements": None, "leads.W2": None}),
    ],
)  # fmt: skip
def test_what_a_person_would_do_first(
    change: Data, rule: str, item: str, said: str, patch: Data
) -> None:
    best = mends(plan(change), rule, item)[0]
    assert best.says == said
    assert {".".join(map(str, edit.path[2:])): edit.value for edit in best.patch} == patch
    assert says(plan({**change, "status": "laid"}), rule, item) == []


def test_a_lead_beside_a_row_goes_with_it() -> None:
    """The strips come down to 192 mm: the bend before A1 goes as far, that by the box stays."""
    route = ["junction-box", [30, 1500], [30, 200], "A"]
    change = room(rows={"A": {"at": [60, 230]}}, leads={"W1": {"route": route}})
    best = mends(plan(change), "wall-clearance", "A1")[0]
    assert best.says == "Move row A by 38 mm down (-y), and the bends of W1 beside it as far."
    assert [(edit.path[3:], edit.value) for edit in best.patch] == [
        (("A", "at"), [60, 192]),
        (("W1", "route", 2), [30, 162]),
    ]


def test_a_lead_along_a_row_goes_aside_with_it() -> None:
    route = ["junction-box", [84, 1500], [84, 30], "A"]
    change = room(
        outline=[[0, 0], [3640, 0], [3640, 3000], [0, 3000]],
        rows={"A": {"at": [90, 60]}},
        leads={"W1": {"route": route}},
    )
    best = mends(plan(change), "wall-clearance", "A7")[0]
    assert best.says.startswith("Move row A by 8 mm to the left (-x), and the bends of W1")
    assert [edit.value for edit in best.patch] == [[82, 60], [76, 1500], [76, 30]]


def test_what_was_cut_is_not_cut_again_but_may_be_moved() -> None:
    made_up = {"tests": [{"circuit": "C1", "stage": "made up"}]}
    long = {**row(lengths=[2750, 3000, *SEVEN[2:]]), **made_up}
    assert says(plan(long), "element-outside-room", "A2") == []
    near = {**row(at=[20, 60]), **made_up}
    assert says(plan(near), "wall-clearance", "A1") == ["Move row A by 38 mm to the right (+x)."]


def test_crooked_strips_are_laid_straight() -> None:
    change = singly()
    change["rooms"]["room"]["elements"]["E3"] |= {"at": [1590, 70], "along": "92 deg"}
    best = mends(plan(change), "element-overlap", "E3")[0]
    assert best.says == "Lay E3 straight, along y from [1060, 60]."
    assert [(edit.path[-1], edit.value) for edit in best.patch] == [
        ("at", [1060, 60]),
        ("along", "y"),
    ]


def test_a_row_counted_from_the_wrong_end_is_turned_about() -> None:
    lengths = [2250, 2250, *SEVEN[2:]]
    sofa = {"at": [2700, 2400], "size": [1200, 500], "kind": "floor-mounted"}
    data = plan(room(rows={"A": {"lengths": lengths}}, fixtures={"sofa": sofa}))
    best = mends(data, "fixture-clearance", "A6")[0]
    assert best.says.startswith("Write the lengths of row A the other way round")
    assert best.patch[0].value == lengths[::-1]


def test_nothing_drawn_of_the_room_is_changed() -> None:
    """Only a wardrobe over nearly all of the floor: no strip can be kept, and none is left out."""
    wardrobe = {"at": [100, 100], "size": [3700, 2700], "kind": "floor-mounted"}
    assert says(plan(room(fixtures={"wardrobe": wardrobe})), "fixture-clearance", "A1") == []


def test_a_short_strip_is_not_cut_shorter_nor_one_of_three_left_out() -> None:
    change = singly()
    change["rooms"]["room"]["elements"]["E3"]["length"] = 750
    cupboard = {"at": [1100, 400], "size": [400, 350], "kind": "floor-mounted"}
    change["rooms"]["room"]["fixtures"] = {"cupboard": cupboard}
    assert says(plan(change), "fixture-clearance", "E3") == []


def test_a_step_that_is_taken_back_is_none() -> None:
    """X1 could be moved off A6, and then be left out for the wall: it is left out at once."""

    def move_aside(asked: ToMend) -> Iterator[Proposal]:
        path = ("rooms", "room", "elements", "X1", "at")
        edit = Edit(op="replace", path=path, value=[3060, 60])
        yield Proposal(says="Move X1.", edits=(edit,))

    trial, state = judge(plan(SQUEEZED))
    found = next(each for each in state.standing if each.rule.id == "element-overlap")
    aside = Mender(rule="element-overlap", propose=move_aside)
    out = Mender(rule="wall-clearance", propose=leave_strip_out)
    assert find_mends(found, state, by_rule([aside, out]), trial) == ()
    at_once = Mender(rule="element-overlap", propose=leave_strip_out)
    assert len(find_mends(found, state, by_rule([at_once]), trial)) == 1


def test_a_row_goes_on_where_too_little_is_heated() -> None:
    """Four strips of seven heat half of it: longer ones do not fit, three more do."""
    four = row(lengths=SEVEN[:4])
    four["rooms"]["room"] |= {"heat_loss": "150 W"}
    best = mends(plan(four), "floor-coverage")[0]
    assert best.says.startswith(
        "Add A5, 2750 mm long, along y from [2060, 60], on circuit C1, joined to lead W1."
    )
    path = ("rooms", "room", "rows", "A", "lengths", "-")
    assert [(edit.path, edit.value) for edit in best.patch] == [(path, 2750)] * 3
    assert says(plan({**four, "status": "laid"}), "floor-coverage") == []
    counted = row(lengths=None, length=2750, count=4)
    counted["rooms"]["room"] |= {"heat_loss": "150 W"}
    edits = mends(plan(counted), "floor-coverage")[0].patch
    assert [edit.value for edit in edits] == [5, 6, 7]


def test_a_strip_is_made_longer_before_one_is_added() -> None:
    lengths = [1500, 1500, 1500, *SEVEN[3:]]
    best = mends(plan(row(lengths=lengths)), "floor-coverage")[0]
    assert best.says == " ".join(f"Make {name} 2750 mm long." for name in ("A1", "A2", "A3"))
    assert [(edit.path[-2:], edit.value) for edit in best.patch] == [
        (("lengths", place), 2750) for place in range(3)
    ]


def test_a_neighbour_is_made_longer_before_a_strip_is_added() -> None:
    """Over 80 % is heated, and beyond A7 a strip of 1000 mm fits: A7 may as well go on there."""
    (mend,) = mends(plan(row(lengths=[*SEVEN[:6], 1750])), "cold-area")
    assert mend.says == "Make A7 2750 mm long."


def test_a_strip_forgotten_in_between_comes_with_its_lead() -> None:
    change = singly()
    strips = change["rooms"]["room"]["elements"]
    del strips["E2"]
    change["rooms"]["room"]["leads"]["W1"]["route"].remove("E2")
    data = mended(plan(change), "cold-area")
    told = data["rooms"]["room"]
    assert told["elements"]["E2"] == {
        "film": "film-80", "at": [560, 60], "along": "y", "length": 2750, "circuit": "C1",
    }  # fmt: skip
    assert told["leads"]["W1"]["route"][-3:] == ["E1", "E2", "E3"]


def test_what_a_cut_leaves_cold_is_heated_again() -> None:
    """A joint across one strip: a second one is laid beyond it, with connections of its own."""
    change = singly()
    change["rooms"]["room"]["joints"] = {"J1": [[1060, 1450], [1560, 1450]]}
    best = mends(plan(change), "joint-crossing", "E3")[0]
    assert best.says.startswith("Cut E3 to 1250 mm. Add E4, 1250 mm long")
