"""Nothing is left standing empty that was not so before."""

from typing import Any

import pytest

from underfoot.checking.mend import Edit
from underfoot.mending.emptied import take_emptied
from underfoot.mending.patch import CannotPatchError, patch_data

DATA: dict[str, Any] = {
    "leads": {"W1": {"at": [1]}, "W2": {}},
    "elements": {"X1": 1},
    "none": {},
    "list": [{"a": 1}],
    "X1": 1,
}


def _cut(*path: str | int) -> Edit:
    return Edit(op="remove", path=path)


def _add(*path: str | int) -> Edit:
    return Edit(op="add", path=path, value=1)


@pytest.mark.parametrize(
    ("edits", "expected"),
    [
        ([_cut("elements", "X1")], [_cut("elements")]),
        ([_cut("leads", "W1")], [_cut("leads", "W1")]),
        (
            [_cut("leads", "W1"), _cut("leads", "W2")],
            [_cut("leads", "W1"), _cut("leads", "W2"), _cut("leads")],
        ),
        # A list is a thing by itself too; but where places would move, it stays.
        ([_cut("leads", "W1", "at", 0)], [_cut("leads", "W1", "at")]),
        ([_cut("list", 0, "a")], [_cut("list", 0, "a")]),
        ([_cut("X1")], [_cut("X1")]),
        # What was empty before, or is filled again, stays.
        ([_add("none", "a"), _cut("none", "a")], [_add("none", "a"), _cut("none", "a")]),
        ([_cut("elements", "X1"), _add("elements", "X2")],
         [_cut("elements", "X1"), _add("elements", "X2")]),
        (
            [_add("elements", "X2"), _cut("elements", "X2"), _cut("elements", "X1")],
            [_add("elements", "X2"), _cut("elements", "X2"), _cut("elements", "X1"),
             _cut("elements")],
        ),
    ],
)  # fmt: skip
def test_what_loses_its_last_part_goes_with_it(edits: list[Edit], expected: list[Edit]) -> None:
    told = take_emptied(DATA, edits)
    assert list(told) == expected
    patch_data(DATA, told)


def test_an_edit_that_leads_nowhere_is_told() -> None:
    with pytest.raises(CannotPatchError):
        take_emptied(DATA, [_cut("elements", "X9")])
