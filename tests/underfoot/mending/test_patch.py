"""Patches of plain data, as RFC 6902 has them; pointers as RFC 6901 has them."""

import copy
from typing import Any, Literal

import pytest

from underfoot.checking.mend import Edit
from underfoot.mending.patch import (
    CannotPatchError,
    is_same,
    patch_data,
    patch_document,
    write_pointer,
)

Op = Literal["add", "replace", "remove"]

# Worked out by hand from the RFC's sections 4.1 to 4.3, in data of our own.
ROOM: dict[str, Any] = {"use": "living", "at": [60, 60], "rows": {"A": {"lengths": [2000, 2250]}}}


def _edit(op: Op, path: tuple[str | int, ...], value: Any = None) -> Edit:
    return Edit(op=op, path=path, value=value)


@pytest.mark.parametrize(
    ("op", "path", "value", "expected"),
    [
        ("add", ("height",), 2400, {**ROOM, "height": 2400}),
        ("add", ("use",), "bath", {**ROOM, "use": "bath"}),  # a member that is there is replaced
        ("add", ("at", 1), 5, {**ROOM, "at": [60, 5, 60]}),
        ("add", ("at", 2), 5, {**ROOM, "at": [60, 60, 5]}),  # the place after the last
        ("add", ("at", "-"), 5, {**ROOM, "at": [60, 60, 5]}),
        (
            "add", ("rows", "A", "lengths", 0), 5,
            {**ROOM, "rows": {"A": {"lengths": [5, 2000, 2250]}}},
        ),
        ("replace", ("at", 0), 70, {**ROOM, "at": [70, 60]}),
        ("replace", ("rows", "A"), {}, {**ROOM, "rows": {"A": {}}}),
        ("remove", ("rows", "A", "lengths", 1), None, {**ROOM, "rows": {"A": {"lengths": [2000]}}}),
        ("remove", ("use",), None, {"at": [60, 60], "rows": ROOM["rows"]}),
    ],
)  # fmt: skip
def test_each_operation(op: Op, path: tuple[str | int, ...], value: Any, expected: Any) -> None:
    before = copy.deepcopy(ROOM)
    assert patch_data(ROOM, [_edit(op, path, value)]) == expected
    assert before == ROOM


@pytest.mark.parametrize(
    ("op", "path"),
    [
        ("replace", ("height",)),
        ("remove", ("height",)),
        ("add", ("gone", "at")),
        ("add", ("at", 3)),
        ("add", ("at", -1)),
        ("add", ("at", "0")),
        ("add", ("at", True)),
        ("replace", ("at", 2)),
        ("replace", ("at", "-")),
        ("remove", ("at", 2)),
        ("remove", ("at", -1)),
        ("add", ("use", "x")),
        ("add", (0,)),
        ("remove", ()),
    ],
)
def test_an_operation_whose_place_is_not_there(op: Op, path: tuple[str | int, ...]) -> None:
    with pytest.raises(CannotPatchError):
        patch_data(ROOM, [_edit(op, path, 5)])


def test_operations_follow_one_another() -> None:
    patched = patch_data(
        ROOM,
        [
            _edit("remove", ("at", 0)),
            _edit("add", ("at", 0), 7),
            _edit("add", ("rows", "B"), {}),
            _edit("add", ("rows", "B", "at"), [1, 2]),
            _edit("replace", ("rows", "B", "at", 1), 3),
        ],
    )
    assert patched["at"] == [7, 60]
    assert patched["rows"]["B"] == {"at": [1, 3]}


def test_the_whole_is_replaced() -> None:
    assert patch_data(ROOM, [_edit("replace", (), {"a": 1})]) == {"a": 1}


# RFC 6901, section 5: `/` is written ~1 and `~` ~0, in this order of meaning.
@pytest.mark.parametrize(
    ("path", "pointer"),
    [
        ((), ""),
        (("",), "/"),
        (("a/b",), "/a~1b"),
        (("m~n",), "/m~0n"),
        (("~1",), "/~01"),
        (("foo", 0, "-"), "/foo/0/-"),
        (("é", "a b"), "/é/a b"),
    ],
)
def test_pointers(path: tuple[str | int, ...], pointer: str) -> None:
    assert write_pointer(path) == pointer


def test_a_document_says_what_a_person_would_write() -> None:
    patch = [
        _edit("replace", ("at",), (60.0, 60.5)),
        _edit("add", ("x",), {"a": [1e18, True, None, "1.0"]}),
        _edit("remove", ("y", 1), 9),
    ]
    document = patch_document(patch)
    assert document == [
        {"op": "replace", "path": "/at", "value": [60, 60.5]},
        {"op": "add", "path": "/x", "value": {"a": [1e18, True, None, "1.0"]}},
        {"op": "remove", "path": "/y/1"},
    ]
    assert type(document[0]["value"][0]) is int


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (60, 60.0, True),
        (1, True, False),
        (0, False, False),
        ("1", 1, False),
        ([1, [2]], [1, [2.0]], True),
        ([1], [1, 2], False),
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}, True),
        ({"a": 1}, {"a": 1, "b": None}, False),
        ({"a": True}, {"a": 1}, False),
        ([], {}, False),
        (None, None, True),
    ],
)
def test_what_says_the_same(one: Any, other: Any, same: bool) -> None:
    assert is_same(one, other) is same
    assert is_same(other, one) is same
