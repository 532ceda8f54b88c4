"""What was begun by hand is completed, and stays as it is drawn."""

import copy
from functools import cache
from typing import Any

import pytest

from tests.underfoot.laying.judging import judge, trial_of
from tests.underfoot.laying.stripped import PLANS
from underfoot.checking.mend import Edit
from underfoot.laying.floors import LaidPlan, lay_rooms
from underfoot.laying.strips import LaidStrip
from underfoot.laying.trying import keeps_to, leaves_alone
from underfoot.laying.wishes import CannotLayError, Wishes
from underfoot.laying.writing import put_on_circuits
from underfoot.mending.patch import patch_data
from underfoot.mending.search import by_rule
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

MENDERS = by_rule(STANDARD.gather_menders())


@cache
def read(name: str) -> Any:
    return parse((PLANS / f"{name}.yaml").read_bytes()).data


def begin(name: str, *left_out: str, half: bool = False) -> Any:
    """Return a demo plan without some of its keys; `half` leaves half of each row."""
    data = copy.deepcopy(read(name))
    for room in data["rooms"].values():
        for key in left_out:
            room.pop(key, None)
        for row in room.get("rows", {}).values():
            if "circuit" in left_out:
                row.pop("circuit", None)
            if half and "lengths" in row:
                del row["lengths"][max(1, len(row["lengths"]) // 2) :]
            elif half:
                row["count"] = max(1, row["count"] // 2)
    for key in left_out:
        data.pop(key, None)
    return data


def complete(data: Any, wishes: Wishes = Wishes()) -> LaidPlan:  # noqa: B008 - a frozen value
    return lay_rooms(judge(data), list(data["rooms"]), trial_of(), MENDERS, wishes)


def assert_kept(before: Any, after: Any) -> None:
    """Everything that was there is there, and says the same."""
    if isinstance(before, dict):
        assert all(key in after for key in before)
        for key, value in before.items():
            assert_kept(value, after[key])
    else:
        assert before == after


@pytest.mark.parametrize(
    ("data", "added"),
    [
        (begin("bedroom", "leads"), {"leads"}),
        (begin("bedroom", "sensor"), {"sensor"}),
        (begin("bedroom", half=True), {"rows", "leads"}),
        (begin("bedroom", "leads", "sensor", "junction_box", "circuits", half=True),
         {"rows", "leads", "sensor", "junction_box"}),
        (begin("bedroom", "leads", "circuit", "circuits", "membrane", half=True),
         {"rows", "leads", "membrane"}),
        (begin("flat", "leads", "thermostat", half=True), {"rows", "leads", "thermostat"}),
    ],
)  # fmt: skip
def test_what_is_missing_is_added_and_passes(data: Any, added: set[str]) -> None:
    laid = complete(data)
    assert [room.left for room in laid.rooms] == [()] * len(laid.rooms)
    now = patch_data(data, laid.edits)
    assert_kept(data, now)
    assert {edit.path[2] for edit in laid.edits if edit.path[0] == "rooms"} == added
    outcome = laid.state.outcome
    assert not [each for each in laid.state.standing if each.severity != "note"]
    assert not [tally for tally in outcome.tallies if tally.undecided]
    whole = judge(read("flat" if "hall" in data["rooms"] else "bedroom")).outcome.facts.elements
    assert len(outcome.facts.elements) == len(whole)


def test_of_a_whole_plan_nothing_is_missing() -> None:
    laid = complete(read("bedroom"))
    assert laid.edits == ()
    assert laid.rooms[0].laying is not None
    assert laid.rooms[0].left == ()


def test_new_strips_go_on_in_the_direction_and_on_the_circuit_of_those_drawn() -> None:
    laid = complete(begin("bedroom", "leads", half=True))
    (rows,) = (edit for edit in laid.edits if "rows" in edit.path)
    assert rows.path == ("rooms", "bedroom", "rows", "B")
    assert (rows.value["along"], rows.value["circuit"]) == ("y", "C1")
    # A lead that is drawn is gone round: strips beside it get one of their own.
    laid = complete(begin("bedroom", half=True))
    (leads,) = (edit for edit in laid.edits if "leads" in edit.path)
    assert leads.path[-1] == "W2"
    assert leads.value["circuit"] == "C1"


def test_what_stands_against_what_is_drawn_is_told_and_not_mended() -> None:
    data = begin("bedroom", "leads")
    data["rooms"]["bedroom"]["rows"]["A"]["at"] = [30, 60]
    laid = complete(data)
    assert "wall-clearance" in {each.rule.id for each in laid.rooms[0].left}
    assert_kept(data, patch_data(data, laid.edits))


def test_why_no_more_strips_are_added_is_told() -> None:
    data = begin("bedroom", "leads", half=True)
    data["supply"]["available"] = "1.5 A"
    (room,) = complete(data).rooms
    assert room.laying is not None
    assert room.laying.strips == 0
    assert "supply-capacity" in {each.rule.id for each in room.with_more}
    assert "supply-capacity" not in {each.rule.id for each in room.left}


def test_strips_that_are_written_as_one_length_are_led_and_put_on_a_circuit() -> None:
    data = begin("flat", "leads", "circuit", "circuits")
    laid = complete(data)
    assert [room.left for room in laid.rooms] == [()] * 4
    assert_kept(data, patch_data(data, laid.edits))
    put = {edit.path[3]: edit.value for edit in laid.edits if edit.path[-1] == "circuit"}
    assert put.keys() == {row for room in data["rooms"].values() for row in room["rows"]}
    # Strips that are joined on one line are led straight from one to the next.
    (leads,) = (edit.value for edit in laid.edits if edit.path[1:] == ("bedroom", "leads"))
    (lead,) = leads.values()
    assert lead["route"][-1] == "D"


def piece(number: int, row: str = "A") -> LaidStrip:
    return LaidStrip(
        id=f"{row}{number}" if number else row,
        row=row,
        number=number,
        start=(0.0, 0.0),
        end=(0.0, 1000.0),
        width=500.0,
        amps=1.0,
    )


def test_strips_on_no_circuit_are_put_on_theirs() -> None:
    own = {"rows": {"A": {"lengths": [2000, {"length": 1500, "from": 500}, 1750]}},
           "elements": {"X": {}}}  # fmt: skip
    of = {"A1": "C2", "A2": "C3", "A3": "C2", "X": "C2"}
    edits = list(put_on_circuits(own, ("r",), [*map(piece, (1, 2, 3)), piece(0, "X")], of))
    assert edits == [
        Edit(op="add", path=("r", "rows", "A", "circuit"), value="C2"),
        Edit(op="replace", path=("r", "rows", "A", "lengths", 1),
             value={"length": 1500, "from": 500, "circuit": "C3"}),
        Edit(op="add", path=("r", "elements", "X", "circuit"), value="C2"),
    ]  # fmt: skip
    own["rows"]["A"] = {"length": 2000, "count": 3}
    with pytest.raises(CannotLayError, match="row A takes more than one circuit"):
        list(put_on_circuits(own, ("r",), [*map(piece, (1, 2, 3))], of))


def test_what_a_patch_leaves_alone() -> None:
    data = {"rooms": {"a": {"rows": {}, "list": [1]}}}
    assert leaves_alone([Edit(op="add", path=("rooms", "a", "leads"), value={})], data)
    assert leaves_alone([Edit(op="add", path=("rooms", "a", "list", 1), value=2)], data)
    assert not leaves_alone([Edit(op="replace", path=("rooms", "a", "list", 0), value=2)], data)
    assert not leaves_alone([Edit(op="remove", path=("rooms", "a", "rows"))], data)


def test_what_keeps_to_a_room() -> None:
    data = {
        "rooms": {"a": {"rows": {}}, "b": {}},
        "circuits": {"C1": {"thermostat": "b", "rcd": 1}},
    }
    say = ("circuits", "C1", "rcd")
    assert keeps_to("a", [Edit(op="add", path=("rooms", "a", "grid"), value={})], data)
    assert keeps_to("a", [Edit(op="replace", path=("rooms", "a", "rows"), value={})], data)
    assert not keeps_to("a", [Edit(op="remove", path=("rooms", "a", "rows"))], data)
    assert not keeps_to("a", [Edit(op="add", path=("rooms", "b", "grid"), value={})], data)
    assert not keeps_to("a", [Edit(op="replace", path=say, value=2)], data)
    assert keeps_to("b", [Edit(op="replace", path=say, value=2)], data)
    assert keeps_to("a", [Edit(op="add", path=("circuits", "C2"), value={})], data)


def test_a_room_still_to_be_laid_is_left_alone() -> None:
    """Its thermostat, which switches nothing as yet, is no fault of the room that is laid first."""
    data = begin("flat", "rows", "leads", "sensor", "junction_box", "circuits")
    laid = complete(data)
    assert [room.left for room in laid.rooms] == [()] * 4
    assert not any("eave out" in said for room in laid.rooms for said in room.mended)
    assert_kept(data, patch_data(data, laid.edits))
