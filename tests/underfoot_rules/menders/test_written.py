"""Figures and lists are written as the plan writes them, and found where it does."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.underfoot_rules.menders.asking import judge, plan
from underfoot.api.rules import Edit
from underfoot.mending.patch import patch_data
from underfoot_rules.menders.spelled import new_name, parts_of, put, spell, stands, take_out, tidy
from underfoot_rules.menders.written import (
    change,
    change_list,
    find_strip,
    look_up,
    write_length,
    write_point,
)


@pytest.mark.parametrize(
    ("value", "like", "written"),
    [
        (2750.0, None, 2750),
        (2750.0, 2500, 2750),
        (2750.5, 2500, 2750.5),
        (2750.00004, 2500, 2750),
        (2750.1236, 2500, 2750.124),
        (2750.0, "2.5 m", "2.75 m"),
        (3000.0, "2.5 m", "3 m"),
        (2750.0, "250 cm", "275 cm"),
        (2750.0, "2500 mm", "2750 mm"),
        # Inches are not kept: nobody cuts to parts of them.
        (2750.0, "98 in", 2750),
    ],
)
def test_a_length_is_written_as_the_one_before(value: float, like: Any, written: Any) -> None:
    assert write_length(value, like) == written


@pytest.mark.parametrize(
    ("like", "written"),
    [
        (None, [58, 60.5]),
        ([1, 2], [58, 60.5]),
        (["5 cm", "0.06 m"], ["5.8 cm", "0.06 m"]),
        ([50, "6 cm"], [58, "6.05 cm"]),
        ("A1", [58, 60.5]),
        ([1, 2, 3], [58, 60.5]),
    ],
)
def test_a_place_is_written_as_the_one_before(like: Any, written: Any) -> None:
    expected = written if written[1] != "0.06 m" else ["5.8 cm", "0.06 m"]
    y = 60.0 if expected is not written else 60.5
    assert write_point(58.0, y, like) == expected


@pytest.mark.parametrize(
    ("value", "unit", "like", "written"),
    [
        (2.5, "mm2", None, "2.5 mm2"),
        (16.0, "A", "10 A", "16 A"),
        (30.0, "mA", "0.1 A", "0.03 A"),
        (16.0, "A", "10A", "16A"),
        (16.0, "A", 10, 16),
        # True is no figure.
        (16.0, "A", True, "16 A"),
        # Degrees begin elsewhere on each scale, and what is nought tells no unit's size.
        (27.0, "degC", "300 K", "27 degC"),
        (16.0, "A", "0 A", "16 A"),
        (1234567.0, "W", None, "1234570 W"),
        (0.03, "A", None, "0.03 A"),
    ],
)
def test_a_figure_is_spelt_as_the_one_before(
    value: float, unit: str, like: Any, written: Any
) -> None:
    found = spell(value, unit, like)
    assert found == written
    assert type(found) is type(written)
    assert put({"a": [like]}, ("a", 0), value, unit) == Edit(
        op="add" if like is None else "replace", path=("a", 0), value=written
    )


def test_names_and_places() -> None:
    assert new_name({}, "C") == "C1"
    assert new_name({"C1", "C3"}, "C") == "C2"
    assert tidy(2.0) == 2
    assert isinstance(tidy(2.0), int)
    data = {"waivers": [{"until": "x"}], "rooms": {"1": {"a": 0}}}
    assert parts_of(data, "waivers.0.until") == ("waivers", 0, "until")
    # A number is a place in a list alone; in a mapping it is a key.
    assert parts_of(data, "rooms.1.a") == ("rooms", "1", "a")
    assert parts_of(data, "") == ()
    assert stands(data, ("waivers", 0))
    assert stands(data, ("rooms", "1", "a"))
    assert not stands(data, ("waivers", 1))
    assert not stands(data, ("waivers", "until"))
    assert look_up(data, ("rooms", "1", "a", "b")) is None
    assert take_out(("a",)) == Edit(op="remove", path=("a",))
    assert change(data, ("rooms", "2"), 5).op == "add"
    assert change(data, ("rooms", "1", "a"), 5).op == "replace"


def test_a_strip_of_a_row_is_found_by_its_number() -> None:
    strip = {"film": "film-80", "along": "y", "circuit": "C1", "length": 2750, "at": [3060, 60]}
    told = {"rows": {"A": {"lengths": [2750] * 6}}, "elements": {"X1": strip}}
    _, state = judge(plan({"rooms": {"room": told}}))
    elements = {each.id: each for each in state.outcome.facts.rooms["room"].elements}
    third, lone = find_strip("room", elements["A3"]), find_strip("room", elements["X1"])
    assert (third.path, third.place) == (("rooms", "room", "rows", "A"), 2)
    assert (lone.path, lone.place) == (("rooms", "room", "elements", "X1"), None)


@given(st.lists(st.integers(0, 3), max_size=5), st.lists(st.integers(0, 3), max_size=5))
@examples(120)
def test_one_list_is_turned_into_another_by_as_little_as_can_be(
    old: list[int], new: list[int]
) -> None:
    edits = change_list(("list",), old, new)
    assert patch_data({"list": old}, edits) == {"list": new}
    assert len(edits) == (old != new)
    one_place = [
        *((*old[:i], *old[i + 1 :]) for i in range(len(old))),
        *((*old[:i], each, *old[i:]) for i in range(len(old) + 1) for each in range(4)),
        *((*old[:i], each, *old[i + 1 :]) for i in range(len(old)) for each in range(4)),
    ]
    is_one_place = tuple(new) in one_place
    if edits:
        assert (edits[0].path != ("list",)) is is_one_place
