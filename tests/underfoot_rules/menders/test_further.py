"""Strips made longer and strips added: just where they may lie, and just as many as it takes."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, mends, plan, says
from tests.underfoot_rules.menders.test_strips import singly
from underfoot.api.rules import Data

LENGTHS, OUTLINE = "rooms.room.rows.A.lengths", "rooms.room.outline"
FIXTURES, LONGEST = "rooms.room.fixtures", "materials.films.film-80.longest_strip"


def little(**change: Any) -> Data:
    """Return the base plan with too little heated, in a room that needs little heat."""
    return plan({"rooms.room.heat_loss": "150 W", **change})


def room_up_to(y: float) -> Any:
    return {OUTLINE: [[0, 0], [4000, 0], [4000, y], [0, y]]}


def thing(y: int, kind: str, clear: int | None = None) -> Any:
    """Stand something over the place of A2, from y on."""
    told = {"at": [600, y], "size": [300, 100], "kind": kind}
    return {FIXTURES: {"thing": told if clear is None else {**told, "clear": clear}}}


@pytest.mark.parametrize(
    ("others", "change", "strip", "length"),
    [
        # 2750 mm from y = 60 end at 2810, and 58 mm are kept to the wall; 2500 mm end at 2560.
        (2500, room_up_to(2868), "A1", 2750),
        (2500, room_up_to(2867.9), "A1", 2500),
        # The film's longest strip may be just as long.
        (2250, {LONGEST: "2.75 m"}, "A1", 2750),
        (2250, {LONGEST: "2749 mm"}, "A1", 2500),
        # 50 mm are kept to what stands on the floor.
        (2750, thing(2860, "floor-mounted"), "A2", 2750),
        (2750, thing(2859, "floor-mounted"), "A2", 2500),
        # Nothing comes under what is too low; 20 mm of a strip's end would.
        (2750, thing(2810, "on legs", 20), "A2", 2750),
        (2750, thing(2809, "on legs", 20), "A2", 2500),
        (2750, thing(2310, "on legs", 20), "A2", 2250),
        (2750, thing(2309, "on legs", 20), "A2", 2000),
        # Under what leaves air enough it may: 60 mm or more.
        (2750, thing(2310, "on legs", 60), "A2", 2750),
        (2750, thing(2310, "on legs", 59), "A2", 2250),
    ],
)
def test_a_strip_is_made_as_long_as_it_may_be(
    others: int, change: Any, strip: str, length: int
) -> None:
    """Three strips of 1500 mm, of which A1 begins at [60, 60], and four others."""
    data = little(**{LENGTHS: [1500] * 3 + [others] * 4}, **change)
    said = mends(data, "floor-coverage")[0].says
    assert f"Make {strip} {length} mm long." in said


@pytest.mark.parametrize(
    ("lengths", "longer"),
    [
        # What gains most comes first, of equal ones the first of the row.
        ([2250, 2250, 2500, 1500, 2750, 2750, 2750], ["A4", "A1"]),
        ([2250, 2250, 2500, 1000, 1000, 2750, 2750], ["A4", "A5", "A1"]),
        # No more than it takes.
        ([2250] * 7, ["A1", "A2", "A3", "A4", "A5"]),
        # Where 500 mm would be gained, as much as the shortest strip that is added has; not 250.
        ([2250] * 5 + [2500] * 2, ["A1", "A2", "A3", "A4"]),
        ([2500] * 7, None),
    ],
)
def test_which_strips_are_made_longer(lengths: list[int], longer: list[str] | None) -> None:
    said = says(little(**{LENGTHS: lengths}), "floor-coverage")
    assert said == ([] if longer is None else [" ".join(f"Make {s} 2750 mm long." for s in longer)])


def test_a_film_that_says_nothing_of_cut_lines_hinders_no_other() -> None:
    """E2 has no cut lines to be made longer by; E1 has, and is."""
    change = singly()
    change["rooms"]["room"]["elements"]["E1"]["length"] = 1500
    change["rooms"]["room"]["elements"]["E2"]["film"] = "uncut"
    data = plan(change)
    films = data["materials"]["films"]
    films["uncut"] = {key: value for key, value in films["film-80"].items() if key != "cut_every"}
    (said,) = {each for rule in ("floor-coverage", "cold-area") for each in says(data, rule)}
    assert said == "Make E1 2750 mm long."


@pytest.mark.parametrize("strips", [1, 2])
def test_several_are_added_where_none_was_drawn_by_itself(strips: int) -> None:
    """Beside a row of one or two along y the longest lie along x: they cannot go on the row."""
    data = little(**{LENGTHS: [2750] * strips})
    added = mended(data, "floor-coverage")["rooms"]["room"]["elements"]
    assert list(added) == [f"A-{number}" for number in range(1, 6)]
    assert {told["along"] for told in added.values()} == {"x"}
    assert all(told["length"] % 250 == 0 for told in added.values())
